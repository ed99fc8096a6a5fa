using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using Xunit;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>
/// Rulings on checks, pauses and ladders. The course of the checks: a vial of 150 units; 10 units on days 0, 7, 14 and 21; 20 units weekly from
/// day 28, if approved. Then 40 + 5 x 20 units are given, and day 63 cannot be. One week later: 50 + 5 x 20, and day 70. Never: 15 x 10, and day 105.
/// </summary>
public sealed class CheckRulingsTests
{
    private const int OnTime = 63;
    private const int AWeekLate = 70;
    private const int Never = 105;

    public static TheoryData<string> Names => Walks.Names;

    [Theory, MemberData(nameof(Names))]
    public void Approval_is_assumed_for_a_step_to_come_and_the_other_case_is_shown(string walk) =>
        StepUp().Walk(walk, asOf: 21).RunsOutOn(OnTime).IfHeld(Never).Finds();

    [Theory, MemberData(nameof(Names))]
    public void Nothing_is_assumed_on_the_first_dosing_day_itself(string walk) =>
        Assert.Equal(1, StepUp().Walk(walk, asOf: 28).RunsOutOn(Never).IfHeld(null).Finds().Step);

    [Theory, MemberData(nameof(Names))]
    public void An_approval_on_the_first_dosing_day_of_the_step_before_counts(string walk) =>
        Assert.Equal(2, StepUp().Approved(0, 2).Walk(walk, asOf: 28).RunsOutOn(OnTime).IfHeld(null).Finds().Step);

    [Theory, MemberData(nameof(Names))]
    public void An_approval_before_the_step_before_began_is_not_current(string walk) =>
        StepUp().Approved(-1, 2).Walk(walk, asOf: 28).RunsOutOn(Never).Finds(FindingCode.ApprovalNotCurrent);

    // It does not count, so approval is assumed as if it were not there, and the finding says so.
    [Theory, MemberData(nameof(Names))]
    public void An_approval_that_is_not_current_leaves_the_step_undecided(string walk) =>
        StepUp().Approved(-1, 2).Walk(walk, asOf: 7).RunsOutOn(OnTime).IfHeld(Never).Finds(FindingCode.ApprovalNotCurrent);

    [Theory, MemberData(nameof(Names))]
    public void An_approved_step_to_come_is_decided(string walk) =>
        StepUp().Approved(10, 2).Walk(walk, asOf: 14).RunsOutOn(OnTime).IfHeld(null).Finds();

    [Theory, MemberData(nameof(Names))]
    public void On_the_same_day_the_hold_wins(string walk) =>
        StepUp().Approved(20, 2).Held(20, 2).Walk(walk, asOf: 28).RunsOutOn(Never).Finds(FindingCode.ApprovalNotCurrent);

    [Theory, MemberData(nameof(Names))]
    public void A_hold_without_an_end_keeps_the_step_back(string walk) =>
        StepUp().Held(10, 2).Walk(walk, asOf: 14).RunsOutOn(Never).IfHeld(null).Finds();

    [Theory, MemberData(nameof(Names))]
    public void An_approval_after_the_hold_releases_the_step(string walk) =>
        StepUp().Held(10, 2).Approved(11, 2).Walk(walk, asOf: 14).RunsOutOn(OnTime).IfHeld(null).Finds();

    // The hold ends on day 20, before day 28: it voids what was approved by day 10, no more. Then the step is undecided.
    [Theory, MemberData(nameof(Names))]
    public void A_hold_that_has_passed_only_voids_earlier_approvals(string walk) =>
        StepUp().Approved(7, 2).Held(10, 2, until: 20).Walk(walk, asOf: 14).RunsOutOn(OnTime).IfHeld(Never).Finds(FindingCode.ApprovalNotCurrent);

    // Day 28 is held back; from then on nothing is assumed, not even on day 35.
    [Theory, MemberData(nameof(Names))]
    public void Once_a_dosing_day_was_held_back_no_approval_is_assumed(string walk) =>
        StepUp().Held(10, 2, until: 30).Walk(walk, asOf: 14).RunsOutOn(Never).IfHeld(null).Finds();

    // The day before `until` is still held back, `until` itself is not: until 28 lets the step start on day 28.
    [Theory, MemberData(nameof(Names))]
    public void A_hold_ends_on_its_until(string walk) =>
        StepUp().Held(10, 2, until: 28).Approved(12, 2).Walk(walk, asOf: 14).RunsOutOn(OnTime).IfHeld(null);

    [Theory, MemberData(nameof(Names))]
    public void An_approval_after_the_hold_takes_effect_from_its_until(string walk) =>
        StepUp().Held(10, 2, until: 30).Approved(12, 2).Walk(walk, asOf: 14).RunsOutOn(AWeekLate).IfHeld(null).Finds();

    [Theory, MemberData(nameof(Names))]
    public void An_approval_with_a_later_start_keeps_the_step_back_until_then(string walk) =>
        StepUp().Approved(12, 2, from: 30).Walk(walk, asOf: 14).RunsOutOn(AWeekLate).IfHeld(null).Finds();

    [Theory, MemberData(nameof(Names))]
    public void A_hold_on_the_first_dosing_day_itself_is_in_time(string walk) =>
        StepUp().Approved(20, 2).Held(28, 2).Walk(walk, asOf: 35).RunsOutOn(Never).Finds(FindingCode.ApprovalNotCurrent);

    [Theory, MemberData(nameof(Names))]
    public void A_hold_of_a_step_already_begun_changes_nothing(string walk) =>
        StepUp().Approved(20, 2).Held(29, 2).Walk(walk, asOf: 35).RunsOutOn(OnTime).Finds(FindingCode.HoldTooLate);

