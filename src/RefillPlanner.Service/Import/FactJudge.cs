using System;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Judges facts. Each kind uses its own columns; what refers to another fact is judged after it, wherever it stands in the file.</summary>
internal sealed class FactJudge(KnownRoster known, RosterReport report, CourseJudge courses)
{
    private const int MostContainers = 1_000;

    private static readonly Dictionary<FactKind, string[]> Used = new()
    {
        [FactKind.Prepared] = ["product_id", "containers", "expires_on", "lot"],
        [FactKind.Dispensed] = ["product_id", "containers", "expires_on", "lot", "days_supply", "until"],
        [FactKind.Received] = [],
        [FactKind.Counted] = ["product_id", "containers", "volume_ml", "opened_on"],
        [FactKind.Opened] = ["product_id"],
        [FactKind.Discarded] = ["product_id", "containers", "lot"],
        [FactKind.Missed] = [],
        [FactKind.Paused] = ["until"],
        [FactKind.Resumed] = [],
        [FactKind.Approved] = ["step", "until"],
        [FactKind.Held] = ["step", "until"],
        [FactKind.LadderStarted] = ["step"],
        [FactKind.Answered] = [],
        [FactKind.Ended] = [],
        [FactKind.Void] = [],
    };

    private static readonly string[] Columns = ["product_id", "containers", "volume_ml", "expires_on", "lot", "until", "opened_on", "step", "days_supply"];

    private readonly HashSet<(string Course, string Product, NodaTime.LocalDate On)> _counts =
        [.. known.Facts.Values.Where(fact => fact.Kind == FactKind.Counted && !known.Voided.Contains(fact.Id)).Select(CountKey)];

    /// <summary>Good facts that are new.</summary>
    public List<Fact> Facts { get; } = [];

    /// <summary>Judges the rows of <c>facts.csv</c>.</summary>
    public void Judge(IReadOnlyList<RosterRow> rows)
    {
        var readers = rows.Select(row => new RowReader(row)).ToArray();
        var facts = readers.Select(Read).ToArray();
        var takenBack = facts.Where(fact => fact.Kind == FactKind.Void).Select(fact => fact.Note).ToHashSet();
        foreach (var index in Enumerable.Range(0, facts.Length).OrderBy(index => Turn(facts[index].Kind)))
            Judge(readers[index], facts[index], takenBack);
    }

    // Facts that others name come first.
    private static int Turn(FactKind kind) => kind switch
    {
        FactKind.Void => 2,
        FactKind.Received => 1,
        _ => 0,
    };

    private void Judge(RowReader row, Fact fact, HashSet<string?> takenBack)
    {
        courses.RefuseUnknownCourse(row, fact.CourseId);
        if (row.Fault is null)
            RefuseByKind(row, fact);
        var before = known.Facts.GetValueOrDefault(fact.Id);
        row.RefuseIf(before is not null && before != fact, "fact_id", "on record with other content: facts are added, never edited; take it back with a void");
        if (row.Fault is null && before is null)
            RefuseByOthers(row, fact, takenBack);
        if (row.Fault is Refusal fault)
        {
            report.Refuse(fault, row.Row.Raw);
            return;
        }

        if (before is not null)
        {
            report.Of(row.Row.File).Same++;
            return;
        }

        report.Of(row.Row.File).New++;
        known.Facts.Add(fact.Id, fact);
        if (fact.Kind == FactKind.Void)
            known.Voided.Add(fact.Note!);
        Facts.Add(fact);
    }

    private static Fact Read(RowReader row)
    {
        var id = row.RequiredId("fact_id");
        var courseId = row.RequiredId("course_id");
        var kind = row.RequiredMember<FactKind>("kind");
        var fact = new Fact
        {
            Id = id,
            CourseId = courseId,
            Kind = kind,
            On = row.RequiredDate("on"),
            ProductId = row.Id("product_id"),
            Containers = row.Whole("containers", 0, MostContainers),
            Volume = row.Volume("volume_ml", mayBeZero: true),
            ExpiresOn = row.Date("expires_on"),
            Lot = row.Text("lot"),
            Until = row.Date("until"),
            OpenedOn = row.Date("opened_on"),
            Step = row.Whole("step", 1, 99),
            DaysSupply = row.Whole("days_supply", 1, 400),
            Note = row.Text("note"),
        };
        if (row.Fault is not null)
            return fact;
        foreach (var column in Columns.Except(Used[kind]))
            row.RefuseIf(row.Has(column), column, $"a fact of kind {Kebab.Of(kind)} has no {column}");
        return fact;
    }

