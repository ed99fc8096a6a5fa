using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using Xunit;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>Rulings on stock. Unless said, 10 units a day from vials of 1 mL: ten doses in each.</summary>
public sealed class StockRulingsTests
{
    public static TheoryData<string> Names => Walks.Names;

    [Theory, MemberData(nameof(Names))]
    public void A_fill_counts_from_the_day_of_its_arrival(string walk) =>
        Daily().Dispensed(0, 1, arrives: 3).Walk(walk, asOf: 3).RunsOutOn(13).Finds(FindingCode.DoseWithoutStock, FindingCode.DosesMissed);

    [Theory, MemberData(nameof(Names))]
    public void A_receipt_overrules_the_expected_arrival(string walk) =>
        Daily().Dispensed(0, 1, arrives: 3).Received(1, "f1").Walk(walk, asOf: 3).RunsOutOn(11).Finds(FindingCode.DoseWithoutStock);

    [Theory, MemberData(nameof(Names))]
    public void A_count_overrules_the_arithmetic(string walk) =>
        Daily().Dispensed(0, 2).Counted(5, 2, ml: 0.5m).Walk(walk, asOf: 5).RunsOutOn(30).Finds(FindingCode.CountExceedsRecord);

    [Theory, MemberData(nameof(Names))]
    public void A_count_below_the_record_takes_containers_away_and_discards_nothing(string walk) =>
        Daily().Dispensed(0, 2).Counted(5, 0, ml: 0.5m).Walk(walk, asOf: 5).RunsOutOn(10)
            .Flows(used: 0.5m, lost: 0, discarded: 0, leftOver: 0).Finds(FindingCode.CountBelowRecord);

    [Theory, MemberData(nameof(Names))]
    public void A_count_that_agrees_finds_nothing(string walk) => Daily().Dispensed(0, 2).Counted(5, 1, ml: 0.5m).Walk(walk, asOf: 5).RunsOutOn(20).Finds();

    [Theory, MemberData(nameof(Names))]
    public void A_count_without_a_volume_takes_the_open_container_away(string walk) =>
        Daily().Dispensed(0, 2).Counted(5, 1).Walk(walk, asOf: 5).RunsOutOn(15).Finds();

    // One container known, sealed; counted as open with half left. It must have been opened since it came: on day 0 at the earliest. Through day 2.
    [Theory, MemberData(nameof(Names))]
    public void An_unknown_opening_date_is_the_earliest_arrival(string walk) =>
        Daily(inUseDays: 3).Dispensed(-5, 1, arrives: 0).Counted(0, 0, ml: 0.5m)
            .Walk(walk).RunsOutOn(3, BindingLimit.InUse).Flows(used: 0.3m, lost: 0, discarded: 0.2m, leftOver: 0).Finds(FindingCode.OpeningDateUnknown);

    // Seen sealed on day -10, open on day 0: opened on day -9 at the earliest, so with 12 days used through day 2.
    [Theory, MemberData(nameof(Names))]
    public void An_unknown_opening_date_lies_after_the_last_count(string walk) =>
        Daily(inUseDays: 12).Dispensed(-20, 1).Counted(-10, 1).Counted(0, 0, ml: 0.5m).Walk(walk).RunsOutOn(3, BindingLimit.InUse).Finds(FindingCode.OpeningDateUnknown);

    [Theory, MemberData(nameof(Names))]
    public void An_open_container_of_which_nothing_is_known_is_discarded(string walk) =>
        Daily(inUseDays: 28).Counted(0, 0, ml: 0.5m).Walk(walk).RunsOutOn(0).Flows(used: 0, lost: 0, discarded: 0.5m, leftOver: 0).Finds(FindingCode.OpeningDateUnknown);

    [Theory, MemberData(nameof(Names))]
    public void A_given_opening_date_always_holds(string walk) =>
        Daily(inUseDays: 3).Counted(0, 0, ml: 0.5m, opened: -1).Walk(walk).RunsOutOn(2, BindingLimit.InUse).Finds();

    // The walk opened its container on day 0 and counts 7 days from there, whatever volume is counted on day 3.
    [Theory, MemberData(nameof(Names))]
    public void A_counted_open_container_keeps_the_date_that_the_walk_has(string walk) =>
        Daily(inUseDays: 7).Dispensed(0, 1).Counted(3, 0, ml: 1).Walk(walk, asOf: 3).RunsOutOn(7, BindingLimit.InUse).Finds();

    [Theory, MemberData(nameof(Names))]
    public void A_count_keeps_the_containers_that_expire_last(string walk) =>
        Daily().Dispensed(0, 1, expires: 4).Dispensed(0, 1, expires: 30).Counted(0, 1).Walk(walk).RunsOutOn(10, BindingLimit.Volume).Finds(FindingCode.CountBelowRecord);

