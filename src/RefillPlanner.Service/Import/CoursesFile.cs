using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Rows of <c>courses.csv</c>.</summary>
internal static class CoursesFile
{
    public static Course Parse(RowReading row, References references)
    {
        references.Patient(row, "patient_id");
        references.Device(row, "device_id");
        return new Course
        {
            Id = row.Required<string>("course_id", TextValue.Id),
            PatientId = row.Required<string>("patient_id", TextValue.Id),
            StartedOn = row.Required<LocalDate>("started_on", FieldValue.Date),
            DeviceId = row.OptionalText("device_id", TextValue.Id),
            Expelled = row.Or<Volume>("expelled_ml", FieldValue.VolumeOrZero, Volume.Zero),
            FillDays = row.Optional("fill_days", FieldValue.Whole(1, 400)),
            EarlyFillPercent = row.Optional("early_fill_percent", FieldValue.Whole(0, 100)),
        };
    }
}
