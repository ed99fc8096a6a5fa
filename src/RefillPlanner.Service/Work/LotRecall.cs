using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>A course whose patient has, or may have, containers of a recalled lot, or for whom some wait in the pharmacy.</summary>
/// <param name="Course">The course.</param>
/// <param name="Holding">What there is of the lot.</param>
/// <param name="Products">Of which products.</param>
/// <param name="Call">The call that was queued; null: none, because nothing of it left the pharmacy, or the patient is not active.</param>
public sealed record LotHolder(CourseSnapshot Course, LotHolding Holding, IReadOnlyList<string> Products, TaskKey? Call);

/// <summary>
/// A recalled lot: who has it is found, the stock is recorded as thrown away, their plans are made anew and calls queued, all in one transaction.
/// Doing it twice finds nobody the second time.
/// </summary>
public sealed class LotRecall(Desk desk, PatientPlanning planning)
{
    private const string Recalled = "lot recalled";

    /// <summary>Recalls a lot.</summary>
    /// <param name="lot">The lot, as recorded with fills.</param>
    /// <param name="productId">Only of this product; null: of every one.</param>
    /// <param name="by">Who does it.</param>
    /// <param name="isDryRun">Find only: nothing is written.</param>
    /// <returns>The holders in order of course.</returns>
    public IReadOnlyList<LotHolder> Recall(string lot, string? productId, string by, bool isDryRun)
    {
        using var transaction = desk.Database.Begin();
        var holders = Find(transaction, lot, productId);
        for (var index = 0; index < holders.Count; index++)
            holders[index] = holders[index] with { Call = ThrowAway(transaction, holders[index], lot, productId, by) };
        PlanAnew(transaction, holders.Select(holder => holder.Course));
        if (!isDryRun)
            transaction.Commit();
        return holders;
    }

    /// <summary>Takes a recall back: its facts are voided, and calls not yet made are withdrawn.</summary>
    /// <returns>The courses concerned, in order; empty: the lot was not recalled, or all of it was taken back before.</returns>
    public IReadOnlyList<CourseSnapshot> Undo(string lot, string? productId, string by, bool isDryRun)
    {
        using var transaction = desk.Database.Begin();
        var now = desk.Now;
        var courses = new List<CourseSnapshot>();
        foreach (var courseId in transaction.Ledger.ListFactsOfLot(lot).Select(fact => fact.CourseId).Distinct().ToArray())
        {
            var course = FindCourse(transaction, courseId)!;
            var recalled = ListRecalled(transaction, course, lot, productId).ToArray();
            foreach (var fact in recalled)
                Add(transaction, new Fact { Id = CourseSigning.FreeId(transaction, $"void {fact.Id}"), CourseId = courseId, Kind = FactKind.Void, On = Desk.Today(course.Site, now), Note = fact.Id }, by, $"recall of the lot taken back: {lot}");
            if (recalled.Length > 0)
                courses.Add(course);
        }

        PlanAnew(transaction, courses);
        if (!isDryRun)
            transaction.Commit();
        return courses;
    }

    // The facts by which a recall threw stock away, or brought a fill forward that was on its way, and which nobody has taken back.
    private static IEnumerable<Fact> ListRecalled(StoreTransaction transaction, CourseSnapshot course, string lot, string? productId)
    {
        var fills = course.Facts.Where(fact => fact.Kind == FactKind.Dispensed && fact.Lot == lot && (productId is null || fact.ProductId == productId)).Select(fact => fact.Id).ToHashSet();
        return course.Facts.Where(fact =>
            ((fact.Kind == FactKind.Discarded && fact.Lot == lot && (productId is null || fact.ProductId == productId)) || (fact.Kind == FactKind.Received && fills.Contains(fact.Note!)))
            && !course.Facts.Any(other => other.Kind == FactKind.Void && other.Note == fact.Id)
            && transaction.Audit.ListAbout(AuditSubject.Fact, fact.Id).Any(row => row.Note?.StartsWith(Recalled, StringComparison.Ordinal) == true));
    }

    private List<LotHolder> Find(StoreTransaction transaction, string lot, string? productId)
    {
        var holders = new List<LotHolder>();
        foreach (var facts in transaction.Ledger.ListFactsOfLot(lot)
            .Where(fact => fact.Kind is FactKind.Dispensed or FactKind.Prepared && (productId is null || fact.ProductId == productId))
            .GroupBy(fact => fact.CourseId).ToArray())
        {
            var course = FindCourse(transaction, facts.Key)!;
            var holding = LotHolding.Of(course, desk.Settings.PolicyOf(course.Site.Id), Desk.Today(course.Site, desk.Now), lot, productId);
            if (holding.IsHeld || holding.Waiting.Count > 0)
                holders.Add(new LotHolder(course, holding, [.. facts.Select(fact => fact.ProductId!).Distinct().Order(StringComparer.Ordinal)], Call: null));
        }

        return holders;
    }