    [Theory, MemberData(nameof(Names))]
    public void A_late_approval_starts_the_step_on_the_next_day_in_rhythm(string walk) =>
        StepUp().Approved(30, 2).Walk(walk, asOf: 35).RunsOutOn(AWeekLate).Finds();

    [Theory, MemberData(nameof(Names))]
    public void An_approval_dated_after_the_as_of_date_is_ignored(string walk) =>
        StepUp().Approved(29, 2).Walk(walk, asOf: 28).RunsOutOn(Never).Finds();

    [Theory, MemberData(nameof(Names))]
    public void A_waived_check_needs_no_approval_and_no_hold_stops_it(string walk) =>
        StepUp(check: false).Held(10, 2).Walk(walk, asOf: 28).RunsOutOn(OnTime).IfHeld(null).Finds(FindingCode.CheckWaived);

    [Theory, MemberData(nameof(Names))]
    public void A_voided_hold_was_never_recorded(string walk) =>
        StepUp().Approved(10, 2).Held(12, 2).Voided(13, "f3").Walk(walk, asOf: 14).RunsOutOn(OnTime).IfHeld(null).Finds();

    // Days 7 and 14 are skipped; ten doses of a 1 mL vial reach day 63 + 14.
    [Theory, MemberData(nameof(Names))]
    public void A_pause_skips_days_and_keeps_the_weekday(string walk) =>
        Weekly().Paused(6, until: 20).Walk(walk).RunsOutOn(84).Covers(10).Finds(FindingCode.DosesMissed);

    [Theory, MemberData(nameof(Names))]
    public void One_dosing_day_in_a_pause_is_not_two(string walk) =>
        Weekly().Paused(7).Resumed(14).Walk(walk, asOf: 20).RunsOutOn(77).Finds();

    [Theory, MemberData(nameof(Names))]
    public void A_pause_without_an_end_never_runs_out(string walk) =>
        Assert.Equal(Outcome.BeyondHorizon, Weekly().Paused(7).Walk(walk).Covers(1).Finds(FindingCode.PausedOpen, FindingCode.DosesMissed).Outcome);

    // Step 2 would begin on day 7, in the pause; it is daily, so it begins on day 10: 10 + 9 x 10 units reach day 18.
    [Theory, MemberData(nameof(Names))]
    public void A_first_dosing_day_in_a_pause_moves_on_by_the_rhythm_of_its_own_step(string walk) =>
        Written.Of(Written.Vial(1)).Step([10], every: 7, days: 1).Step([10], every: 1).Dispensed(0, 1).Paused(7, until: 10)
            .Walk(walk).RunsOutOn(19).Covers(10);

    // The check is asked on day 10. Held back there, the weekly rhythm of step 1 goes on: day 14, not day 10.
    [Theory, MemberData(nameof(Names))]
    public void Held_back_after_a_pause_the_step_before_goes_on_in_its_own_rhythm(string walk) =>
        Written.Of(Written.Vial(0.3m)).Step([10], every: 7, days: 1).Step([10], every: 1).Dispensed(0, 1).Paused(7, until: 10)
            .Walk(walk, asOf: 10).RunsOutOn(28).Covers(2);

    [Theory, MemberData(nameof(Names))]
    public void A_missed_day_uses_nothing_and_counts_towards_the_step(string walk) =>
        Written.Of(Written.Vial(1)).Step([10], every: 1, days: 5).Dispensed(0, 1).Missed(3)
            .Walk(walk, asOf: 3).EndsOn(5).Covers(1).Flows(used: 0.1m, lost: 0, discarded: 0, leftOver: 0.6m);

    [Theory, MemberData(nameof(Names))]
    public void A_paused_day_does_not_count_towards_the_step(string walk) =>
        Written.Of(Written.Vial(1)).Step([10], every: 1, days: 5).Dispensed(0, 1).Paused(3, until: 4).Walk(walk).EndsOn(6).Covers(5);

    [Theory, MemberData(nameof(Names))]
    public void An_ended_course_gives_no_dose_from_that_day(string walk) =>
        Weekly().Ended(14).Walk(walk).EndsOn(14).Covers(2).Flows(used: 0.2m, lost: 0, discarded: 0, leftOver: 0.8m);

    // Ladder 1 ends by itself on day 5; ladder 2 begins on day 8: 5 x 10, then 2 x 20 units, and day 10 finds 10.
    [Theory, MemberData(nameof(Names))]
    public void A_later_ladder_starts_an_ended_course_again(string walk) =>
        Written.Of(Written.Vial(1)).Step([10], every: 1, days: 5).Step([20], every: 1, ladder: 2).Dispensed(0, 1).LadderStarted(8, 2)
            .Walk(walk).RunsOutOn(10).Covers(7);

    [Theory, MemberData(nameof(Names))]
    public void A_new_ladder_takes_the_place_of_the_days_to_come(string walk) =>
        Written.Of(Written.Vial(1)).Step([10], every: 7).Step([20], every: 7, ladder: 2).Dispensed(0, 1).LadderStarted(10, 2)
            .Walk(walk).RunsOutOn(38).Covers(6);

    private static Written StepUp(bool check = true) =>
        Written.Of(Written.Vial(1.5m)).Step([10], every: 7, days: 4).Step([20], every: 7, check: check).Dispensed(0, 1);

    private static Written Weekly() => Written.Of(Written.Vial(1)).Step([10], every: 7).Dispensed(0, 1);
}
