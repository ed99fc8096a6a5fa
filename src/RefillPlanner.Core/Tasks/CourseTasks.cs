using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Tasks;

/// <summary>The tasks that a course's plan calls for, each under the key of its need (planning model, section 6).</summary>
public sealed class CourseTasks
{
    private const int DiscardNoticeDays = 2;
    private const string ForStaff = ", staff";

    private readonly CourseSnapshot _course;
    private readonly CoursePlan _plan;
    private readonly WorkHours _hours;
    private readonly IReadOnlyList<Fact> _facts;
    private readonly string _cycle;
    private readonly List<PlannedTask> _tasks = [];

    private CourseTasks(CourseSnapshot course, CoursePlan plan, WorkHours hours)
    {
        _course = course;
        _plan = plan;
        _hours = hours;
        _facts = KnownFacts.List(course.Facts, plan.AsOf);
        _cycle = Cycle(_facts);
    }

    /// <summary>The tasks, each key once. A patient who is not active has none: all open ones are withdrawn.</summary>
    public static IReadOnlyList<PlannedTask> List(CourseSnapshot course, CoursePlan plan, WorkHours hours)
    {
        if (course.Patient.Status != PatientStatus.Active)
            return [];
        var tasks = new CourseTasks(course, plan, hours);
        tasks.AddReviews();
        tasks.AddRefill();
        tasks.AddStepUp();
        tasks.AddContainers();
        return tasks._tasks;
    }

    /// <summary>Whether the patient is to be told of a task, rather than staff alone.</summary>
    public static bool IsForPatient(PlannedTask task) => task.Kind switch
    {
        TaskKind.RefillContact => true,
        TaskKind.SharpsReturn => !SharpsTasks.IsReplacement(task),
        TaskKind.DiscardNotice => !task.Key.Text.EndsWith(ForStaff, System.StringComparison.Ordinal),
        _ => false,
    };

    /// <summary>The check that a task asks for; null: it is asked no longer.</summary>
    public static StepUpPlan? FindCheck(CoursePlan plan, TaskKey key)
    {
        IEnumerable<StepUpPlan> checks = plan.HeldBack is StepUpPlan held ? [.. plan.StepUps, held] : plan.StepUps;
        return checks.FirstOrDefault(check => !check.Approved && key == TaskKey.Of(TaskKind.StepUpCheck, plan.CourseId, CheckCycle(check)));
    }

    /// <summary>
    /// Whether the facts show that the need behind a task has been met: its answer, its fill or its decision is on record. Otherwise a
    /// task that is no longer wanted is withdrawn.
    /// </summary>
    public static bool IsMet(TaskOnRecord task, CourseSnapshot course, LocalDate asOf)
    {
        var facts = KnownFacts.List(course.Facts, asOf);
        var cycle = Cycle(facts);
        var isOfThisCycle = task.Task.Key.Text.EndsWith('/' + cycle, System.StringComparison.Ordinal);
        return task.Task.Kind switch
        {
            TaskKind.RefillContact or TaskKind.CannotReach => !isOfThisCycle || FindAnswer(facts) is not null,
            TaskKind.Prepare => !isOfThisCycle || FindPrepared(facts) is not null,
            TaskKind.HandOver or TaskKind.Ship => !isOfThisCycle,
            TaskKind.DiscardNotice => task.State == TaskState.Waiting, // The patient was told.
            TaskKind.StepUpCheck => IsDecided(task.Task.Key, facts),
            TaskKind.RenewalRequest => course.Prescriptions.Any(prescription => !task.Task.Key.Text.Contains($"/after {prescription.Id} ", System.StringComparison.Ordinal) && prescription.IssuedOn >= task.Task.PlannedOn),
            TaskKind.ArrivalCheck => facts.Any(fact => fact.Kind == FactKind.Received && task.Task.Key.Text.EndsWith('/' + fact.Note, System.StringComparison.Ordinal)),
            _ => false,
        };
    }

    // Whether the last decision about the step approves it, or holds it back beyond the day that the check was asked for.
    private static bool IsDecided(TaskKey key, IReadOnlyList<Fact> facts)
    {
        var last = facts.LastOrDefault(fact => fact.Kind is FactKind.Approved or FactKind.Held && key.Text.Contains($"/step {fact.Step} ", System.StringComparison.Ordinal));
        return last is { Kind: FactKind.Approved } or { Until: null, Kind: FactKind.Held }
            || (last?.Until is LocalDate until && string.CompareOrdinal(Iso(until), key.Text[^Iso(until).Length..]) > 0);
    }

