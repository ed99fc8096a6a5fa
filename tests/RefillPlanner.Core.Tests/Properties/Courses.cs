using System;
using System.Collections.Generic;
using System.Collections.Immutable;
using System.Linq;
using System.Threading;
using CsCheck;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tests.Literal;
using Xunit;

namespace RefillPlanner.Core.Tests.Properties;

/// <summary>Random courses for the properties, the ways in which they are narrowed, and how two answers are compared.</summary>
internal static class Courses
{
    /// <summary>At least so many courses meet a property's precondition in each run.</summary>
    public const int Wanted = 10_000;

    /// <summary>Samples until enough courses have met the precondition; a course for which the property says nothing returns false.</summary>
    public static void Hold(Gen<(CourseSnapshot Course, Policy Policy, LocalDate AsOf)> any, int samples, Func<CourseSnapshot, Policy, LocalDate, bool> property)
    {
        var met = 0;
        any.Sample(
            made =>
            {
                if (property(made.Course, made.Policy, made.AsOf))
                    Interlocked.Increment(ref met);
            },
            iter: samples);
        Assert.True(met >= Wanted, $"Only {met} of {samples} courses met the precondition.");
    }

    /// <summary>Fails with both answers and the course unless they are the same in every field and text.</summary>
    public static void Same(SupplyOutcome expected, SupplyOutcome actual, CourseSnapshot course, Policy policy, LocalDate asOf)
    {
        if (Everything(expected) != Everything(actual))
            Fail($"expected {Everything(expected)}\nactual   {Everything(actual)}", course, policy, asOf);
    }

    public static void Fail(string what, CourseSnapshot course, Policy policy, LocalDate asOf) =>
        throw new InvalidOperationException($"as of {asOf:uuuu-MM-dd}\n{what}\n{Told.Describe(course, policy)}");

    /// <summary>
    /// The run-out as a day that can be compared: an end of the course or the horizon is later than every run-out. Null: not computed,
    /// there is no date to compare.
    /// </summary>
    public static int? RunOut(SupplyOutcome outcome) => outcome.Outcome switch
    {
        Outcome.NotComputed => null,
        Outcome.RunsOut => DayNumber.Of(outcome.RunOutOn!.Value),
        _ => DayNumber.Never,
    };

    /// <summary>
    /// The same course with one size in each family: every container of a family is alike, and none is counted to hold more than a
    /// full one (the import refuses that).
    /// </summary>
    public static CourseSnapshot OneSize(CourseSnapshot course)
    {
        string? Family(string? id) => id is null ? null : course.Products[id].Family;
        Volume? NoMoreThanFull(Fact fact) => fact.Volume is Volume left && course.Products[Family(fact.ProductId)!].Volume is Volume full && left > full ? full : fact.Volume;
        return course with
        {
            Products = course.Products.Values.Where(product => product.SizeOf is null).ToImmutableDictionary(product => product.Id),
            Steps = [.. course.Steps.Select(step => step with { ProductId = Family(step.ProductId)! })],
            Facts =
            [
                .. course.Facts.Select(fact => fact with { ProductId = Family(fact.ProductId), Volume = NoMoreThanFull(fact) })
                    .GroupBy(fact => fact.Kind == FactKind.Counted ? (object)(fact.On, fact.ProductId) : fact)
                    .Select(group => group.First()),
            ],
        };
    }

    public static CourseSnapshot Without(CourseSnapshot course, Func<Fact, bool> left) => course with { Facts = [.. course.Facts.Where(fact => !left(fact))] };

    public static bool Has(SupplyOutcome outcome, string code) => outcome.Findings.Any(finding => finding.Code == code);

    /// <summary>The day on which a fill arrives.</summary>
    public static LocalDate ArrivesOn(Fact fill, IReadOnlyList<Fact> facts) =>
        facts.Where(fact => fact.Kind == FactKind.Received && fact.Note == fill.Id).Select(fact => (LocalDate?)fact.On).Min() ?? fill.Until ?? fill.On;

    private static string Everything(SupplyOutcome outcome) =>
        $"{Told.Fields(outcome)} {string.Join(" | ", outcome.Findings.Select(finding => $"{finding.Code}: {finding.Text}"))}";
}
