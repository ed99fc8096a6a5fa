using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>A dosing day of a step; <see cref="Paused"/>: it falls in a pause and is skipped.</summary>
internal sealed record LiteralDay(LocalDate On, LadderRun Run, Step Step, bool Paused);

/// <summary>Section 3 of the supply model: what is dosed on which day, decided one calendar day after another.</summary>
internal sealed class LiteralDays
{
    private readonly LiteralRecord _record;
    private readonly (LadderRun Run, int Step)? _heldForGood;
    private readonly Dictionary<LocalDate, LiteralDay> _byDate = [];

    public LiteralDays(LiteralRecord record, LocalDate through, (LadderRun Run, int Step)? heldForGood = null)
    {
        _record = record;
        _heldForGood = heldForGood;
        EndsOn = record.EndedOn;
        foreach (var run in record.Runs)
            WalkRun(run, through);
        foreach (var day in All)
            _byDate.Add(day.On, day);
    }

    /// <summary>In order of date.</summary>
    public List<LiteralDay> All { get; } = [];

    public LocalDate? EndsOn { get; private set; }

    /// <summary>The first dosing day of each step that began.</summary>
    public Dictionary<(LadderRun Run, int Step), LocalDate> FirstOn { get; } = [];

    /// <summary>Steps that begin after the as-of date only because approval is assumed, in order.</summary>
    public List<(LadderRun Run, int Step)> Assumed { get; } = [];

    /// <summary>The dosing day on a date, paused or not; null: none.</summary>
    public LiteralDay? FindOn(LocalDate day) => _byDate.GetValueOrDefault(day);

    private void WalkRun(LadderRun run, LocalDate through)
    {
        Step? given = null;             // the step whose doses are being given
        var next = run.Steps[0];        // the step that waits for its first dosing day; null: none is due
        Step? waiting = next;
        var heldBack = false;           // the waiting step was held back at least once
        var count = 0;
        var due = run.StartsOn;
        var last = run.StartsOn;        // last dosing day of the given step's rhythm
        for (var day = run.StartsOn; day <= through && (run.EndsBefore is not LocalDate end || day < end); day = day.PlusDays(1))
        {
            if (day != due)
                continue;

            if (waiting is not null && !heldBack)
            {
                if (_record.IsPaused(day))
                {
                    All.Add(new LiteralDay(day, run, waiting, Paused: true));
                    due = day.PlusDays(waiting.EveryDays);
                    continue;
                }

                if (!MayStart(run, waiting, day, heldBack: false))
                {
                    heldBack = true;
                    due = last;
                    while (due < day)
                        due = due.PlusDays(given!.EveryDays);
                    if (due != day)
                        continue;
                }
            }

            var step = waiting is not null && !heldBack ? waiting : given!;
            if (_record.IsPaused(day))
            {
                All.Add(new LiteralDay(day, run, step, Paused: true));
                due = day.PlusDays(step.EveryDays);
                continue;
            }

            if (waiting is not null && (!heldBack || MayStart(run, waiting, day, heldBack: true)))
            {
                step = waiting;
                given = waiting;
                waiting = null;
                heldBack = false;
                count = 0;
                FirstOn[(run, step.Number)] = day;
            }

            All.Add(new LiteralDay(day, run, step, Paused: false));
            count++;
            last = day;
            due = day.PlusDays(step.EveryDays);
            if (waiting is null && count == step.DoseDays)
            {
                waiting = run.Steps.FirstOrDefault(other => other.Number == step.Number + 1);
                if (waiting is null)
                {
                    // The course ends here, unless a later run is on record.
                    if (ReferenceEquals(run, _record.Runs[^1]) && (EndsOn is not LocalDate ended || due < ended))
                        EndsOn = due;
                    return;
                }
            }
        }
    }

    /// <summary>Whether a step starts on this day, its first dosing day or (held back) a later day in the rhythm of the step before.</summary>
    private bool MayStart(LadderRun run, Step step, LocalDate day, bool heldBack)
    {
        if (step.Number == 1)
            return true;
        if (_heldForGood is (LadderRun Run, int Step) held && ReferenceEquals(held.Run, run) && held.Step == step.Number)
            return false;
        if (!step.NeedsCheck)
            return true;

        var holds = _record.ListOf(FactKind.Held, run, step.Number).FindAll(hold => hold.On <= day);
        if (holds.Exists(hold => hold.Until is LocalDate until && day < until))
            return false;

        var stepBefore = FirstOn[(run, step.Number - 1)];
        var counting = _record.ListOf(FactKind.Approved, run, step.Number)
            .FindAll(approval => approval.On <= day && approval.On >= stepBefore && holds.TrueForAll(hold => hold.On < approval.On));
        if (counting.Exists(approval => approval.Until is not LocalDate start || start <= day))
            return true;

        // Approval is assumed for a first dosing day to come, unless something on record says otherwise.
        if (heldBack || day <= _record.AsOf || counting.Count > 0 || holds.Exists(hold => hold.Until is null))
            return false;
        Assumed.Add((run, step.Number));
        return true;
    }
}
