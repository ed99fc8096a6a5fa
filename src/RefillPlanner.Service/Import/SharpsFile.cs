using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Rows of <c>sharps.csv</c>.</summary>
internal static class SharpsFile
{
    public static SharpsContainer Parse(RowReading row, References references)
    {
        references.Patient(row, "patient_id");
        var container = new SharpsContainer
        {
            Id = row.Required<string>("sharps_id", TextValue.Id),
            PatientId = row.Required<string>("patient_id", TextValue.Id),
            Capacity = row.Required("capacity_sharps", FieldValue.Whole(1, 100_000)),
            IssuedOn = row.Required<LocalDate>("issued_on", FieldValue.Date),
            ReturnedOn = row.Optional<LocalDate>("returned_on", FieldValue.Date),
            WrittenOffOn = row.Optional<LocalDate>("written_off_on", FieldValue.Date),
            ContainerClass = row.OptionalText("container_class", TextValue.Line),
        };
        if (row.IsGood && container.ReturnedOn < container.IssuedOn)
            row.Refuse("returned_on", "is before issued_on");
        if (row.IsGood && container.WrittenOffOn < container.IssuedOn)
            row.Refuse("written_off_on", "is before issued_on");
        return container;
    }
}
