using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Rows of <c>prescriptions.csv</c>.</summary>
internal static class PrescriptionsFile
{
    public static Prescription Parse(RowReading row, References references)
    {
        references.Course(row, "course_id");
        var prescription = new Prescription
        {
            Id = row.Required<string>("rx_id", TextValue.Id),
            CourseId = row.Required<string>("course_id", TextValue.Id),
            IssuedOn = row.Required<LocalDate>("issued_on", FieldValue.Date),
            RefillsAuthorized = row.Required("refills_authorized", FieldValue.Whole(0, 999)),
            ValidThrough = row.Optional<LocalDate>("valid_through", FieldValue.Date),
            Schedule = row.Optional<int>("schedule", FieldValue.Schedule),
            Prescriber = row.OptionalText("prescriber", TextValue.Line),
            PrescriberPhone = row.OptionalText("prescriber_phone", TextValue.Line),
        };
        if (row.IsGood && prescription.ValidThrough < prescription.IssuedOn)
            row.Refuse("valid_through", "is before issued_on");
        return prescription;
    }
}
