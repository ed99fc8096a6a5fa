using System;
using System.Collections.Concurrent;
using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using CsCheck;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using Xunit;

namespace RefillPlanner.Core.Tests.Literal;

public sealed class RandomCoursesTests
{
    private const int Courses = 4_000;

    private static readonly string[] CodesOfTheSupplyModel =
    [
        FindingCode.DoseBelowFirstMark, FindingCode.DoseOffMarks, FindingCode.DoseRounded, FindingCode.DoseSplit, FindingCode.DoseOffDial,
        FindingCode.StrengthBarrelMismatch, FindingCode.DoseNotInSyringe, FindingCode.DoseJump, FindingCode.IntervalTooShort,
        FindingCode.DoseExceedsContainer, FindingCode.CheckWaived, FindingCode.PausedOpen, FindingCode.DosesMissed, FindingCode.ApprovalNotCurrent,
        FindingCode.HoldTooLate, FindingCode.CountExceedsRecord, FindingCode.CountBelowRecord, FindingCode.OpeningDateUnknown,
        FindingCode.OpeningDisagrees, FindingCode.OpenedWithoutStock, FindingCode.DoseWithoutStock,
    ];

    [Fact]
    public void Random_courses_meet_every_outcome_every_limit_and_every_finding()
    {
        var seen = new ConcurrentDictionary<string, int>(StringComparer.Ordinal);
        RandomCourses.Any.Sample(
            made =>
            {
                var outcome = LiteralWalk.Of(made.Course, made.Policy, made.AsOf);
                IEnumerable<string> marks =
                [
                    outcome.Outcome.ToString(), $"limit {outcome.BindingLimit}", $"if held {outcome.RunOutIfHeldOn is not null}", $"if held differs {outcome.RunOutIfHeldOn is not null && outcome.RunOutIfHeldOn != outcome.RunOutOn}",
                    outcome.Outcome == Outcome.RunsOut ? $"covered {outcome.DosesCovered switch { 0 => "0", < 5 => "1-4", < 20 => "5-19", _ => "20+" }}" : "covered -",
                    .. outcome.Findings.Select(finding => finding.Code),
                ];
                foreach (var mark in marks)
                    seen.AddOrUpdate(mark, 1, (_, count) => count + 1);
            },
            iter: Courses);

        var wanted = CodesOfTheSupplyModel
            .Concat(Enum.GetNames<Outcome>())
            .Concat(Enum.GetNames<BindingLimit>().Select(limit => $"limit {limit}"));
        var spread = string.Join(Environment.NewLine, seen.OrderBy(mark => mark.Key, StringComparer.Ordinal).Select(mark => $"{mark.Key}: {mark.Value}"));
        TestContext.Current.SendDiagnosticMessage(spread);
        Assert.True(wanted.All(mark => seen.GetValueOrDefault(mark) >= Courses / 400), spread);
    }

    [Fact]
    public void Supply_is_conserved_when_nothing_was_counted() =>
        RandomCourses.Uncounted.Sample(
            made =>
            {
                var (whole, leftOver) = LiteralWalk.WholeWalk(made.Course, made.Policy, made.AsOf);
                Assert.Equal(whole.Arrived, whole.Used + whole.Lost + whole.Discarded + leftOver);
            },
            iter: Courses);

    [Theory]
    [MemberData(nameof(Walks.Names), MemberType = typeof(Walks))]
    public void Supply_is_conserved_from_the_first_day_on(string walk) =>
        RandomCourses.Uncounted.Sample(
            made =>
            {
                var asOf = made.Course.Facts.Select(fact => fact.On).Append(made.Course.Course.StartedOn).Min();
                var outcome = Walks.Of(walk, made.Course, made.Policy, asOf);
                if (outcome.Outcome == Outcome.NotComputed)
                    return;
                var end = outcome.RunOutOn ?? outcome.EndsOn ?? asOf.PlusDays(made.Policy.HorizonDays);
                var voided = made.Course.Facts.Where(fact => fact.Kind == FactKind.Void && fact.On <= asOf).Select(fact => fact.Note).ToList();
                var received = made.Course.Facts.Where(fact => fact.Kind == FactKind.Received && fact.On <= asOf && !voided.Contains(fact.Id)).Select(fact => fact.Note).ToList();
                var arrived = made.Course.Facts
                    .Where(fact => fact.Kind == FactKind.Dispensed && fact.On <= asOf && !voided.Contains(fact.Id))
                    .Where(fact => received.Contains(fact.Id) || (fact.Until ?? fact.On) <= end)
                    .Sum(fact => fact.Containers!.Value * (made.Course.Products[fact.ProductId!].Volume?.Ml ?? 0));
                Assert.Equal(arrived, (outcome.Used + outcome.Lost + outcome.Discarded + outcome.LeftOver).Ml);
            },
            iter: 2_000);

    [Theory]
    [MemberData(nameof(Walks.Names), MemberType = typeof(Walks))]
    public void The_order_of_recording_does_not_matter(string walk) =>
        RandomCourses.Any.Sample(
            made =>
            {
                var turned = made.Course with { Facts = [.. made.Course.Facts.Reverse()] };
                Assert.Equal(Told.Fields(Walks.Of(walk, made.Course, made.Policy, made.AsOf)), Told.Fields(Walks.Of(walk, turned, made.Policy, made.AsOf)));
            },
            iter: 2_000);

    [Theory]
    [InlineData("program")]
    public void Every_walk_answers_as_the_literal_one(string walk) =>
        RandomCourses.Any.Sample(
            made => Assert.Equal(Told.Fields(LiteralWalk.Of(made.Course, made.Policy, made.AsOf)), Told.Fields(Walks.Of(walk, made.Course, made.Policy, made.AsOf))),
            iter: int.TryParse(Environment.GetEnvironmentVariable("REFILL_PLANNER_COURSES"), NumberStyles.None, CultureInfo.InvariantCulture, out var courses) ? courses : 20_000,
            print: Print);

    private static string Print((CourseSnapshot Course, Policy Policy, NodaTime.LocalDate AsOf) made)
    {
        var (course, policy, asOf) = made;
        IEnumerable<string> lines =
        [
            $"as of {asOf:uuuu-MM-dd}, horizon {policy.HorizonDays}, split {policy.SplitDraws}, off {policy.OffMarksPercent}, jump {policy.DoseJumpHundredths}",
            course.Course.ToString(),
            .. course.Products.Values.Select(product => product.ToString()),
            .. course.Steps.OrderBy(step => (step.Ladder, step.Number)).Select(step => $"{step with { Doses = [] }} {string.Join(';', step.Doses)} on {course.FindDevice(step)}"),
            .. course.Facts.OrderBy(fact => fact.On).Select(fact => fact.ToString()),
            Told.Fields(LiteralWalk.Of(course, policy, asOf)),
        ];
        return string.Join(Environment.NewLine, lines);
    }
}
