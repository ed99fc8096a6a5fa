using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Planning;

/// <summary>
/// A count that found so much more than the walk had that doses may not have been given. It is a question for a person, and changes nothing: a count
/// overrules the arithmetic, whatever the reason.
/// </summary>
/// <param name="Count">The count; of several sizes counted on one day the last in order of id.</param>
/// <param name="Found">What was found, of all sizes; zero for prefilled syringes.</param>
/// <param name="Known">What the walk had just before; zero for prefilled syringes.</param>
/// <param name="Needed">What a dose takes, with what is lost; zero for prefilled syringes.</param>
/// <param name="Doses">Whole doses that the difference makes; 2 or more.</param>
public sealed record CountSurplus(Fact Count, CountedStock Found, CountedStock Known, Volume Needed, int Doses)
{
    /// <summary>How far back counts are looked at, in days: of what lies longer ago nobody can be asked.</summary>
    public const int LookBackDays = 60;

    private const int FewestDoses = 2;

    /// <summary>What was found, by what working it comes to how many doses, and that it is a question.</summary>
    /// <example>
    /// <c>The count of Monday, March 2, 2026 (F-9) found 4.9 mL of P-7; by the record it should be 4.1 mL. That is 0.8 mL more. A dose takes 0.25 mL: about
    /// 3 doses may not have been given. There may be another reason: ask the patient.</c>
    /// </example>
    public string Text
    {
        get
        {
            var (found, known, more) = Needed == Volume.Zero
                ? (Syringes(Found.Sealed), Syringes(Known.Sealed), $"{Syringes(Found.Sealed - Known.Sealed)} more")
                : (DoseText.Volume(Found.Volume), DoseText.Volume(Known.Volume), $"{DoseText.Volume(new Volume(Found.Volume.Nanolitres - Known.Volume.Nanolitres))} more. A dose takes {DoseText.Volume(Needed)}");
            return $"The count of {DateText.Full(Count.On)} ({Count.Id}) found {found} of {Count.ProductId}; by the record it should be {known}. That is {more}: about {DoseText.Number(Doses)} doses may not have been given. There may be another reason: ask the patient.";
        }
    }

    /// <summary>The counts of a course that ask this, in order.</summary>
    internal static IReadOnlyList<CountSurplus> List(CourseSupply supply)
    {
        var from = supply.AsOfDay - LookBackDays;
        var last = -1;
        for (var index = 0; index < supply.Facts.Length; index++)
        {
            if (supply.Facts[index].Kind == FactKind.Counted && DayNumber.Of(supply.Facts[index].On) is var day && day >= from && day <= supply.AsOfDay && MayAsk(supply, supply.Facts[index], day))
                last = day;
        }

        if (last < 0)
            return [];
        var journal = new WalkJournal();
        supply.Walk(supply.Days, lastDay: last, journal: journal);
        var counts = journal.Lines.Where(line => line.Kind == WalkLineKind.Counted).GroupBy(line => (Family: supply.Shelf[supply.Shelf.PlaceOf(line.ProductId)].Family, line.On));
        var surpluses = new List<CountSurplus>();
        var before = new Dictionary<int, int>(); // Of each family, the day of its last count.
        foreach (var group in counts)
        {
            var day = DayNumber.Of(group.Key.On);
            if (day >= from && Find(supply, group.Key.Family, [.. group], before.GetValueOrDefault(group.Key.Family, int.MinValue), day) is CountSurplus surplus)
                surpluses.Add(surplus);
            before[group.Key.Family] = day;
        }

        return surpluses;
    }

    // Whether a count can have found two doses too many. Nearly always it has not, which of a course with one product a walk without its working tells.
    private static bool MayAsk(CourseSupply supply, Fact count, int day)
    {
        if (supply.Shelf.Count > 1 || supply.Shelf[0].IsPrefilled)
            return true;
        var left = supply.Walk(supply.Days, lastDay: day - 1).LeftOver;
        foreach (var (fill, on) in supply.ListArrivals())
            left += on == count.On ? fill.Containers!.Value * supply.Shelf[0].Volume : 0;
        var found = count.Containers!.Value * supply.Shelf[0].Volume + (count.Volume?.Nanolitres ?? 0);
        var least = long.MaxValue;
        foreach (var demand in supply.Demands)
            least = long.Min(least, demand.Doses.Max(dose => dose.Needed.Sum()));
        return found - left >= FewestDoses * least;
    }

    private static CountSurplus? Find(CourseSupply supply, int family, WalkLine[] lines, int since, int day)
    {
        // What is there less of one size may be there more of another, of which nobody has said anything.
        if (lines.Length < supply.Shelf.CountSizes(family) && Array.Exists(lines, line => line.Known!.HasOtherSize || line.Found!.HasOtherSize))
            return null;
        var (step, given) = CountGiven(supply, family, since, day);
        if (step < 0)
            return null;
        var demand = supply.Demands[step];
        var isPrefilled = demand.Shelf.IsPrefilled;
        var needed = isPrefilled ? 0 : demand.Doses.Max(dose => dose.Needed.Sum());
        var (found, known) = (Sum(lines, line => line.Found!, lines[^1].Found!), Sum(lines, line => line.Known!, lines[0].Known!));
        var doses = isPrefilled ? found.Sealed - known.Sealed : needed > 0 ? (found.Volume.Nanolitres - known.Volume.Nanolitres) / needed : 0;

        // More than was given since the count before is no question of doses: something is not on record.
        if (doses < FewestDoses || doses > given)
            return null;
        var count = Array.Find(supply.Facts, fact => fact.Id == lines[^1].Note)!;
        return new CountSurplus(count, found, known, new Volume(needed), (int)doses);
    }

    // Counts of several sizes on one day follow each other: the volume before the first and after the last is that of all of them.
    private static CountedStock Sum(WalkLine[] lines, Func<WalkLine, CountedStock> of, CountedStock whole) => whole with { Sealed = lines.Sum(line => of(line).Sealed) };

    // The step of the last dose of a family given before a day, and how many doses were given from another day on. Step -1: none.
    private static (int Step, int Doses) CountGiven(CourseSupply supply, int family, int since, int day)
    {
        var (step, doses) = (-1, 0);
        foreach (var given in supply.Given)
        {
            if (given.FirstDay >= day)
                break;
            if (supply.Demands[given.Step].Family != family || given.LastDay < since)
                continue;
            var days = 0;
            for (var on = given.FirstDay; on <= given.LastDay && on < day; on += given.EveryDays)
                days += on >= since ? 1 : 0;
            if (days > 0)
                (step, doses) = (given.Step, doses + days * supply.Demands[given.Step].Doses.Length);
        }

        return (step, doses);
    }

    private static string Syringes(int count) => count == 1 ? "1 syringe" : $"{DoseText.Number(count)} syringes";
}
