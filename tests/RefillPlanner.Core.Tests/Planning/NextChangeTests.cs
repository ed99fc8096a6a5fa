using System;
using System.Linq;
using System.Threading;
using CsCheck;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tests.Literal;
using RefillPlanner.Core.Tests.Properties;
using Xunit;

namespace RefillPlanner.Core.Tests.Planning;

/// <summary>A plan is a function of facts and policy: it names the day on which time alone may change it, and until then nothing does.</summary>
public sealed class NextChangeTests
{
    private const int MostDays = 45;

    private static readonly ThreadLocal<Workbench> Bench = new(() => new Workbench());

    private static readonly Gen<(SharpsContainer[] Sharps, int Days)> Others = Gen.Select(
        Gen.Select(Gen.Int[-200, 30], Gen.Int[4, 120], Gen.Int[0, 60], Gen.Bool, Gen.Bool).Array[0, 3],
        Gen.Int[1, MostDays],
        (rows, days) => (rows.Select((row, index) => Container(index, row)).ToArray(), days));

    [Fact]
    public void Nothing_changes_before_the_day_that_the_plan_names() => Gen.Select(RandomCourses.Any, Others).Sample(
        made =>
        {
            var ((course, policy, asOf), (sharps, _)) = made;
            var first = Measure(course, sharps, policy, asOf);
            var figures = first.Bytes.ToArray();
            var changeOn = first.ChangeOn ?? asOf.PlusDays(MostDays);
            var words = Words(first.Say());
            Assert.True(changeOn > asOf);
            for (var day = asOf.PlusDays(1); day < changeOn && day <= asOf.PlusDays(MostDays); day = day.PlusDays(1))
            {
                var later = Measure(course, sharps, policy, day);
                if (!later.Bytes.SequenceEqual(figures))
                    Courses.Fail($"{day:uuuu-MM-dd} differs, {changeOn:uuuu-MM-dd} was named\n{words}\n{Words(later.Say())}", course, policy, asOf);
            }
        },
        iter: 2_000);

    [Fact]
    public void The_same_figures_mean_the_same_needs_in_the_same_words() => Gen.Select(RandomCourses.Any, Others).Sample(
        made =>
        {
            var ((course, policy, asOf), (sharps, days)) = made;
            var first = Measure(course, sharps, policy, asOf);
            var figures = first.Bytes.ToArray();
            var words = Words(first.Say());
            var later = Measure(course, sharps, policy, asOf.PlusDays(days));
            if (later.Bytes.SequenceEqual(figures) && Words(later.Say()) != words)
                Courses.Fail($"{days} days later\n{words}\n{Words(later.Say())}", course, policy, asOf);
        },
        iter: 5_000);

    private static PatientFigures Measure(CourseSnapshot course, SharpsContainer[] sharps, Policy policy, LocalDate asOf) =>
        PlanningPipeline.Measure([course], [.. sharps.Select(container => Dated(container, course.Course.StartedOn))], policy, asOf, Bench.Value!);

    // What tasks and the lines of the list are made from.
    private static string Words(PatientPlan plan) => string.Join('\n', plan.Courses.Select(course => string.Join(
        " | ",
        [
            course.Supply.Outcome.ToString(),
            $"step {course.Supply.Step}",
            $"{course.Supply.RunOutOn} {course.Supply.RunOutIfHeldOn} {course.Supply.BindingLimit}",
            course.Refill is RefillPlan refill ? string.Join(' ', refill with { LateDays = 0, Items = [], Supplies = [] }, string.Join(',', refill.Items)) : "no refill",
            string.Join(',', course.StepUps),
            $"{course.HeldBack}",
            string.Join(',', course.Discards),
            string.Join(',', course.UnconfirmedFills.Concat(course.UncollectedFills).Select(fact => fact.Id)),
            string.Join(',', course.Surpluses.Select(surplus => surplus.Text)),
            string.Join(',', course.Findings.Select(finding => $"{finding.Code}: {finding.Text}")),
        ])).Concat(plan.Sharps.Select(forecast => forecast.IsOut ? $"{forecast with { Used = 0 }}" : $"{forecast.SharpsId} {forecast.State}")));

    private static SharpsContainer Container(int index, (int IssuedAfter, int Capacity, int BackAfter, bool IsBack, bool HasClass) row) => new()
    {
        Id = $"SH-{index}",
        PatientId = "P",
        Capacity = row.Capacity,
        IssuedOn = new LocalDate(2000, 1, 1).PlusDays(row.IssuedAfter),
        ReturnedOn = row.IsBack ? new LocalDate(2000, 1, 1).PlusDays(row.IssuedAfter + row.BackAfter) : null,
        ContainerClass = row.HasClass ? "hazardous" : null,
    };

    // Dates are made relative to the start of the course.
    private static SharpsContainer Dated(SharpsContainer container, LocalDate startedOn)
    {
        var days = Period.DaysBetween(new LocalDate(2000, 1, 1), startedOn) + 100;
        return container with { IssuedOn = container.IssuedOn.PlusDays(days), ReturnedOn = container.ReturnedOn?.PlusDays(days) };
    }
}
