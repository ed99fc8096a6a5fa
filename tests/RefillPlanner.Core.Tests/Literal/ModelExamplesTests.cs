using System.Linq;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using Xunit;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>The examples of section 6 of the supply model, and draws worked by hand.</summary>
public sealed class ModelExamplesTests
{
    public static TheoryData<string> Names => Walks.Names;

    [Theory, MemberData(nameof(Names))]
    public void E1_a_10_mL_vial_gives_27_whole_doses_of_36_units(string walk) =>
        Written.Of(Written.Vial(10, inUseDays: 28)).Step([36], every: 1).Dispensed(0, 1)
            .Walk(walk).RunsOutOn(27, BindingLimit.Volume).Covers(27).Flows(used: 9.72m, lost: 0, discarded: 0, leftOver: 0.28m);

    [Theory, MemberData(nameof(Names))]
    public void E2_the_in_use_limit_binds_in_each_of_three_pens(string walk) =>
        Written.Of(Written.Pen(3, inUseDays: 28)).Step([3, 3, 3, 1], every: 1).Dispensed(0, 3)
            .Walk(walk).RunsOutOn(84, BindingLimit.InUse).Covers(336);

    [Theory, MemberData(nameof(Names))]
    public void E2_counted_from_day_0_each_pen_lasts_a_day_longer(string walk) =>
        Written.Of(Written.Pen(3, inUseDays: 28) with { InUseCount = InUseCount.OpeningDayIsDay0 }).Step([3, 3, 3, 1], every: 1).Dispensed(0, 3)
            .Walk(walk).RunsOutOn(87, BindingLimit.InUse);

    [Theory, MemberData(nameof(Names))]
    public void E3_with_priming_the_volume_binds(string walk) =>
        Written.Of(Written.Pen(3, primeMl: 0.02m, inUseDays: 28)).Step([3, 3, 3, 1], every: 1).Dispensed(0, 3)
            .Walk(walk).RunsOutOn(49, BindingLimit.Volume);

    [Theory, MemberData(nameof(Names))]
    public void E4_nothing_lost_gives_20_doses(string walk) =>
        Written.Of(Written.Vial(10)).Step([50], every: 7).Dispensed(0, 1).Walk(walk).RunsOutOn(140).Covers(20);

    [Theory, MemberData(nameof(Names))]
    public void E4_two_microlitres_lost_a_draw_cost_the_twentieth_dose(string walk) =>
        Written.Of(Written.Vial(10)).With(Written.Barrel(1, 0.01m, 100, deadSpaceMl: 0.002m)).Step([50], every: 7).Dispensed(0, 1)
            .Walk(walk).RunsOutOn(133).Covers(19).Flows(used: 9.5m, lost: 0.038m, discarded: 0, leftOver: 0.462m);

    [Theory]
    [InlineData("0.25", "0.1", 10)]
    [InlineData("0.5", "0.2", 20)]
    public void E5_milligrams_on_a_U_100_barrel_are_marked_in_its_units(decimal mg, decimal ml, decimal units)
    {
        foreach (var row in Walks.Names)
        {
            var draw = Written.Of(Written.Vial(10, perMl: 2.5m) with { Unit = DoseUnit.Mg }).Step([mg], every: 7).Walk(row.Data).Draws[0];
            Assert.Equal((1, ml, units, mg, 0m), (draw.Injections, draw.Marks[0].Ml, draw.MarksUnits![0], draw.Delivered, draw.ErrorPercent));
        }
    }

    [Theory, MemberData(nameof(Names))]
    public void E6_day_28_is_past_the_limit(string walk) =>
        Written.Of(Written.Vial(4, inUseDays: 28)).Step([25], every: 7).Dispensed(0, 1)
            .Walk(walk).RunsOutOn(28, BindingLimit.InUse).Covers(4).Flows(used: 1, lost: 0, discarded: 3, leftOver: 0);

    [Theory, MemberData(nameof(Names))]
    public void E6_counted_from_day_0_there_are_five_doses(string walk) =>
        Written.Of(Written.Vial(4, inUseDays: 28) with { InUseCount = InUseCount.OpeningDayIsDay0 }).Step([25], every: 7).Dispensed(0, 1)
            .Walk(walk).RunsOutOn(35, BindingLimit.InUse).Covers(5);