    // The fill that the next one follows: what makes this turn different from the next.
    private static string Cycle(IReadOnlyList<Fact> facts) =>
        facts.LastOrDefault(fact => fact.Kind == FactKind.Dispensed) is Fact fill ? $"after {fill.Id}" : "first fill";

    private static LocalDate LastFillOn(IReadOnlyList<Fact> facts) =>
        facts.LastOrDefault(fact => fact.Kind == FactKind.Dispensed)?.On ?? LocalDate.MinIsoValue;

    // The newest answer since the last fill, if it is a yes or a no; a "later" leaves the question open.
    private static Fact? FindAnswer(IReadOnlyList<Fact> facts) =>
        facts.LastOrDefault(fact => fact.Kind == FactKind.Answered && fact.On > LastFillOn(facts)) is { Note: "yes" or "no" } answer ? answer : null;

    private static Fact? FindPrepared(IReadOnlyList<Fact> facts) =>
        facts.LastOrDefault(fact => fact.Kind == FactKind.Prepared && fact.On > LastFillOn(facts) && !KnownFacts.IsThrownAway(facts, fact));

    // What is found has no date of its own: it is to be looked at on the first open day.
    private void AddReviews()
    {
        var foundOn = _hours.DueOn(_hours.Today);
        if (_plan.Supply.Outcome == Outcome.NotComputed)
        {
            var finding = _plan.Findings[0];
            Add(TaskKind.SupplyReview, $"{finding.Code} step {_plan.Supply.Step}", foundOn, $"Nothing is computed: {finding.Text}");
        }

        if (_plan.MissedFrom is LocalDate from && from <= _hours.Today)
            Add(TaskKind.MissedDoseCheck, Iso(from), foundOn, TextOf(FindingCode.DosesMissed));
        foreach (var surplus in _plan.Surpluses)
            Add(TaskKind.MissedDoseCheck, $"count {surplus.Count.Id}", foundOn, $"{surplus.Text} Record the days not given (missed), or tick this off.");
        foreach (var fill in _plan.UnconfirmedFills)
            Add(TaskKind.ArrivalCheck, fill.Id, _hours.OpenDays.Plus(fill.Until!.Value, 1), FillsOnTheirWay.Unconfirmed(fill).Text);
    }

    private void AddRefill()
    {
        var answer = FindAnswer(_facts);
        if (_plan.Refill is not RefillPlan refill || answer?.Note == "no")
        {
            // What was made up waits all the same, whether or not it is still wanted.
            if (_plan.UncollectedFills.Count > 0)
                Add(TaskKind.HandOver, _cycle, CallOn(), $"{Uncollected()} If it is not wanted any more, take it back (void).");
            return;
        }

        var why = RefillReason(refill);
        var uncollected = _plan.UncollectedFills.Count > 0 ? $" {Uncollected()}" : string.Empty;
        if (refill.RenewOn is LocalDate renewOn)
            Add(TaskKind.RenewalRequest, $"after {NewestPrescription()} {_cycle}", renewOn, $"A renewal is needed: {refill.RenewBecause}. {why}");
        var notBefore = refill.RenewBecause is string because ? $" Not before it is renewed: {because}." : string.Empty;

        // Nothing is shipped before the patient's answer is on record.
        var waitsForAnswer = refill.Handover == Handover.Ship && answer is null;
        if (answer is null)
            Add(TaskKind.RefillContact, _cycle, refill.ContactOn, waitsForAnswer ? why + uncollected : why, toPatient: true);
        if (answer is null && _course.Patient.WhyNotMailed is string whyNot)
            Add(TaskKind.CannotReach, _cycle, refill.ContactOn, $"Call: {whyNot}. {why}");
        if (FindPrepared(_facts) is null)
            Add(TaskKind.Prepare, _cycle, refill.PrepareOn, $"To prepare: {ItemsText(refill)}.{notBefore} {why}");
        if (waitsForAnswer)
            return;
        var handOver = refill.Handover == Handover.Ship ? TaskKind.Ship : TaskKind.HandOver;
        var handOverOn = uncollected.Length > 0 ? LocalDate.Min(refill.ReadyOn, CallOn()) : refill.ReadyOn;
        Add(handOver, _cycle, handOverOn, $"In hand by {DateText.Full(refill.NeedInHandOn)}.{notBefore} {why}{uncollected}");
    }

    // Of the day on record on which it was made up, wherever the day of the hand-over has moved since.
    private string Uncollected()
    {
        var fill = _plan.UncollectedFills[^1];
        return $"{fill.Id} waits since {DateText.Full(fill.On)} and {(_course.Patient.Handover == Handover.Ship ? "has not been sent" : "nobody has fetched it")}: call.";
    }

