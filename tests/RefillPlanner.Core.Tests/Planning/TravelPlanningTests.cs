using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using Xunit;
using static RefillPlanner.Core.Tests.Planning.AlignmentTests;

namespace RefillPlanner.Core.Tests.Planning;

/// <summary>The supply for a journey; the as-of date is Monday, March 2, 2026.</summary>
public sealed class TravelPlanningTests
{
    private static readonly LocalDate Monday = new(2026, 3, 2);

    [Fact]
    public void Before_a_journey_the_usual_fill_and_its_length_are_wanted_in_hand()
    {
        // Runs out on March 22. Away from Saturday, March 14 to April 4, 21 days: by Friday, March 13, for 49 days, 24.5 mL: three vials, 60 days.
        var plan = TravelPlanning.Of(Course("A", 50), Policy.Default, Monday, new LocalDate(2026, 3, 14), new LocalDate(2026, 4, 4));
        Assert.Equal((new LocalDate(2026, 3, 13), 49, 3, new LocalDate(2026, 5, 21)), (plan.WantedOn, plan.FillDays, plan.Items.Sum(item => item.Containers), plan.LastsUntil));
        Assert.True(plan.IsAllowed);

        // Billed for 20 days on March 2: 75 % are over on March 17 (1 Tex. Admin. Code 354.1877: prolonged absence justifies earlier).
        var billed = Course("A", 50);
        plan = TravelPlanning.Of(billed with { Facts = [billed.Facts[0] with { DaysSupply = 20 }] }, Policy.Default, Monday, new LocalDate(2026, 3, 14), new LocalDate(2026, 4, 4));
        Assert.Equal((false, new LocalDate(2026, 3, 17)), (plan.IsAllowed, plan.EarliestFillOn));
    }

    [Fact]
    public void Who_is_back_before_the_next_refill_is_needed_takes_nothing_along()
    {
        var plan = TravelPlanning.Of(Course("A", 50), Policy.Default, Monday, new LocalDate(2026, 3, 5), new LocalDate(2026, 3, 19));
        Assert.Null(plan.WantedOn);
        Assert.NotNull(TravelPlanning.Of(Course("A", 50), Policy.Default, Monday, new LocalDate(2026, 3, 5), new LocalDate(2026, 3, 20)).WantedOn);
    }

    [Fact]
    public void A_day_that_has_passed_is_said_to_have()
    {
        // Needed in hand by Thursday, March 19, whatever the journey: asked on Sunday, March 22, that was three days ago.
        TravelPlan On(LocalDate today) => TravelPlanning.Of(Course("A", 50), Policy.Default, today, new LocalDate(2026, 3, 24), new LocalDate(2026, 4, 4));
        Assert.Equal((new LocalDate(2026, 3, 19), 3), (On(new LocalDate(2026, 3, 22)).WantedOn, On(new LocalDate(2026, 3, 22)).WantedDaysAgo));
        Assert.Equal(0, On(new LocalDate(2026, 3, 19)).WantedDaysAgo);
        Assert.Equal(0, On(Monday).WantedDaysAgo);
    }
}