    private void RefuseByKind(RowReader row, Fact fact)
    {
        if (fact.ProductId is string id)
        {
            row.RefuseIf(!known.Products.ContainsKey(id), "product_id", "no such product");
            if (row.Fault is null)
                row.RefuseIf(!known.FamiliesOf(fact.CourseId).Contains(known.Products[id].Family), "product_id", $"no step of {fact.CourseId} calls for it, in any size");
        }

        if (row.Fault is not null)
            return;
        switch (fact.Kind)
        {
            case FactKind.Prepared or FactKind.Dispensed:
                row.RefuseIf(fact.ProductId is null, "product_id", "required");
                row.RefuseIf(fact.Containers is null or 0, "containers", "one or more are wanted");
                row.RefuseIf(fact.Until < fact.On, "until", "arrives before it was handed over");
                break;
            case FactKind.Counted:
                RefuseCount(row, fact);
                break;
            case FactKind.Opened:
                row.RefuseIf(fact.ProductId is null, "product_id", "required");
                row.RefuseIf(fact.ProductId is not null && known.Products[fact.ProductId].Kind == ProductKind.PrefilledSyringe, "product_id", "a prefilled syringe is used, not opened");
                break;
            case FactKind.Discarded:
                row.RefuseIf(fact.ProductId is null && fact.Lot is null, "product_id", "required, unless a lot is named");
                row.RefuseIf(fact.Containers is not null && fact.Lot is not null, "lot", "either a number of containers or a lot is thrown away, not both");
                row.RefuseIf(fact.Containers == 0, "containers", "one or more are wanted; blank means the open one");
                break;
            case FactKind.Paused:
                row.RefuseIf(fact.Until <= fact.On, "until", "a pause ends after it begins");
                break;
            case FactKind.Approved or FactKind.Held:
                row.RefuseIf(fact.Step is null, "step", "required");
                row.RefuseIf(fact.Step == 1, "step", "step 1 needs no check");
                row.RefuseIf(!LaddersOf(fact.CourseId).Any(ladder => ladder.Any(step => step.Number == fact.Step)), "step", $"no ladder of {fact.CourseId} has such a step");
                break;
            case FactKind.LadderStarted:
                row.RefuseIf(fact.Step is null, "step", "required: the number of the ladder");
                row.RefuseIf(fact.Step is int ladder && !known.Ladders.ContainsKey((fact.CourseId, ladder)), "step", $"{fact.CourseId} has no such ladder: its steps come first");
                break;
            case FactKind.Answered:
                row.RefuseIf(fact.Note is not ("yes" or "no" or "later"), "note", "one of yes, no, later is wanted");
                break;
            case FactKind.Received or FactKind.Void:
                row.RefuseIf(fact.Note is null, "note", "required: the fact_id that is meant");
                break;
            default:
                break;
        }
    }

    private void RefuseCount(RowReader row, Fact count)
    {
        row.RefuseIf(count.ProductId is null, "product_id", "required");
        row.RefuseIf(count.Containers is null, "containers", "required: the number of sealed containers, 0 if none");
        if (count.ProductId is null)
            return;
        var product = known.Products[count.ProductId];
        row.RefuseIf(product.Kind == ProductKind.PrefilledSyringe && count.Volume > Volume.Zero, "volume_ml", "a prefilled syringe is never open");
        row.RefuseIf(count.Volume > product.Volume, "volume_ml", $"a container of {product.Id} holds {product.Volume} mL; overfill is never counted");
        row.RefuseIf(count.OpenedOn > count.On, "opened_on", "opened after it was counted");
        row.RefuseIf(count.OpenedOn is not null && !(count.Volume > Volume.Zero), "opened_on", "nothing is left in an open container, so none was opened");
    }

    // What other facts make impossible.
    private void RefuseByOthers(RowReader row, Fact fact, HashSet<string?> takenBack)
    {
        switch (fact.Kind)
        {
            case FactKind.Counted when !takenBack.Contains(fact.Id):
                row.RefuseIf(!_counts.Add(CountKey(fact)), "on", $"{fact.ProductId} was counted that day already: take the other count back first");
                break;
            case FactKind.Received:
                var fill = Find(fact.Note!, fact.CourseId);
                row.RefuseIf(fill?.Kind != FactKind.Dispensed, "note", $"no fill of {fact.CourseId} on record");
                row.RefuseIf(fill is not null && fact.On < fill.On, "on", "arrived before it was handed over");
                break;
            case FactKind.Void:
                var meant = Find(fact.Note!, fact.CourseId);
                row.RefuseIf(meant is null, "note", $"no fact of {fact.CourseId} on record");
                row.RefuseIf(meant?.Kind == FactKind.Void, "note", "a void cannot be taken back: record the fact anew");
                row.RefuseIf(known.Voided.Contains(fact.Note!), "note", "taken back already");
                break;
            default:
                break;
        }
    }

    private Fact? Find(string factId, string courseId) =>
        known.Facts.TryGetValue(factId, out var fact) && fact.CourseId == courseId ? fact : null;

    private IEnumerable<List<Step>> LaddersOf(string courseId) =>
        Enumerable.Range(1, CourseJudge.MostLadders).Select(ladder => known.Ladders.GetValueOrDefault((courseId, ladder))).OfType<List<Step>>();

    private static (string, string, NodaTime.LocalDate) CountKey(Fact fact) => (fact.CourseId, fact.ProductId ?? string.Empty, fact.On);
}
