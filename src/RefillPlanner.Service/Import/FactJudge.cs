using System;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Import;

/// <summary>
/// Judges facts against their course and against each other. The order of the rows does not matter: what names another fact, and
/// counts, which a void may free, are kept until all rows have been seen.
/// </summary>
internal sealed class FactJudge(References references)
{
    private readonly LastCourses<CourseLadders?> _ladders = new(most: 10_000, courseId => CourseLadders.Find(references.Ledger, courseId));
    private readonly LastCourses<CountedFacts> _counted = new(most: 1_000, courseId => new CountedFacts(references.Ledger, courseId));
    private readonly FileJudgement _file = references.Judgement(RosterSchema.Facts);
    private readonly RosterLedger _ledger = references.Ledger;

    /// <summary>Takes the new facts.</summary>
    public void Take()
    {
        foreach (var row in _file.Sheet.Read())
            Try(new RowReading(row), Judge);
        foreach (var row in _file.ListKept())
        {
            var reading = new RowReading(row);
            var fact = FactsFile.Parse(reading);
            Try(reading, kept => JudgeKept(kept, fact));
        }
    }

    // Nothing can be said of a fact whose course is damaged on disk.
    private void Try(RowReading reading, Action<RowReading> judge)
    {
        try
        {
            judge(reading);
        }
        catch (DamagedRowException damage)
        {
            _file.Refuse(reading.Row, "course_id", damage.Message);
        }
    }

    private void Judge(RowReading reading)
    {
        var fact = FactsFile.Parse(reading);
        var earlier = reading.IsGood ? _ledger.FindFact(fact.Id) : null;
        if (earlier is (var recorded, null))
        {
            if (recorded == fact)
                _file.Same++;
            else
                _file.Refuse(reading.Row, "fact_id", $"{fact.Id} is on record with other content: record a further fact");
            return;
        }

        if (reading.Has("course_id"))
            JudgeAgainstCourse(reading, fact);
        earlier ??= reading.IsGood ? FindKept(fact.Id) : null;
        if (reading.Fault is Refusal fault)
            _file.Refuse(reading.Row, fault);
        else if (earlier is null)
            KeepOrAdd(reading.Row, fact);
        else if (earlier.Value.Fact == fact)
            _file.Same++;
        else
            _file.Refuse(reading.Row, "fact_id", $"the id stands in line {earlier.Value.Line} with other content");
    }

    private void KeepOrAdd(RosterRow row, Fact fact)
    {
        int? turn = fact.Kind switch
        {
            FactKind.Received => 0,
            FactKind.Void => 1,
            FactKind.Counted => 2,
            _ => null,
        };
        if (turn is int later)
            _file.Keep(row, later);
        else
            Add(fact, row.Line);
    }

    private void Add(Fact fact, int? line)
    {
        _ledger.Add(fact, line);
        _file.New++;
    }

    private void JudgeAgainstCourse(RowReading reading, Fact fact)
    {
        if (_ladders.Of(reading["course_id"]) is not CourseLadders ladders)
        {
            references.Course(reading, "course_id");
            return;
        }

        if (!reading.IsGood)
            return;
        if (fact.ProductId is not null && references.Product(reading, "product_id") is Product product)
        {
            if (!ladders.Families.Contains(product.Family))
                reading.Refuse("product_id", $"no step of {fact.CourseId} calls for {product.Id}");
            JudgeProduct(reading, fact, product);
        }

        if (fact.Kind == FactKind.LadderStarted && !ladders.Numbers.Contains(fact.Step!.Value))
            reading.Refuse("step", $"{fact.CourseId} has no ladder {fact.Step}");
        if (fact.Kind is FactKind.Approved or FactKind.Held && fact.Step > ladders.LongestLadder)
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

    private void JudgeKept(RowReading reading, Fact fact)
    {
        if (fact.Kind == FactKind.Received)
            JudgeReceived(reading, fact);
        else if (fact.Kind == FactKind.Void)
            JudgeVoid(reading, fact);
        else if (_counted.Of(fact.CourseId).FindOther(fact) is string other)
            reading.Refuse("on", $"{other} counts {fact.ProductId} on this day already: void it first");
        if (reading.Fault is not Refusal fault)
        {
            Add(fact, line: null);
            return;
        }

        _file.Refuse(reading.Row, fault);
        _file.Forget(reading.Row);
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
        else if (!_counted.Of(fact.CourseId).TakeBack(taken.Id))
            reading.Refuse("note", $"{taken.Id} is voided already");
    }

    private Fact? FindFact(string id) => (_ledger.FindFact(id) ?? FindKept(id))?.Fact;

    private (Fact Fact, int? Line)? FindKept(string id) =>
        _file.FindKept(id) is RosterRow row ? (FactsFile.Parse(new RowReading(row)), row.Line) : null;
}
