using System;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tests.Literal;
using Xunit;

namespace RefillPlanner.Core.Tests.Properties;

/// <summary>What the record means does not depend on how it was written down. All hold of every course.</summary>
public sealed class LedgerProperties
{
    [Fact]
    public void The_order_in_which_facts_are_recorded_does_not_matter() => Courses.Hold(RandomCourses.Any, Courses.Wanted, (course, policy, asOf) =>
    {
        var expected = SupplyComputation.Of(course, policy, asOf);
        foreach (var facts in new[] { course.Facts.Reverse(), course.Facts.OrderBy(fact => fact.Id.Length).ThenByDescending(fact => fact.Id, StringComparer.Ordinal) })
            Courses.Same(expected, SupplyComputation.Of(course with { Facts = [.. facts] }, policy, asOf), course, policy, asOf);
        return true;
    });

    [Fact]
    public void A_fact_added_twice_counts_once() => Courses.Hold(RandomCourses.Any, Courses.Wanted, (course, policy, asOf) =>
    {
        var expected = SupplyComputation.Of(course, policy, asOf);
        var again = course.Facts.Select(fact => fact with { }).ToArray();
        Courses.Same(expected, SupplyComputation.Of(course with { Facts = [.. course.Facts, again[0]] }, policy, asOf), course, policy, asOf);
        Courses.Same(expected, SupplyComputation.Of(course with { Facts = [.. course.Facts, .. again] }, policy, asOf), course, policy, asOf);
        return true;
    });

    [Fact]
    public void Voiding_a_fact_restores_the_outcome_without_it() => Courses.Hold(RandomCourses.Any, Courses.Wanted, (course, policy, asOf) =>
    {
        foreach (var fact in course.Facts.Where(fact => fact.Kind != FactKind.Void))
        {
            var expected = SupplyComputation.Of(Courses.Without(course, other => other.Id == fact.Id), policy, asOf);
            foreach (var on in new[] { LocalDate.Min(fact.On, asOf), asOf })
            {
                var taken = new Fact { Id = "void", CourseId = "C", Kind = FactKind.Void, On = on, Note = fact.Id };
                Courses.Same(expected, SupplyComputation.Of(course with { Facts = [taken, .. course.Facts] }, policy, asOf), course, policy, asOf);
            }
        }

        return true;
    });

    [Fact]
    public void A_void_dated_after_the_as_of_date_changes_nothing() => Courses.Hold(RandomCourses.Any, Courses.Wanted, (course, policy, asOf) =>
    {
        var late = course.Facts.Select((fact, index) => new Fact { Id = $"void {index}", CourseId = "C", Kind = FactKind.Void, On = asOf.PlusDays(1), Note = fact.Id });
        Courses.Same(SupplyComputation.Of(course, policy, asOf), SupplyComputation.Of(course with { Facts = [.. course.Facts, .. late] }, policy, asOf), course, policy, asOf);
        return true;
    });

    [Fact]
    public void Recomputing_gives_the_same() => Courses.Hold(RandomCourses.Any, Courses.Wanted, (course, policy, asOf) =>
    {
        Courses.Same(SupplyComputation.Of(course, policy, asOf), SupplyComputation.Of(course, policy, asOf), course, policy, asOf);
        var first = SupplyComputation.ListWorking(course, policy, asOf);
        if (!first.SequenceEqual(SupplyComputation.ListWorking(course, policy, asOf)))
            Courses.Fail("The working differs.", course, policy, asOf);
        return true;
    });
}
