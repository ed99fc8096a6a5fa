using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tests.Literal;
using Xunit;

namespace RefillPlanner.Core.Tests.Published;

/// <summary>The computation, and the literal walk of the tests, against values that others have published.</summary>
public sealed class SupplyRulings
{
    private const int DaysAhead = 400;

    public static IEnumerable<TheoryDataRow<string, string>> DaysSupply() => CaseFile.List("days-supply.cases.txt");

    public static IEnumerable<TheoryDataRow<string, string>> DrawsAndMarks() => CaseFile.List("draws.cases.txt");

    public static IEnumerable<TheoryDataRow<string, string>> InUse() => CaseFile.List("in-use.cases.txt");

    public static IEnumerable<TheoryDataRow<string, string>> Titration() => CaseFile.List("titration.cases.txt");

    public static IEnumerable<TheoryDataRow<string, string>> Model() => CaseFile.List("model.cases.txt");

    [Theory]
    [MemberData(nameof(DaysSupply))]
    public void A_supply_lasts_as_published(string ruling, string source) => Check(ruling, source);

    [Theory]
    [MemberData(nameof(DrawsAndMarks))]
    public void A_dose_is_drawn_to_the_mark_that_is_taught(string ruling, string source) => Check(ruling, source);

    [Theory]
    [MemberData(nameof(InUse))]
    public void An_opened_container_is_used_through_its_last_day(string ruling, string source) => Check(ruling, source);

    [Theory]
    [MemberData(nameof(Titration))]
    public void A_ladder_steps_up_on_the_labelled_days(string ruling, string source) => Check(ruling, source);

    [Theory]
    [MemberData(nameof(Model))]
    public void The_examples_of_the_supply_model_hold(string ruling, string source) => Check(ruling, source);

    private static void Check(string ruling, string source)
    {
        Assert.NotEmpty(source);
        var (text, answer) = Phrases<SupplyCase>.Split(ruling);
        var given = SupplyCase.Read(text);
        var course = given.Course();
        new SupplyAnswer(given.StartedOn, SupplyComputation.Of(course, given.Policy, given.AsOf), ListDays(course, given.AsOf)).Check(answer);
        new SupplyAnswer(given.StartedOn, LiteralWalk.Of(course, given.Policy, given.AsOf), ListLiteralDays(course, given.AsOf)).Check(answer);
    }

    private static List<(LocalDate On, int Step, decimal Total)> ListDays(CourseSnapshot course, LocalDate asOf)
    {
        var last = DayNumber.Of(asOf) + DaysAhead;
        var days = DosingDays.Resolve(course, KnownFacts.List(course.Facts, asOf), asOf, last);
        return
        [
            .. from stretch in days.Stretches
               where !stretch.IsPaused
               from place in Enumerable.Range(0, stretch.Count)
               let step = days.Steps[stretch.Step].Step
               select (DayNumber.Date(stretch.FirstDay + (place * stretch.EveryDays)), step.Number, step.Doses.Sum(dose => dose.Value)),
        ];
    }

    private static List<(LocalDate On, int Step, decimal Total)> ListLiteralDays(CourseSnapshot course, LocalDate asOf) =>
    [
        .. from day in new LiteralDays(new LiteralRecord(course, asOf), asOf.PlusDays(DaysAhead)).All
           where !day.Paused
           select (day.On, day.Step.Number, day.Step.Doses.Sum(dose => dose.Value)),
    ];
}
