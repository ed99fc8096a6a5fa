using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Rows of <c>steps.csv</c>.</summary>
internal static class StepsFile
{
    /// <summary>The most steps of a ladder, and the most ladders of a course.</summary>
    public const int Most = 1000;

    /// <summary>The ladder of a row; null when it cannot be read.</summary>
    public static int? FindLadder(RosterRow row) =>
        row["ladder"].Length == 0 ? 1 : FieldValue.Whole(1, Most)(row["ladder"], out var ladder, out _) ? ladder : null;

    /// <summary>Reads a row.</summary>
    /// <param name="row">The row.</param>
    /// <param name="references">What ids mean.</param>
    /// <param name="course">Its course; null: unknown, and then the row is refused for that.</param>
    public static Step Parse(RowReading row, References references, Course? course)
    {
        var product = references.Product(row, "product_id");
        references.Device(row, "device_id");
        var step = new Step
        {
            CourseId = row.Required<string>("course_id", TextValue.Id),
            Number = row.Required("step", FieldValue.Whole(1, Most)),
            ProductId = row.Required<string>("product_id", TextValue.Id),
            Doses = product is null && row.Has("doses") ? [] : row.Required("doses", DoseValue.In(product?.Unit ?? DoseUnit.Mg)),
            EveryDays = row.Required("every_days", FieldValue.Whole(1, 400)),
            Ladder = row.Or("ladder", FieldValue.Whole(1, Most), 1),
            DoseDays = row.Optional("dose_days", FieldValue.Whole(1, 1000)),
            NeedsCheck = row.Or<bool>("needs_check", FieldValue.YesNo, blank: true),
            DeviceId = row.OptionalText("device_id", TextValue.Id),
            Expelled = row.Optional<Volume>("expelled_ml", FieldValue.VolumeOrZero),
        };
        if (row.IsGood && product?.Kind is ProductKind.MultiDoseVial or ProductKind.SingleDoseVial && (step.DeviceId ?? course?.DeviceId) is null)
            row.Refuse("device_id", $"is missing: {step.ProductId} is a vial, and neither the step nor the course names a syringe");
        return step;
    }
}