    // Heparin 5,000 units from 40,000 units/mL is 0.125 mL, taught as "give 0.13" (US Army course MD0904, p. 2-34). Our rule: a tie goes to the lower mark.
    [Theory, MemberData(nameof(Names))]
    public void A_tie_goes_to_the_lower_mark(string walk)
    {
        var outcome = Written.Of(Written.Vial(10, perMl: 40_000)).With(Written.Barrel(1, 0.01m)).Step([5000], every: 1).Walk(walk).Finds(FindingCode.DoseRounded);
        var draw = outcome.Draws[0];
        Assert.Equal((0.12m, null, 4800m, -4m), (draw.Marks[0].Ml, draw.MarksUnits, draw.Delivered, draw.ErrorPercent));
    }

    // The EU pen of 2 mg in 1.5 mL (EU register annexes): 0.1875 mL a dose, and eight of them fit exactly; eight of the label's 0.19 mL would not.
    [Theory, MemberData(nameof(Names))]
    public void Two_milligrams_in_1_5_mL_hold_eight_quarter_milligrams(string walk)
    {
        var pen = Written.Pen(1.5m) with
        {
            Unit = DoseUnit.Mg,
            Strength = new Strength(Amount.From(2), Volume.FromMl(1.5m)),
            DialStep = Amount.From(0.25m),
            DialMax = Amount.From(1),
        };
        var outcome = Written.Of(pen).Step([0.25m], every: 7).Dispensed(0, 1).Walk(walk).RunsOutOn(56).Covers(8).Finds();
        Assert.Equal(0.1875m, outcome.Draws[0].Marks[0].Ml);
    }

    [Theory, MemberData(nameof(Names))]
    public void Eighty_one_units_at_sixty_are_dialled_as_41_and_40(string walk)
    {
        var outcome = Written.Of(Written.Pen(3, primeMl: 0.02m)).Step([81], every: 1).Walk(walk).Finds(FindingCode.DoseSplit);
        Assert.Equal([0.41m, 0.40m], outcome.Draws[0].Marks.Select(mark => mark.Ml));
        Assert.Equal([0.43m, 0.42m], outcome.Draws[0].Needed.Select(needed => needed.Ml));
    }

    // 4.5 units at a dial of 4 units: two equal parts of 2.25 units.
    [Theory, MemberData(nameof(Names))]
    public void A_dose_off_the_dial_is_dealt_in_equal_parts(string walk)
    {
        var outcome = Written.Of(Written.Pen(3, dialMax: 4)).Step([4.5m], every: 1).Walk(walk).Finds(FindingCode.DoseOffDial, FindingCode.DoseSplit);
        Assert.Equal([0.0225m, 0.0225m], outcome.Draws[0].Marks.Select(mark => mark.Ml));
    }

    [Theory, MemberData(nameof(Names))]
    public void A_dose_below_the_first_mark_stops_the_computation(string walk) =>
        Written.Of(Written.Vial(1)).Step([0.5m], every: 1).Dispensed(0, 1).Walk(walk).IsStoppedBy(FindingCode.DoseBelowFirstMark);

    [Theory, MemberData(nameof(Names))]
    public void A_U_100_barrel_does_not_read_a_U_200_vial(string walk) =>
        Written.Of(Written.Vial(1, perMl: 200)).Step([10], every: 1).Dispensed(0, 1).Walk(walk).IsStoppedBy(FindingCode.StrengthBarrelMismatch);

    [Theory, MemberData(nameof(Names))]
    public void A_barrel_marked_in_mL_serves_instead(string walk) =>
        Written.Of(Written.Vial(1, perMl: 200)).With(Written.Barrel(1, 0.01m)).Step([20], every: 1).Dispensed(0, 1).Walk(walk).RunsOutOn(10).Finds();

    [Theory, MemberData(nameof(Names))]
    public void A_prefilled_syringe_gives_its_own_dose_only(string walk) =>
        Written.Of(Written.Syringe(5)).Step([2.5m], every: 7).Dispensed(0, 4).Walk(walk).IsStoppedBy(FindingCode.DoseNotInSyringe);

    [Theory, MemberData(nameof(Names))]
    public void A_weekly_medicine_given_daily_stops_the_computation(string walk) =>
        Written.Of(Written.Vial(1) with { MinEveryDays = 7 }).Step([10], every: 1).Dispensed(0, 1).Walk(walk).IsStoppedBy(FindingCode.IntervalTooShort);

    // 10 then 21 units: more than twice. 10 then 20: exactly twice is no jump.
    [Theory]
    [InlineData(20, false)]
    [InlineData(21, true)]
    public void More_than_twice_the_step_before_is_a_jump(decimal units, bool jumps)
    {
        foreach (var row in Walks.Names)
            Written.Of(Written.Vial(10)).Step([10], every: 7, days: 4).Step([units], every: 7).Walk(row.Data).Finds(jumps ? [FindingCode.DoseJump] : []);
    }
}