    // What is in hand is thrown away today. What is on its way is taken to have come today, and is thrown away with it: from today on no plan counts on
    // it. Should somebody take that back because it did not come, it is still thrown away on the day on which it comes.
    private TaskKey? ThrowAway(StoreTransaction transaction, LotHolder holder, string lot, string? productId, string by)
    {
        var (course, today) = (holder.Course, Desk.Today(holder.Course.Site, desk.Now));
        var thrown = new Fact { Id = FreeId(transaction, lot, course, today), CourseId = course.Course.Id, Kind = FactKind.Discarded, On = today, ProductId = productId, Lot = lot };
        Add(transaction, thrown, by, $"{Recalled}: {lot}");
        foreach (var fill in holder.Holding.OnTheirWay)
        {
            var come = new Fact { Id = CourseSigning.FreeId(transaction, $"recall {Iso(today)} on its way {fill.Id}"), CourseId = course.Course.Id, Kind = FactKind.Received, On = today, Note = fill.Id };
            Add(transaction, come, by, $"{Recalled}: {lot}, on its way until {Iso(LotHolding.ArrivesOn(course, fill))}; taken as come and thrown away on this day");
        }

        foreach (var arrivesOn in holder.Holding.OnTheirWay.Select(fill => LotHolding.ArrivesOn(course, fill)).Distinct())
            Add(transaction, thrown with { Id = FreeId(transaction, lot, course, arrivesOn), On = arrivesOn }, by, $"{Recalled}: {lot}");
        if (course.Patient.Status != PatientStatus.Active || !holder.Holding.IsHeld)
            return null;
        var hours = new WorkHours(course.Site, course.Patient, desk.Settings.PolicyOf(course.Site.Id), today);
        var call = CallTasks.Recall(course, thrown, $"Lot {lot} is recalled. {RecallText.Of(holder)} Ask that none of it is used, and arrange its return.", hours);
        transaction.Tasks.Apply([new TaskChange(call.Key, call, IsNew: true)], desk.Now);
        return call.Key;
    }

    private void PlanAnew(StoreTransaction transaction, IEnumerable<CourseSnapshot> courses)
    {
        foreach (var patientId in courses.Select(course => course.Patient.Id).Distinct())
            planning.Plan(transaction, patientId);
    }

    private void Add(StoreTransaction transaction, Fact fact, string by, string note)
    {
        transaction.Ledger.Add(fact, desk.Now, by);
        transaction.Audit.Add(desk.Now, by, AuditSubject.Fact, fact.Id, null, Kebab.Of(fact.Kind), note);
    }

    private static string FreeId(StoreTransaction transaction, string lot, CourseSnapshot course, LocalDate on) =>
        CourseSigning.FreeId(transaction, $"recall {Iso(on)} {course.Course.Id} {lot.Replace('/', '-')}");

    private static string Iso(LocalDate date) => NodaTime.Text.LocalDatePattern.Iso.Format(date);

    private static CourseSnapshot? FindCourse(StoreTransaction transaction, string courseId) => transaction.Snapshots.FindPatientId(courseId) is string patientId
        ? transaction.Snapshots.Find(patientId)?.Courses.First(course => course.Course.Id == courseId)
        : null;
}

/// <summary>What a patient has of a recalled lot, in words.</summary>
public static class RecallText
{
    /// <summary>One sentence, or two.</summary>
    public static string Of(LotHolder holder)
    {
        var holding = holder.Holding;
        string[] parts =
        [
            .. holding.Sealed > 0 ? [$"{holding.Sealed} sealed in hand"] : Array.Empty<string>(),
            .. holding.HasOpen ? ["one open"] : Array.Empty<string>(),
            .. holding.MayBeInUse ? ["used up by the walk, but it may still be in use"] : Array.Empty<string>(),
            .. holding.OnTheirWay.Select(fill => $"{fill.Containers} on the way, to arrive on {DateText.Full(LotHolding.ArrivesOn(holder.Course, fill))}, not counted as supply from the recall on"),
            .. holding.Waiting.Select(made => $"{made.Containers} made up in the pharmacy ({made.Id}): not to be handed over"),
        ];
        return $"{string.Join(", ", holder.Products)}: {string.Join("; ", parts)}.";
    }
}
