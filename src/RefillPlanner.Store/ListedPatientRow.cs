using RefillPlanner.Core.Messages;

namespace RefillPlanner.Store;

/// <summary>A patient with the count of its namesakes, as they stand in a row of a list.</summary>
internal static class ListedPatientRow
{
    /// <summary>The columns, of <c>patients AS patient</c> and <c>patient_names AS same</c>.</summary>
    public const string Columns =
        """
        patient.patient_id, patient.name, patient.site_id, patient.born_on, patient.phone, patient.email, patient.email_agreed_on,
            patient.email_opted_out_on, patient.status, patient.language, patient.time_zone, patient.handover, patient.digest,
            same.site_id, same.name, same.patients, same.digest
        """;

    private const int Names = LedgerStore.DigestedOfPatient + 1;

    /// <summary>The patient; null: not on record, another one, or not as it was written.</summary>
    /// <param name="row">The row.</param>
    /// <param name="from">The first of the columns.</param>
    /// <param name="patientId">Who it should be.</param>
    /// <param name="siteId">Whose list it is.</param>
    /// <param name="names">Is asked about namesakes where their count is damaged.</param>
    public static ListedPatient? Find(PreparedStatement row, int from, string patientId, string siteId, PatientNames names)
    {
        if (row.IsNull(from) || row.Text(from) != patientId || !row.IsWhole(LedgerStore.DigestedOfPatient, from))
            return null;
        var name = row.Text(from + 1);
        var hasNamesake = !row.IsNull(from + Names) && row.IsWhole(PatientNames.Digested, from + Names)
            ? row.Long(from + Names + 2) > (row.Text(from + 2) == siteId ? 1 : 0)
            : names.HasOther(siteId, name, patientId);
        return new ListedPatient(patientId, name, hasNamesake, row.DateOrNull(from + 3), row.TextOrNull(from + 4));
    }
}
