using System;
using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Service.Import;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>What a decision came to.</summary>
/// <param name="Fact">What was recorded; null: the decision was refused, and nothing was.</param>
/// <param name="Refusal">Why, and what to do; null: it was not refused.</param>
/// <param name="Course">The course as it is now.</param>
/// <param name="Plan">The plan that follows; null: the decision was refused.</param>
public sealed record SigningOutcome(Fact? Fact, string? Refusal, CourseSnapshot? Course, CoursePlan? Plan);

/// <summary>A pharmacist's decisions: recorded, audited and planned anew in one transaction.</summary>
public sealed class CourseSigning(Desk desk, PatientPlanning planning)
{
    private const int LongestId = 64;

    /// <summary>Approves or holds a coming step.</summary>
    /// <param name="courseId">The course.</param>
    /// <param name="decision">The decision.</param>
    public SigningOutcome Sign(string courseId, StepDecision decision)
    {
        using var transaction = desk.Database.Begin();
        if (Find(transaction, courseId) is not (PatientSnapshot snapshot, CourseSnapshot course))
            return Refuse($"There is no course {courseId}.");
        var (plan, _) = planning.Work(snapshot, desk.Now);
        var answer = Signing.Judge(course, plan.Courses.First(course => course.CourseId == courseId), decision);
        if (answer.Fact is not Fact judged)
            return Refuse(answer.Refusal!);
        var fact = judged with { Id = FreeId(transaction, $"{Kebab.Of(judged.Kind)} {judged.Step} {Iso(judged.On)} {courseId}") };
        transaction.Ledger.Add(fact, desk.Now, decision.By);
        if (fact.Signed is not null)
            transaction.Signatures.Add(fact.Id, fact.Signed);
        transaction.Audit.Add(desk.Now, decision.By, AuditSubject.Fact, fact.Id, null, Kebab.Of(fact.Kind), $"{courseId}, step {fact.Step}{(fact.Until is LocalDate until ? $", {Iso(until)}" : string.Empty)}{(fact.Signed is null ? string.Empty : $": {fact.Signed}")}");
        return Finish(transaction, snapshot.Patient.Id, fact);
    }

    /// <summary>Steps back: takes a new ladder, and lets it begin.</summary>
    /// <param name="courseId">The course.</param>
    /// <param name="steps">The new ladder as the text of a <c>steps.csv</c>: rows of one new ladder of this course.</param>
    /// <param name="from">Its first dosing day; null: today.</param>
    /// <param name="by">Name of the pharmacist.</param>
    public SigningOutcome StepBack(string courseId, string steps, LocalDate? from, string by)
    {
        using var transaction = desk.Database.Begin();
        if (Find(transaction, courseId) is not (PatientSnapshot snapshot, CourseSnapshot course))
            return Refuse($"There is no course {courseId}.");
        var today = Desk.Today(course.Site, desk.Now);
        if (from < today)
            return Refuse($"--from {Iso(from.Value)} has passed: a new ladder begins today, {Iso(today)}, at the earliest.");
        var before = course.Steps.Select(step => step.Ladder).ToHashSet();
        var files = RosterJudge.Take(RosterFolder.Of(new Dictionary<string, string> { ["steps.csv"] = steps }), transaction, desk.Now, by);
        transaction.Roster.Clear();
        if (files.SelectMany(file => file.Sheet.FileRefusals.Concat(file.ListRefusals())).ToArray() is { Length: > 0 } refusals)
            return Refuse(string.Join('\n', refusals.Select(refusal => refusal.ToString())));
        var added = transaction.Ledger.ListSteps(courseId).Where(step => !before.Contains(step.Ladder)).ToArray();
        var ladders = added.Select(step => step.Ladder).Distinct().ToArray();
        if (ladders.Length != 1 || files.Sum(file => file.New) != added.Length)
            return Refuse($"The steps must be those of one new ladder of {courseId}, and of nothing else: it has the ladders {string.Join(", ", before.Order())}, so number them {(before.Max() + 1).ToString(CultureInfo.InvariantCulture)}.");
        var fact = new Fact { Id = string.Empty, CourseId = courseId, Kind = FactKind.LadderStarted, On = from ?? today, Step = ladders[0] };
        fact = fact with { Id = FreeId(transaction, $"ladder {fact.Step} {Iso(fact.On)} {courseId}") };
        transaction.Ledger.Add(fact, desk.Now, by);
        transaction.Audit.Add(desk.Now, by, AuditSubject.Fact, fact.Id, null, Kebab.Of(fact.Kind), $"{courseId}, stepped back: ladder {fact.Step} from {Iso(fact.On)}");
        return Finish(transaction, snapshot.Patient.Id, fact);
    }

    private SigningOutcome Finish(StoreTransaction transaction, string patientId, Fact fact)
    {
        var plan = planning.Plan(transaction, patientId)!.Courses.First(course => course.CourseId == fact.CourseId);
        var course = Find(transaction, fact.CourseId)!.Value.Course;
        transaction.Commit();
        return new SigningOutcome(fact, Refusal: null, course, plan);
    }

    private static (PatientSnapshot Snapshot, CourseSnapshot Course)? Find(StoreTransaction transaction, string courseId) =>
        transaction.Snapshots.FindPatientId(courseId) is string patientId && transaction.Snapshots.Find(patientId) is PatientSnapshot snapshot
            ? (snapshot, snapshot.Courses.First(course => course.Course.Id == courseId))
            : null;

    /// <summary>An id that no fact has, made from a text: cut to its longest length, with a number where it is taken.</summary>
    public static string FreeId(StoreTransaction transaction, string text)
    {
        for (var number = 1; ; number++)
        {
            var tail = number == 1 ? string.Empty : $" {number.ToString(CultureInfo.InvariantCulture)}";
            var id = text[..int.Min(text.Length, LongestId - tail.Length)].TrimEnd() + tail;
            if (transaction.Ledger.FindFact(id) is null)
                return id;
        }
    }

    private static SigningOutcome Refuse(string why) => new(Fact: null, why, Course: null, Plan: null);

    private static string Iso(LocalDate date) => NodaTime.Text.LocalDatePattern.Iso.Format(date);
}
