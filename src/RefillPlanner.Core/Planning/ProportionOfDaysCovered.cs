using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Planning;

/// <summary>Dates covered by fills, out of the dates of a period.</summary>
/// <param name="Covered">Dates with supply in hand.</param>
/// <param name="Dates">All dates counted; 1 or more.</param>
public sealed record DaysCovered(int Covered, int Dates)
{
    /// <summary>The proportion in percent, rounded half-even to 2 decimals.</summary>
    public decimal Percent => decimal.Round(100m * Covered / Dates, 2);

    /// <summary>In words, with the variant of the measure.</summary>
    /// <example><c>60 of 70 dates (85.71 %): from the first fill of the last 365 days through today, by date, overlap carried forward</c>.</example>
    public string Text => $"{Exact.Plain(Covered)} of {Exact.Plain(Dates)} dates ({Exact.Plain(Percent)} %): from the first fill of the last {Exact.Plain(ProportionOfDaysCovered.LongestDays)} days through today, by date, overlap carried forward";
}

/// <summary>
/// The proportion of days covered: by date, never the sum of days' supply; a fill before the supply in hand is used up is carried
/// forward (NCQA FAQ; CMS measure notes).
/// </summary>
public static class ProportionOfDaysCovered
{
    /// <summary>The longest period counted, in days.</summary>
    public const int LongestDays = 365;

    /// <summary>Of a course, by its billed fills, through the as-of date, which is counted.</summary>
    /// <param name="facts">Known facts; a fill without a billed days' supply does not count.</param>
    /// <param name="asOf">The as-of date.</param>
    /// <returns>Null: no billed fill in the last <see cref="LongestDays"/> days.</returns>
    public static DaysCovered? Of(IReadOnlyList<Fact> facts, LocalDate asOf) =>
        Of([.. facts.Where(fact => fact.Kind == FactKind.Dispensed && fact.DaysSupply is not null).Select(fact => (fact.On, fact.DaysSupply!.Value))], LocalDate.MinIsoValue, asOf);

    /// <summary>How many fills of the last <see cref="LongestDays"/> days have no billed days' supply, and are not counted.</summary>
    /// <param name="facts">Known facts.</param>
    /// <param name="asOf">The as-of date.</param>
    public static int CountUnbilled(IReadOnlyList<Fact> facts, LocalDate asOf) =>
        facts.Count(fact => fact.Kind == FactKind.Dispensed && fact.DaysSupply is null && fact.On > asOf.PlusDays(-LongestDays) && fact.On <= asOf);

    /// <summary>The measure in words; or that it is not known, and why. How long an unbilled fill should have lasted is not guessed.</summary>
    /// <param name="covered">The measure; null: not known.</param>
    /// <param name="unbilled">Fills that are not counted: see <see cref="CountUnbilled"/>.</param>
    public static string Say(DaysCovered? covered, int unbilled) => (covered, unbilled) switch
    {
        (DaysCovered known, 0) => known.Text,
        (DaysCovered known, 1) => $"{known.Text}; 1 fill without a billed days' supply is not counted",
        (DaysCovered known, _) => $"{known.Text}; {Exact.Plain(unbilled)} fills without a billed days' supply are not counted",
        (null, 0) => $"not known: no fill in the last {Exact.Plain(LongestDays)} days",
        _ => $"not known: no fill with a billed days' supply in the last {Exact.Plain(LongestDays)} days ({Exact.Plain(unbilled)} without one)",
    };

    /// <summary>Covered dates from the first fill in a period through its end.</summary>
    /// <param name="fills">Days of fills and their days' supply, in any order; those outside the period and those of 0 days or fewer do not count.</param>
    /// <param name="from">First day of the period, included.</param>
    /// <param name="through">Last day of the period, included.</param>
    /// <returns>
    /// Of a period longer than <see cref="LongestDays"/> its last dates are the period. Null: no fill in the period.
    /// </returns>
    /// <example>
    /// 30 days filled on 2026-01-01 and on 2026-01-21, through 2026-03-11: covered through 03-01, so 60 of 70 dates.
    /// </example>
    public static DaysCovered? Of(IReadOnlyList<(LocalDate On, int DaysSupply)> fills, LocalDate from, LocalDate through)
    {
        var start = LocalDate.Max(from, through.PlusDays(1 - LongestDays));
        var inPeriod = fills.Where(fill => fill.On >= start && fill.On <= through && fill.DaysSupply > 0).OrderBy(fill => fill.On).ToArray();
        if (inPeriod.Length == 0)
            return null;

        var covered = 0;
        var next = inPeriod[0].On; // First date that no fill so far covers.
        foreach (var (on, daysSupply) in inPeriod)
        {
            var begins = LocalDate.Max(on, next);
            next = begins.PlusDays(daysSupply);
            covered += int.Max(0, Period.DaysBetween(begins, LocalDate.Min(next, through.PlusDays(1))));
        }

        return new DaysCovered(covered, Period.DaysBetween(inPeriod[0].On, through) + 1);
    }
}
