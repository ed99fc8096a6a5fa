using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Judges facts against their course and against each other. The order of the rows does not matter.</summary>
internal sealed class FactJudge(References references, IKnownLedger known)
{
    private readonly FileJudgement _file = references.Judgement(RosterSchema.Facts);
    private readonly Dictionary<string, CourseView> _views = new(StringComparer.Ordinal);
    private readonly Dictionary<string, (RowReading Reading, Fact Fact)> _new = new(StringComparer.Ordinal);

    /// <summary>The new facts; fills before what received them, and everything before what takes it back.</summary>
    public IReadOnlyList<Fact> Judge()
    {
        foreach (var row in _file.Sheet.Rows)
            JudgeRow(new RowReading(row));
        ForEach(FactKind.Received, JudgeReceived);
        ForEach(FactKind.Void, JudgeVoid);
        ForEach(FactKind.Counted, JudgeCount);
        var facts = _new.Values.Select(pair => pair.Fact).OrderBy(fact => fact.Kind switch
        {
            FactKind.Received => 1,
            FactKind.Void => 2,
            _ => 0,
        }).ToList();
        foreach (var fact in facts)
            references.Ledger.Add(fact);
        _file.New = facts.Count;
        return facts;
    }

    private void JudgeRow(RowReading reading)
    {
        var fact = FactsFile.Parse(reading);
        if (reading.IsGood && known.FindFact(fact.Id) is Fact recorded)
        {
            if (recorded == fact)
                _file.Same++;
            else
                _file.Refuse(reading.Row, "fact_id", $"{fact.Id} is on record with other content: record a further fact");
            return;
        }

        if (references.Course(reading, "course_id") is not null && reading.IsGood)
            JudgeAgainstCourse(reading, fact, View(fact.CourseId));
        if (reading.Fault is Refusal fault)
            _file.Refuse(reading.Row, fault);
        else if (_new.TryAdd(fact.Id, (reading, fact)))
            return;
        else if (_new[fact.Id].Fact == fact)
            _file.Same++;
        else
            _file.Refuse(reading.Row, "fact_id", $"the id stands in line {_new[fact.Id].Reading.Row.Line} with other content");
    }

    private void JudgeAgainstCourse(RowReading reading, Fact fact, CourseView view)
    {
        if (fact.ProductId is not null && references.Product(reading, "product_id") is Product product)
        {
            if (!view.Families.Contains(product.Family))
                reading.Refuse("product_id", $"no step of {fact.CourseId} calls for {product.Id}");
            JudgeProduct(reading, fact, product);
        }

        if (fact.Kind == FactKind.LadderStarted && !view.Ladders.Contains(fact.Step!.Value))
            reading.Refuse("step", $"{fact.CourseId} has no ladder {fact.Step}");
        if (fact.Kind is FactKind.Approved or FactKind.Held && fact.Step > view.LongestLadder)
            reading.Refuse("step", $"no ladder of {fact.CourseId} has a step {fact.Step}");
    }

    private static void JudgeProduct(RowReading reading, Fact fact, Product product)
    {
        if (product.Kind == ProductKind.PrefilledSyringe)
        {
            if (fact.Kind == FactKind.Opened)
                reading.Refuse("kind", $"{product.Id} is a prefilled-syringe, which is opened and used up by its dose");
            reading.MustBeBlank("volume_ml", $"{product.Id} is a prefilled-syringe: none is ever open");
            reading.MustBeBlank("opened_on", $"{product.Id} is a prefilled-syringe: none is ever open");
        }
        else if (fact.Volume > product.Volume)
        {
            reading.Refuse("volume_ml", $"a container of {product.Id} holds {product.Volume} mL");
        }
    }

