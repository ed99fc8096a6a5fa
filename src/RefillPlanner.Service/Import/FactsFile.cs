using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Rows of <c>facts.csv</c>, each by itself: values, and which columns its kind uses.</summary>
internal static class FactsFile
{
    private static readonly FieldParser<int> Sealed = FieldValue.Whole(0, 10_000);
    private static readonly FieldParser<int> Containers = FieldValue.Whole(1, 10_000);
    private static readonly FieldParser<int> StepOrLadder = FieldValue.Whole(1, 1000);
    private static readonly FieldParser<int> LaterStep = FieldValue.Whole(2, 1000);
    private static readonly FieldParser<int> DaysSupply = FieldValue.Whole(1, 1000);

    public static Fact Parse(RowReading row)
    {
        var kind = row.Required<FactKind>("kind", FieldValue.Word);
        var noteIsId = kind is FactKind.Received or FactKind.Void;
        var fact = new Fact
        {
            Id = row.Required<string>("fact_id", TextValue.Id),
            CourseId = row.Required<string>("course_id", TextValue.Id),
            Kind = kind,
            On = row.Required<LocalDate>("on", FieldValue.Date),
            ProductId = row.OptionalText("product_id", TextValue.Id),
            Containers = row.Optional("containers", kind == FactKind.Counted ? Sealed : Containers),
            Volume = row.Optional<Volume>("volume_ml", FieldValue.VolumeOrZero),
            ExpiresOn = row.Optional<LocalDate>("expires_on", FieldValue.Date),
            Lot = row.OptionalText("lot", TextValue.Line),
            Until = row.Optional<LocalDate>("until", FieldValue.Date),
            OpenedOn = row.Optional<LocalDate>("opened_on", FieldValue.Date),
            Step = row.Optional("step", kind is FactKind.Approved or FactKind.Held ? LaterStep : StepOrLadder),
            DaysSupply = row.Optional("days_supply", DaysSupply),
            Note = row.OptionalText("note", noteIsId ? TextValue.Id : TextValue.Line),
        };
        if (row.IsGood)
            JudgeColumns(row, kind);
        if (row.IsGood)
            JudgeDates(row, fact);
        return fact;
    }

    private static void JudgeColumns(RowReading row, FactKind kind)
    {
        var columns = FactColumns.Of(kind);
        foreach (var column in columns.Needed.Where(column => !row.Has(column)))
            row.Refuse(column, $"is missing: a fact '{Kebab.Of(kind)}' needs it");
        foreach (var column in columns.Unused.Where(row.Has))
            row.Refuse(column, $"a fact '{Kebab.Of(kind)}' does not use this column");
        if (kind == FactKind.Answered && row["note"] is not ("yes" or "no" or "later"))
            row.Refuse("note", "is none of yes, no, later");
        if (kind == FactKind.Discarded && row.Has("containers") && row.Has("lot"))
            row.Refuse("lot", "give containers or a lot, not both");
        if (kind == FactKind.Discarded && !row.Has("lot") && !row.Has("product_id"))
            row.Refuse("product_id", "is missing: only a lot can be discarded without it");
    }

    private static void JudgeDates(RowReading row, Fact fact)
    {
        var mustBeLater = fact.Kind is FactKind.Paused or FactKind.Held;
        if (fact.Until < fact.On || (mustBeLater && fact.Until == fact.On))
            row.Refuse("until", mustBeLater ? "is not after the fact's day" : "is before the fact's day");
        if (fact.OpenedOn > fact.On)
            row.Refuse("opened_on", "is after the count");
    }
}
