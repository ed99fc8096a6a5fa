using System.Collections.Generic;
using System.Collections.Immutable;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tests.Literal;
using Xunit;

namespace RefillPlanner.Core.Tests.Properties;

/// <summary>A count overrules the arithmetic.</summary>
public sealed class CountProperties
{
    private static readonly decimal[] Parts = [0, 0.1m, 0.3m, 0.5m, 0.7m, 1];

    /// <summary>
    /// Where the earlier facts tell no lot and no beyond-use date, and the count itself tells when the open container was opened,
    /// nothing of them is left: the figures are those of the course without them. Containers of a family are alike, since the dates of
    /// arrival decide which size is taken first. Findings are not compared: they speak of the earlier days. A course
    /// that had ended before the count was not walked to it.
    /// </summary>
    [Fact]
    public void After_a_count_only_lots_dates_and_the_opening_day_come_from_earlier_facts() => Courses.Hold(RandomCourses.Any, 15_000, (any, policy, asOf) =>
    {
        var onDay = asOf.PlusDays(-(any.Facts.Count % 12));
        var alike = Courses.OneSize(any);
        var known = KnownFacts.List(alike.Facts, asOf);
        bool IsEarlier(Fact fact) => fact.Kind == FactKind.Dispensed ? Courses.ArrivesOn(fact, known) <= onDay : fact.On < onDay;
        var counts = ListCounts(alike, onDay);
        IReadOnlyList<Fact> facts = [.. alike.Facts.Where(fact => fact.Kind != FactKind.Counted || fact.On != onDay).Concat(counts)];
        var told = alike with { Facts = [.. facts.Select(fact => fact.Kind == FactKind.Dispensed && IsEarlier(fact) ? fact with { Lot = null, ExpiresOn = null } : fact)] };
        var bare = alike with { Facts = [.. facts.Where(fact => !IsOfStock(fact) || !IsEarlier(fact))] };

        var without = SupplyComputation.Of(bare, policy, asOf);
        if (without.Outcome == Outcome.NotComputed || without.EndsOn < onDay)
            return false;
        var expected = Figures(without);
        var actual = Figures(SupplyComputation.Of(told, policy, asOf));
        if (expected != actual)
            Courses.Fail($"counted on {onDay:uuuu-MM-dd}\nwithout earlier facts {expected}\nwith                  {actual}", told, policy, asOf);
        return true;
    });

    /// <summary>What does come from them: the dates and the lot of what was sealed, and since when the open one is in use.</summary>
    [Fact]
    public void After_a_count_the_dates_lots_and_opening_day_of_earlier_facts_still_hold()
    {
        var start = new LocalDate(2026, 3, 2);
        var course = Published.SupplyCase.Read("start 2026-03-02; 2 vials of 1 mL, 1 mg/mL, 10 days in use, expires 2026-03-20; 0.05 mg every 1 day").Course();
        var counted = course with { Facts = [.. course.Facts.Select(fact => fact with { Lot = "L" }), Count(start.PlusDays(3), 1, 0.9m)] };

        // Opened on 03-02, so through 03-11, when 0.55 mL are left; the sealed one then through 03-20, as the fill said.
        var outcome = SupplyComputation.Of(counted, Policy.Default, start.PlusDays(4));
        Assert.Equal(new LocalDate(2026, 3, 21), outcome.RunOutOn);
        Assert.Equal(BindingLimit.Expiry, outcome.BindingLimit);
        Assert.Equal(Volume.FromMl(0.55m + 0.55m), outcome.Discarded);

        var recall = new Fact { Id = "recall", CourseId = "C", Kind = FactKind.Discarded, On = start.PlusDays(4), Lot = "L" };
        Assert.Equal(start.PlusDays(4), SupplyComputation.Of(counted with { Facts = [.. counted.Facts, recall] }, Policy.Default, start.PlusDays(4)).RunOutOn);
    }

    private static ImmutableArray<Fact> ListCounts(CourseSnapshot course, LocalDate on) =>
    [
        .. course.Products.Values.OrderBy(product => product.Id, System.StringComparer.Ordinal).Select((product, index) =>
        {
            var volume = Volume.FromMl(decimal.Round((product.Volume?.Ml ?? 0) * Parts[(course.Facts.Count + index) % Parts.Length], 2));
            return Count(on, (course.Facts.Count + index) % 4, volume.Ml) with { Id = $"count {index}", ProductId = product.Id, OpenedOn = volume > Volume.Zero ? on.PlusDays(-(course.Facts.Count % 5)) : null };
        }),
    ];

    private static Fact Count(LocalDate on, int containers, decimal ml) => new()
    {
        Id = "count",
        CourseId = "C",
        Kind = FactKind.Counted,
        On = on,
        ProductId = "P",
        Containers = containers,
        Volume = Volume.FromMl(ml),
    };

    private static bool IsOfStock(Fact fact) =>
        fact.Kind is FactKind.Dispensed or FactKind.Counted or FactKind.Opened or FactKind.Discarded or FactKind.Missed;

    private static string Figures(SupplyOutcome outcome) => Told.Fields(outcome with { Findings = [] });
}
