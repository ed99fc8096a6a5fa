using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tests.Literal;
using Xunit;

namespace RefillPlanner.Core.Tests.Properties;

/// <summary>What no supply can escape, and under which conditions.</summary>
public sealed class SupplyProperties
{
    [Fact]
    public void Supply_is_conserved_when_nothing_was_counted() => Courses.Hold(RandomCourses.Uncounted, Courses.Wanted, (course, policy, asOf) =>
    {
        var supply = CourseSupply.Of(course, policy, asOf, new Workbench());
        var walk = supply.Walk(supply.Days, countFrom: int.MinValue);
        var arrived = supply.Facts
            .Where(fact => fact.Kind == FactKind.Dispensed && DayNumber.Of(Courses.ArrivesOn(fact, supply.Facts)) <= walk.Day)
            .Sum(fact => fact.Containers!.Value * (course.Products[fact.ProductId!].Volume?.Nanolitres ?? 0));
        if (arrived != walk.Tally.Used + walk.Tally.Lost + walk.Tally.Discarded + walk.LeftOver)
            Courses.Fail($"arrived {arrived}, {walk.Tally}, left over {walk.LeftOver}", course, policy, asOf);
        return true;
    });

    [Fact]
    public void The_working_draws_what_the_walk_uses_and_nothing_of_a_dose_taken_back() => Courses.Hold(RandomCourses.Any, 15_000, (course, policy, asOf) =>
    {
        var supply = CourseSupply.Of(course, policy, asOf, new Workbench());
        var walk = supply.Walk(supply.Days, countFrom: int.MinValue);
        var drawn = SupplyComputation.ListWorking(course, policy, asOf).Sum(line => line.Used.Nanolitres);
        if (drawn != walk.Tally.Used)
            Courses.Fail($"the working draws {drawn}, {walk.Tally}", course, policy, asOf);
        return true;
    });

    [Fact]
    public void Supply_as_reported_is_conserved_from_the_first_day_on() => Courses.Hold(RandomCourses.Uncounted, 15_000, (course, policy, asOf) =>
    {
        // As of the first day all that arrives was dispensed on that day, and the figures reported are those of the whole walk.
        var first = course.Facts.Select(fact => fact.On).Append(course.Course.StartedOn).Min();
        var stocked = course with { Facts = [.. course.Facts.Select(fact => fact.Kind == FactKind.Dispensed ? fact with { On = first, Until = null } : fact)] };
        var outcome = SupplyComputation.Of(stocked, policy, first);
        if (outcome.Outcome == Outcome.NotComputed)
            return false;
        var known = KnownFacts.List(stocked.Facts, first);
        var through = outcome.RunOutOn ?? outcome.EndsOn ?? first.PlusDays(policy.HorizonDays);
        var arrived = known
            .Where(fact => fact.Kind == FactKind.Dispensed && Courses.ArrivesOn(fact, known) <= through)
            .Sum(fact => fact.Containers!.Value * (course.Products[fact.ProductId!].Volume?.Nanolitres ?? 0));
        if (arrived != (outcome.Used + outcome.Lost + outcome.Discarded + outcome.LeftOver).Nanolitres)
            Courses.Fail($"arrived {arrived}, {Told.Fields(outcome)}", stocked, policy, first);
        return arrived > 0;
    });

    /// <summary>
    /// The container comes on the as-of date, so what was before is as it was; what else the record holds does not matter. The one
    /// condition: containers of a family are alike. With two sizes the added one may bring a small container into use before a large
    /// dose that it cannot serve. See <see cref="SupplyPropertyLimits"/>.
    /// </summary>
    [Fact]
    public void One_more_container_never_brings_the_run_out_nearer() => Courses.Hold(RandomCourses.Any, 15_000, (any, policy, asOf) =>
        IsNoNearerWithOneMore(Courses.OneSize(any), policy, asOf, asOf));

    /// <summary>
    /// The container came at any time. Then also: nothing counted (a count overrules what was added, but the days on which containers
    /// came and were opened remain); no number of sealed containers thrown away (of the larger stock more are); and no dose before the
    /// as-of date was without stock (with the container it would have been given, and what is given is used up).
    /// </summary>
    [Fact]
    public void One_more_container_at_any_time_never_brings_the_run_out_nearer() => Courses.Hold(RandomCourses.Uncounted, 36_000, (any, policy, asOf) =>
    {
        var course = Courses.Without(Courses.OneSize(any), fact => fact.Kind == FactKind.Discarded && fact.Containers is not null);
        if (Courses.Has(SupplyComputation.Of(course, policy, asOf), FindingCode.DoseWithoutStock))
            return false;
        return IsNoNearerWithOneMore(course, policy, asOf, asOf.PlusDays(-40)) | IsNoNearerWithOneMore(course, policy, asOf, asOf.PlusDays(-10));
    });

    /// <summary>
    /// Conditions as for one more container at any time: containers of a family alike, nothing counted, no number of sealed ones thrown
    /// away, and even with the larger loss no dose before the as-of date without stock (one that was not given used nothing). No opening
    /// on record either: it throws away what is left at that moment, and a larger loss may leave less to throw away (both walks say so). Nor a lot
    /// thrown away: a larger loss may have used that lot up before, and be drawing from another.
    /// </summary>
    [Fact]
    public void A_larger_loss_never_puts_the_run_out_off() => Courses.Hold(RandomCourses.Uncounted, 36_000, (any, policy, asOf) =>
    {
        var course = Courses.Without(Courses.OneSize(any), fact => fact.Kind == FactKind.Opened || (fact.Kind == FactKind.Discarded && (fact.Containers is not null || fact.Lot is not null)));
        var less = SupplyComputation.Of(course, policy, asOf);
        var isTold = false;
        foreach (var more in new[] { 0.001m, 0.01m, 0.1m })
        {
            var lossy = course with
            {
                Course = course.Course with { Expelled = course.Course.Expelled + Volume.FromMl(more) },
                Steps = [.. course.Steps.Select(step => step with { Expelled = step.Expelled + Volume.FromMl(more) })],
            };
            var outcome = SupplyComputation.Of(lossy, policy, asOf);
            if (Courses.RunOut(less) is not int before || Courses.RunOut(outcome) is not int after || Courses.Has(outcome, FindingCode.DoseWithoutStock))
                continue;
            isTold = true;
            if (after > before)
                Courses.Fail($"{more} mL more lost\nless {Told.Fields(less)}\nmore {Told.Fields(outcome)}", course, policy, asOf);
        }

        return isTold;
    });

    private static bool IsNoNearerWithOneMore(CourseSnapshot course, Policy policy, LocalDate asOf, LocalDate on)
    {
        var without = SupplyComputation.Of(course, policy, asOf);
        var isTold = false;
        foreach (var product in course.Products.Values)
        {
            var added = new Fact { Id = "M", CourseId = "C", Kind = FactKind.Dispensed, On = on, ProductId = product.Id, Containers = 1 };
            var with = SupplyComputation.Of(course with { Facts = [.. course.Facts, added] }, policy, asOf);
            if (Courses.RunOut(without) is not int before || Courses.RunOut(with) is not int after)
                continue;
            isTold = true;
            if (after < before)
                Courses.Fail($"one more {product.Id} on {on:uuuu-MM-dd}\nwithout {Told.Fields(without)}\nwith    {Told.Fields(with)}", course, policy, asOf);
        }

        return isTold;
    }
}
