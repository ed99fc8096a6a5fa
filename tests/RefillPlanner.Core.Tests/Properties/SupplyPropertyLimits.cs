using System.Collections.Immutable;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tests.Literal;
using RefillPlanner.Core.Tests.Published;
using Xunit;

namespace RefillPlanner.Core.Tests.Properties;

/// <summary>
/// Why <see cref="SupplyProperties"/> have conditions: without each of them the property is false, and the model says so. One
/// smallest case each, in which more stock lasts shorter, or a larger loss longer. Day 0 is 2026-01-05; a vial holds 1 mL at 1 mg/mL.
/// </summary>
public sealed class SupplyPropertyLimits
{
    private static readonly LocalDate Start = new(2026, 1, 5);

    /// <summary>0.6 and 0.1 mg a day, from day 5 on 0.1: the added 0.6 mL brings the 0.5 mL vial into use, and the next large dose throws it away.</summary>
    [Fact]
    public void A_container_of_another_size_may_bring_the_run_out_nearer()
    {
        var course = SupplyCase.Read("1 vial of 0.5 mL, 1 mg/mL; 0.6 + 0.1 mg every 1 day for 5 dosing days, then 0.1 mg every 1 day").Course();
        var small = course.Products["P"];
        var sized = course with
        {
            Products = ImmutableDictionary<string, Product>.Empty.Add("P", small)
                .Add("large", small with { Id = "large", SizeOf = "P", Volume = Volume.FromMl(10), InUseDays = 5 })
                .Add("middle", small with { Id = "middle", SizeOf = "P", Volume = Volume.FromMl(0.6m) }),
            Facts = [.. course.Facts, Fill("z", 0) with { ProductId = "large" }],
        };
        RunsOut(sized, asOf: 0, day: 10);
        RunsOut(Add(sized, Fill("more", 0) with { ProductId = "middle" }), asOf: 0, day: 6);
    }

    /// <summary>The number of sealed ones thrown away on day 17 is none without the added container, and the newest with it.</summary>
    [Fact]
    public void A_number_thrown_away_may_take_more_from_the_larger_stock()
    {
        var course = Add(
            SupplyCase.Read("1 vial of 1 mL, 1 mg/mL; 0.1 mg every 1 day").Course(),
            Of(FactKind.Opened, "opened", 9) with { ProductId = "P" },
            Fill("y", 10) with { ExpiresOn = Start.PlusDays(15) },
            Fill("z", 16),
            Of(FactKind.Discarded, "thrown", 17) with { ProductId = "P", Containers = 1 });
        RunsOut(course, asOf: 17, day: 26);
        RunsOut(Add(course, Fill("more", 2)), asOf: 17, day: 19);
    }

    /// <summary>A count of an open container whose opening nobody knows takes the earliest arrival, which is that of the added one.</summary>
    [Fact]
    public void A_count_keeps_the_day_on_which_an_added_container_came()
    {
        var course = SupplyCase.Read("1 vial of 1 mL, 1 mg/mL, 10 days in use; 0.1 mg every 1 day").Course();
        var counted = Add(
            course with { Course = course.Course with { StartedOn = Start.PlusDays(8) } },
            Of(FactKind.Counted, "count", 3) with { ProductId = "P", Containers = 0, Volume = Volume.FromMl(1) });
        RunsOut(counted, asOf: 3, day: 10);
        RunsOut(Add(counted, Fill("more", -30)), asOf: 3, day: 8);
    }

    /// <summary>
    /// The large dose of day 1 was without stock and left 0.4 mL for four small ones. With the added container it was given: the 0.4 mL
    /// were thrown away, and 0.1 mL is left.
    /// </summary>
    [Fact]
    public void A_dose_given_that_was_without_stock_uses_up_what_was_left()
    {
        var course = SupplyCase.Read("1 vial of 1 mL, 1 mg/mL; 0.6 mg every 1 day for 1 dosing days, then 0.9 mg every 1 day for 1 dosing days, then 0.1 mg every 1 day").Course();
        RunsOut(course, asOf: 2, day: 6);
        RunsOut(Add(course, Fill("more", 0)), asOf: 2, day: 3);
    }

    /// <summary>The same count finds the first vial in use, opened on day 0, or with the larger loss the second one, opened on day 8.</summary>
    [Fact]
    public void A_count_forgives_a_loss_but_keeps_the_opening_day()
    {
        var count = Of(FactKind.Counted, "count", 9) with { ProductId = "P", Containers = 1, Volume = Volume.FromMl(1) };
        RunsOut(Add(SupplyCase.Read("2 vials of 1 mL, 1 mg/mL, 14 days in use; 0.1 mg every 1 day").Course(), count), asOf: 9, day: 24);
        RunsOut(Add(SupplyCase.Read("2 vials of 1 mL, 1 mg/mL, 14 days in use; 0.1 mg every 1 day, losing 0.02 mL a draw").Course(), count), asOf: 9, day: 25);
    }

    /// <summary>With the loss the second large dose no longer fits, was not given, and leaves its volume for four small ones.</summary>
    [Fact]
    public void A_dose_that_a_loss_prevented_used_nothing()
    {
        RunsOut(SupplyCase.Read("1 vial of 1 mL, 1 mg/mL; 0.5 mg every 1 day for 2 dosing days, then 0.1 mg every 1 day").Course(), asOf: 2, day: 2);
        RunsOut(SupplyCase.Read("1 vial of 1 mL, 1 mg/mL; 0.5 mg every 1 day for 2 dosing days, then 0.1 mg every 1 day, losing 0.01 mL a draw").Course(), asOf: 2, day: 6);
    }

    private static void RunsOut(CourseSnapshot course, int asOf, int day)
    {
        Assert.Equal(Start.PlusDays(day), SupplyComputation.Of(course, Policy.Default, Start.PlusDays(asOf)).RunOutOn);
        Assert.Equal(Start.PlusDays(day), LiteralWalk.Of(course, Policy.Default, Start.PlusDays(asOf)).RunOutOn);
    }

    private static CourseSnapshot Add(CourseSnapshot course, params Fact[] facts) => course with { Facts = [.. course.Facts, .. facts] };

    private static Fact Fill(string id, int day) => Of(FactKind.Dispensed, id, day) with { ProductId = "P", Containers = 1 };

    private static Fact Of(FactKind kind, string id, int day) => new() { Id = id, CourseId = "C", Kind = kind, On = Start.PlusDays(day) };
}