    private void JudgeReceived(RowReading reading, Fact fact)
    {
        var fill = FindFact(fact.Note!);
        if (fill is null)
            reading.Refuse("note", _file.WhyUnknown("fact", fact.Note!));
        else if (fill.CourseId != fact.CourseId)
            reading.Refuse("note", $"{fill.Id} is a fact of another course");
        else if (fill.Kind != FactKind.Dispensed)
            reading.Refuse("note", $"{fill.Id} is no fill: it is '{Kebab.Of(fill.Kind)}'");
        else if (fact.On < fill.On)
            reading.Refuse("on", $"{fill.Id} was dispensed later");
    }

    private void JudgeVoid(RowReading reading, Fact fact)
    {
        var taken = FindFact(fact.Note!);
        if (taken is null)
            reading.Refuse("note", _file.WhyUnknown("fact", fact.Note!));
        else if (taken.CourseId != fact.CourseId)
            reading.Refuse("note", $"{taken.Id} is a fact of another course");
        else if (taken.Kind == FactKind.Void)
            reading.Refuse("note", $"{taken.Id} is a void, and a void cannot be voided");
        else if (!View(fact.CourseId).Voided.Add(taken.Id))
            reading.Refuse("note", $"{taken.Id} is voided already");
    }

    private void JudgeCount(RowReading reading, Fact fact)
    {
        var view = View(fact.CourseId);
        if (!view.Voided.Contains(fact.Id) && !view.Counts.TryAdd((fact.ProductId!, fact.On), fact.Id))
            reading.Refuse("on", $"{view.Counts[(fact.ProductId!, fact.On)]} counts {fact.ProductId} on this day already: void it first");
    }

    private Fact? FindFact(string id) => _new.TryGetValue(id, out var pair) ? pair.Fact : known.FindFact(id);

    private void ForEach(FactKind kind, Action<RowReading, Fact> judge)
    {
        foreach (var (reading, fact) in _new.Values.Where(pair => pair.Fact.Kind == kind).ToList())
        {
            judge(reading, fact);
            if (reading.Fault is not Refusal fault)
                continue;
            _file.Refuse(reading.Row, fault);
            _new.Remove(fact.Id);
        }
    }

    private CourseView View(string courseId)
    {
        if (!_views.TryGetValue(courseId, out var view))
            _views.Add(courseId, view = new CourseView(references.Ledger, known, courseId));
        return view;
    }

    /// <summary>What facts of one course are held against: its ladders, and the facts on record.</summary>
    private sealed class CourseView
    {
        private readonly Lazy<Dictionary<(string Product, LocalDate On), string>> _counts;
        private readonly Lazy<HashSet<string>> _voided;

        public CourseView(RosterLedger ledger, IKnownLedger known, string courseId)
        {
            var steps = ledger.ListSteps(courseId);
            Ladders = steps.Select(step => step.Ladder).ToHashSet();
            LongestLadder = steps.Count == 0 ? 0 : steps.Max(step => step.Number);
            Families = steps.Select(step => ledger.FindProduct(step.ProductId)?.Family ?? step.ProductId).ToHashSet(StringComparer.Ordinal);
            var facts = new Lazy<IReadOnlyList<Fact>>(() => known.ListFacts(courseId));
            _voided = new(() => facts.Value.Where(fact => fact.Kind == FactKind.Void).Select(fact => fact.Note!).ToHashSet(StringComparer.Ordinal));
            _counts = new(() => facts.Value
                .Where(fact => fact.Kind == FactKind.Counted && !Voided.Contains(fact.Id))
                .DistinctBy(fact => (fact.ProductId!, fact.On))
                .ToDictionary(fact => (fact.ProductId!, fact.On), fact => fact.Id));
        }

        public HashSet<int> Ladders { get; }

        public int LongestLadder { get; }

        public HashSet<string> Families { get; }

        /// <summary>Ids of facts taken back, on record or in this roster.</summary>
        public HashSet<string> Voided => _voided.Value;

        /// <summary>The count that holds for a product and a day.</summary>
        public Dictionary<(string Product, LocalDate On), string> Counts => _counts.Value;
    }
}