    private LocalDate CallOn() => _hours.OpenDays.Plus(_plan.UncollectedFills[^1].On, _hours.Policy.UncollectedOpenDays + 1);

    private void AddStepUp()
    {
        foreach (var check in _plan.StepUps.Where(check => !check.Approved))
            AddCheck(check, "If nobody signs it is held back.");
        if (_plan.HeldBack is StepUpPlan held)
            AddCheck(held, "It is held back, and the doses of the step before go on.");
    }

    private void AddCheck(StepUpPlan check, string consequence) =>
        Add(TaskKind.StepUpCheck, CheckCycle(check), check.AlertOn,
            $"Step {check.Step} is to begin on {DateText.Full(check.StartsOn)}; a pharmacist decides by {DateText.Full(check.CheckByOn)}. {consequence}");

    private static string CheckCycle(StepUpPlan check) => $"step {check.Step} from {Iso(check.StartsOn)}";

    private void AddContainers()
    {
        foreach (var discard in _plan.Discards.Where(discard => discard.IsOpen))
        {
            var why = $"Last day of use {DateText.Full(discard.LastUseOn)}, discard on {DateText.Full(discard.DiscardOn)}, with {DoseText.Volume(discard.Left)} still in it.";
            Add(TaskKind.DiscardNotice, $"{discard.ProductId} {Iso(discard.DiscardOn)}", _hours.OpenDays.Minus(discard.DiscardOn.PlusDays(-DiscardNoticeDays), 0), why, toPatient: true);
            Add(TaskKind.DiscardNotice, $"{discard.ProductId} {Iso(discard.DiscardOn)}{ForStaff}", _hours.OpenDays.Minus(discard.DiscardOn, 1), why);
        }

        foreach (var discard in _plan.Discards.Where(discard => !discard.IsOpen))
        {
            Add(TaskKind.DiscardNotice, $"{discard.ProductId} {Iso(discard.DiscardOn)} sealed{ForStaff}", _hours.OpenDays.Minus(discard.LastUseOn.PlusDays(-_hours.Policy.BudNoticeDays), 0),
                $"{discard.Containers.ToString(CultureInfo.InvariantCulture)} sealed, beyond-use date {DateText.Full(discard.LastUseOn)}: by the walk they will pass it unopened.");
        }
    }

    private string NewestPrescription() =>
        _course.Prescriptions.OrderBy(prescription => prescription.IssuedOn).ThenBy(prescription => prescription.Id, System.StringComparer.Ordinal).LastOrDefault()?.Id ?? "none";

    private string RefillReason(RefillPlan refill)
    {
        var product = _course.Products[refill.ProductId];
        var limit = _plan.Supply.BindingLimit switch
        {
            BindingLimit.InUse => $", by the in-use limit of {product.InUseDays} days",
            BindingLimit.Expiry => ", by a beyond-use date",
            BindingLimit.Product => ", the rest is another product",
            _ => string.Empty,
        };
        var without = $"Without medicine from {DateText.Full(refill.ServesOn)}{(refill.ServesOn == _plan.Supply.RunOutOn ? limit : " if the coming step is held back")}.";
        var monitored = _course.Prescriptions.Any(prescription => prescription.Schedule is not null) ? " Controlled: consult the prescription monitoring program." : string.Empty;
        return without + monitored;
    }

    private string ItemsText(RefillPlan refill) => refill.Items.Count == 0
        ? "nothing before the coming step is decided"
        : string.Join(" and ", refill.Items.Select(item => $"{item.Containers} of {item.ProductId} (step {item.Step})"));

    private string TextOf(string code) => _plan.Findings.First(finding => finding.Code == code).Text;

    private void Add(TaskKind kind, string cycle, LocalDate plannedOn, string reason, bool toPatient = false)
    {
        var dueOn = _hours.DueOn(plannedOn);
        _tasks.Add(new PlannedTask
        {
            Key = TaskKey.Of(kind, _course.Course.Id, cycle),
            Kind = kind,
            SiteId = _course.Site.Id,
            PatientId = _course.Patient.Id,
            CourseId = _course.Course.Id,
            PlannedOn = plannedOn,
            DueOn = dueOn,
            DueAt = toPatient ? _hours.PatientHour(dueOn) : _hours.StaffHour(dueOn),
            Reason = reason,
        });
    }

    private static string Iso(LocalDate date) => LocalDatePattern.Iso.Format(date);
}
