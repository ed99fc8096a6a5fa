using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Rows of <c>devices.csv</c>.</summary>
internal static class DevicesFile
{
    public static Device Parse(RowReading row)
    {
        var device = new Device
        {
            Id = row.Required<string>("device_id", TextValue.Id),
            Name = row.Required<string>("name", TextValue.Line),
            Capacity = row.Required<Volume>("capacity_ml", FieldValue.Volume),
            Graduation = row.Required<Volume>("graduation_ml", FieldValue.Volume),
            MarkedIn = row.Required<BarrelMarking>("marked_in", FieldValue.Word),
            UnitsPerMl = row.Optional<decimal>("units_per_ml", FieldValue.UnitsPerMl),
            DeadSpace = row.Or<Volume>("dead_space_ml", FieldValue.VolumeOrZero, Volume.Zero),
            SharpsPerInjection = row.Or("sharps_per_injection", FieldValue.Whole(1, 2), 1),
        };
        if (!row.IsGood)
            return device;
        if (device.Capacity.Nanolitres % device.Graduation.Nanolitres != 0)
            row.Refuse("graduation_ml", $"the capacity, {device.Capacity} mL, is no whole number of graduations");
        if (device.DeadSpace >= device.Capacity)
            row.Refuse("dead_space_ml", "the dead space is less than the capacity");
        if (device.MarkedIn == BarrelMarking.Units && device.UnitsPerMl is null)
            row.Refuse("units_per_ml", "is missing: a barrel marked in units needs it (100 for U-100)");
        if (device.MarkedIn == BarrelMarking.Ml && device.UnitsPerMl is not null)
            row.Refuse("units_per_ml", "a barrel marked in ml does not use this column");
        return device;
    }
}
