using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Dosing;

/// <summary>The days on which a course is paused: disjoint spans [from, until) in order, as day numbers.</summary>
internal sealed class Pauses
{
    private static readonly Pauses None = new([], isOpen: false);

    private readonly (int From, int Until)[] _spans;

    private Pauses((int From, int Until)[] spans, bool isOpen)
    {
        _spans = spans;
        IsOpen = isOpen;
    }

    /// <summary>Whether a pause has no end.</summary>
    public bool IsOpen { get; }

    /// <summary>
    /// The pauses of a course. One without an end lasts until the first <see cref="FactKind.Resumed"/> on or after its first day.
    /// </summary>
    /// <param name="facts">Known facts, in order.</param>
    public static Pauses Of(IReadOnlyList<Fact> facts)
    {
        var isPaused = false;
        for (var index = 0; index < facts.Count && !isPaused; index++)
            isPaused = facts[index].Kind == FactKind.Paused;
        return isPaused ? Merge(facts) : None;
    }

    /// <summary>The first day after the pause that holds a day; null when the day is in no pause.</summary>
    public int? FindEnd(int day)
    {
        foreach (var (from, until) in _spans)
        {
            if (from <= day && day < until)
                return until;
        }

        return null;
    }

    /// <summary>The first day after the last pause; <see cref="DayNumber.Never"/> if that has no end, null: there is no pause.</summary>
    public int? LastUntil => _spans.Length > 0 ? _spans[^1].Until : null;

    /// <summary>The first day of the next pause after a day that is in none; <see cref="DayNumber.Never"/> if there is none.</summary>
    public int NextStart(int day)
    {
        foreach (var (from, _) in _spans)
        {
            if (from > day)
                return from;
        }

        return DayNumber.Never;
    }

    private static Pauses Merge(IReadOnlyList<Fact> facts)
    {
        var resumed = facts.Where(fact => fact.Kind == FactKind.Resumed).Select(fact => DayNumber.Of(fact.On)).ToArray();
        var spans = facts
            .Where(fact => fact.Kind == FactKind.Paused)
            .Select(fact => Span(fact, resumed))
            .Where(span => span.From < span.Until)
            .OrderBy(span => span.From)
            .ToArray();
        var merged = new List<(int From, int Until)>();
        foreach (var span in spans)
        {
            if (merged.Count > 0 && span.From <= merged[^1].Until)
                merged[^1] = (merged[^1].From, int.Max(merged[^1].Until, span.Until));
            else
                merged.Add(span);
        }

        return new Pauses([.. merged], merged.Count > 0 && merged[^1].Until == DayNumber.Never);
    }

    private static (int From, int Until) Span(Fact pause, int[] resumed)
    {
        var from = DayNumber.Of(pause.On);
        var until = pause.Until is not null
            ? DayNumber.OrNever(pause.Until)
            : resumed.Where(day => day >= from).DefaultIfEmpty(DayNumber.Never).Min();
        return (from, until);
    }
}
