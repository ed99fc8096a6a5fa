using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Rows of <c>patients.csv</c>. An opt-out on record is never taken away: only a later agreement outweighs it.</summary>
internal static class PatientsFile
{
    public static Patient Parse(RowReading row, References references)
    {
        references.Site(row, "site_id");
        var patient = new Patient
        {
            Id = row.Required<string>("patient_id", TextValue.Id),
            Name = row.Required<string>("name", TextValue.Line),
            SiteId = row.Required<string>("site_id", TextValue.Id),
            BornOn = row.Optional<LocalDate>("born_on", FieldValue.Date),
            Phone = row.OptionalText("phone", TextValue.Line),
            Email = row.OptionalText("email", TextValue.Email),
            EmailAgreedOn = row.Optional<LocalDate>("email_agreed_on", FieldValue.Date),
            EmailOptedOutOn = row.Optional<LocalDate>("email_opted_out_on", FieldValue.Date),
            Status = row.Or<PatientStatus>("status", FieldValue.Word, PatientStatus.Active),
            Language = row.Or<Language>("language", FieldValue.Language, Language.English),
            TimeZone = row.OptionalText("time_zone", TextValue.Zone),
            Handover = row.Or<Handover>("handover", FieldValue.Word, Handover.Pickup),
        };
        return row.IsGood ? KeepOptOut(patient, references.Recorded(row, patient.Id)) : patient;
    }

    private static Patient KeepOptOut(Patient patient, Patient? known) =>
        known?.EmailOptedOutOn is LocalDate recorded && (patient.EmailOptedOutOn is not LocalDate optedOut || recorded > optedOut)
            ? patient with { EmailOptedOutOn = recorded }
            : patient;
}