    // Two of three then expire on day 4: five doses, 1.5 mL discarded on day 5, ten doses from the last.
    [Theory, MemberData(nameof(Names))]
    public void Surplus_containers_expire_with_the_first_on_record(string walk) =>
        Daily().Dispensed(0, 1, expires: 30).Dispensed(0, 1, expires: 4).Counted(0, 3)
            .Walk(walk).RunsOutOn(15, BindingLimit.Expiry).Flows(used: 1.5m, lost: 0, discarded: 1.5m, leftOver: 0).Finds(FindingCode.CountExceedsRecord);

    [Theory, MemberData(nameof(Names))]
    public void A_container_is_used_through_its_expiry_and_never_after(string walk) =>
        Daily().Dispensed(0, 1, expires: 3).Walk(walk).RunsOutOn(4, BindingLimit.Expiry).Covers(4);

    // Opened on day 0 for 4 days: through day 3, which is its expiry as well.
    [Theory, MemberData(nameof(Names))]
    public void Both_limits_on_one_day_are_an_expiry(string walk) => Daily(inUseDays: 4).Dispensed(0, 1, expires: 3).Walk(walk).RunsOutOn(4, BindingLimit.Expiry);

    [Theory, MemberData(nameof(Names))]
    public void An_arrival_after_the_waste_makes_the_volume_bind(string walk) =>
        Daily(inUseDays: 3).Dispensed(0, 1).Dispensed(0, 1, arrives: 4, product: "small").Walk(walk, asOf: 4).RunsOutOn(5, BindingLimit.Volume);

    [Theory, MemberData(nameof(Names))]
    public void Opening_a_container_while_a_dose_is_left_disagrees(string walk) =>
        Daily().Dispensed(0, 2).Opened(5).Walk(walk, asOf: 5).RunsOutOn(15).Flows(used: 1, lost: 0, discarded: 0.5m, leftOver: 0).Finds(FindingCode.OpeningDisagrees);

    [Theory, MemberData(nameof(Names))]
    public void Opening_what_is_not_there_changes_nothing(string walk) =>
        Daily().Dispensed(0, 1).Opened(5).Walk(walk, asOf: 5).RunsOutOn(10).Finds(FindingCode.OpenedWithoutStock);

    [Theory, MemberData(nameof(Names))]
    public void A_recall_discards_a_lot_open_and_sealed(string walk) =>
        Daily().Dispensed(0, 2, lot: "A").Dispensed(0, 1, lot: "B").Discarded(5, lot: "A").Walk(walk, asOf: 5).RunsOutOn(15).Flows(used: 1, lost: 0, discarded: 1.5m, leftOver: 0);

    [Theory, MemberData(nameof(Names))]
    public void The_sealed_ones_that_expire_first_are_discarded_first(string walk) =>
        Daily().Dispensed(0, 1, expires: 2).Dispensed(0, 1, expires: 90).Discarded(0, containers: 1).Walk(walk).RunsOutOn(10, BindingLimit.Volume).Covers(10);

    [Theory, MemberData(nameof(Names))]
    public void Without_a_number_the_open_one_is_discarded(string walk) => Daily().Dispensed(0, 2).Discarded(5).Walk(walk, asOf: 5).RunsOutOn(15);

    // 0.6 mL is drawn; the second dose finds its first injection but not its second, and nothing of it counts.
    [Theory, MemberData(nameof(Names))]
    public void A_dose_that_is_not_covered_leaves_the_stock_as_it_was(string walk) =>
        Written.Of(Written.Vial(1)).With(Written.Barrel(0.5m, 0.01m, 100)).Step([60], every: 1).Dispensed(0, 1)
            .Walk(walk).RunsOutOn(1, BindingLimit.Volume).Flows(used: 0.6m, lost: 0, discarded: 0, leftOver: 0.4m);

    // 0.3 + 0.3 mL a dose: three injections in each vial of 1 mL, 0.1 mL discarded with the first.
    [Theory, MemberData(nameof(Names))]
    public void Injections_of_one_dose_may_come_from_two_containers(string walk) =>
        Written.Of(Written.Vial(1)).With(Written.Barrel(0.5m, 0.01m, 100)).Step([60], every: 1).Dispensed(0, 2)
            .Walk(walk).RunsOutOn(3).Flows(used: 1.8m, lost: 0, discarded: 0.1m, leftOver: 0.1m);

    [Theory, MemberData(nameof(Names))]
    public void Without_split_draws_the_remainder_is_discarded(string walk) =>
        Written.Of(Written.Vial(1)).Step([40], every: 1).Dispensed(0, 2).Walk(walk).RunsOutOn(4).Flows(used: 1.6m, lost: 0, discarded: 0.2m, leftOver: 0.2m);

    [Theory, MemberData(nameof(Names))]
    public void With_split_draws_five_doses_of_0_4_mL_come_from_two_vials(string walk) =>
        Written.Of(Written.Vial(1)).SplitDraws().Step([40], every: 1).Dispensed(0, 2).Walk(walk).RunsOutOn(5).Flows(used: 2, lost: 0, discarded: 0, leftOver: 0);

    // 0.42 mL twice leaves 0.16 mL: 0.14 mL of the third dose after priming, then 0.26 + 0.02 mL from the next pen; 0.72 mL give one more, and 0.3 mL stay.
    [Theory, MemberData(nameof(Names))]
    public void A_dose_split_over_two_pens_is_primed_twice(string walk) =>
        Written.Of(Written.Pen(1, primeMl: 0.02m)).SplitDraws().Step([40], every: 1).Dispensed(0, 2)
            .Walk(walk).RunsOutOn(4).Flows(used: 1.6m, lost: 0.1m, discarded: 0, leftOver: 0.3m);

    // 0.49 mL twice leaves 0.02 mL, not more than the priming takes: it is discarded, and the dose comes whole from the next pen.
    [Theory, MemberData(nameof(Names))]
    public void A_remainder_that_only_primes_is_discarded(string walk) =>
        Written.Of(Written.Pen(1, primeMl: 0.02m)).SplitDraws().Step([47], every: 1).Dispensed(0, 2)
            .Walk(walk).RunsOutOn(4).Flows(used: 1.88m, lost: 0.08m, discarded: 0.02m, leftOver: 0.02m);

    [Theory, MemberData(nameof(Names))]
    public void The_first_priming_is_lost_at_the_opening(string walk) =>
        Written.Of(Written.Pen(1, firstPrimeMl: 0.1m)).Step([30], every: 1).Dispensed(0, 1).Walk(walk).RunsOutOn(3).Flows(used: 0.9m, lost: 0.1m, discarded: 0, leftOver: 0);

    [Theory, MemberData(nameof(Names))]
    public void A_smaller_size_that_cannot_serve_the_dose_is_passed_over(string walk) =>
        Written.Of(Written.Vial(1), Small(0.3m)).Step([50], every: 1).Dispensed(0, 1, expires: 5, product: "small").Dispensed(0, 1)
            .Walk(walk).RunsOutOn(2, BindingLimit.Volume).Flows(used: 1, lost: 0, discarded: 0, leftOver: 0.3m).Finds();

    [Theory, MemberData(nameof(Names))]
    public void A_dose_larger_than_any_container_stops_the_computation(string walk) =>
        Written.Of(Written.Vial(0.3m)).Step([50], every: 1).Dispensed(0, 4).Walk(walk).IsStoppedBy(FindingCode.DoseExceedsContainer);

    [Theory, MemberData(nameof(Names))]
    public void With_split_draws_it_comes_from_several(string walk) =>
        Written.Of(Written.Vial(0.3m)).SplitDraws().Step([50], every: 1).Dispensed(0, 4).Walk(walk).RunsOutOn(2).Flows(used: 1, lost: 0, discarded: 0, leftOver: 0.2m);

    [Theory, MemberData(nameof(Names))]
    public void What_is_left_in_a_single_dose_vial_is_discarded_at_once(string walk) =>
        Written.Of(Written.Vial(0.5m) with { Kind = ProductKind.SingleDoseVial }).Step([20], every: 1).Dispensed(0, 2)
            .Walk(walk).RunsOutOn(2).Flows(used: 0.4m, lost: 0, discarded: 0.6m, leftOver: 0);

    [Theory, MemberData(nameof(Names))]
    public void A_prefilled_syringe_is_used_up_by_its_dose(string walk) =>
        Assert.Equal(5, Written.Of(Written.Syringe(5)).Step([5], every: 7).Dispensed(0, 5).Walk(walk).RunsOutOn(35, BindingLimit.Volume).Covers(5).ContainersOpened);

    [Theory, MemberData(nameof(Names))]
    public void Stock_of_another_product_does_not_help(string walk) =>
        Written.Of(Written.Vial(1), Written.Vial(1) with { Id = "Q" }).Step([10], every: 1, days: 2).Step([10], every: 1, product: "Q").Dispensed(0, 1)
            .Walk(walk).RunsOutOn(2, BindingLimit.Product).IfHeld(10);

    // The morning dose of day 3 is covered and the evening's is not: the run-out is day 3, and so is the last covered dose.
    [Theory, MemberData(nameof(Names))]
    public void The_run_out_day_may_have_a_covered_dose(string walk)
    {
        var outcome = Written.Of(Written.Vial(1)).Step([10, 20], every: 1).Dispensed(0, 1).Walk(walk).RunsOutOn(3).Covers(7);
        Assert.Equal(3, Written.Number(outcome.LastCoveredOn));
    }

    private static Product Small(decimal ml) => Written.Vial(ml) with { Id = "small", SizeOf = "P" };

    private static Written Daily(int? inUseDays = null) =>
        Written.Of(Written.Vial(1, inUseDays), Written.Vial(0.1m, inUseDays) with { Id = "small", SizeOf = "P" }).Step([10], every: 1);
}
