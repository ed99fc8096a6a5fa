using System;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Tests.Messages;
using Xunit;

namespace RefillPlanner.Core.Tests.Planning;

/// <summary>
/// A rounded dose, and a jump of it, are shown to a patient only when a pharmacist has signed them (supply model, section 2). 0.26 mg at 2.5 mg/mL is
/// 0.104 mL, 4 percent more than the mark at 0.1 mL. No check asks about step 1.
/// </summary>
public sealed class DoseSignatureTests
{
    private const string HowTo = "refill-planner sign C-1 approve --step 1 --by NAME";
    private static readonly AlertCourse Rounded = new() { Dose = "0.26" };

    [Fact]
    public void A_rounded_step_1_can_be_signed_and_its_mark_is_then_on_the_sheet()
    {
        Assert.Empty(Sheet(Rounded).Steps[0].Marks);
        var signed = Rounded with { Facts = [Sign(Rounded, 1).Fact! with { Id = "F-09" }] };
        Assert.StartsWith("0.26 mg every 7 days; P-WEEK", signed.Facts[0].Signed, StringComparison.Ordinal);
        Assert.StartsWith("10 units (0.1 mL)", Assert.Single(Sheet(signed).Steps[0].Marks), StringComparison.Ordinal);
        Assert.Contains("nothing about its dose waits for a signature", Sign(signed, 1).Refusal, StringComparison.Ordinal);
    }

    [Fact]
    public void Its_signature_changes_nothing_of_the_plan()
    {
        var signed = Rounded with { Facts = [Sign(Rounded, 1).Fact! with { Id = "F-09" }] };
        var (before, after) = (Rounded.Plan(), signed.Plan());
        Assert.Equal((before.Supply.RunOutOn, before.StepUp), (after.Supply.RunOutOn, after.StepUp));
        Assert.Equal(before.Findings, after.Findings);
    }

    [Fact]
    public void Staff_read_what_to_type_where_it_is_missing_and_no_more_when_it_is_given()
    {
        var signed = Rounded with { Facts = [Sign(Rounded, 1).Fact! with { Id = "F-09" }] };
        const string line = $"Step 1: no pharmacist has signed this rounding, so the patient is shown no mark. To sign it: {HowTo}";
        Assert.Contains(line, CourseLine.Of(Rounded.Snapshot(), Rounded.Plan(), []).ListFindings());
        Assert.DoesNotContain(CourseLine.Of(signed.Snapshot(), signed.Plan(), []).ListFindings(), finding => finding.Contains("To sign it", StringComparison.Ordinal));
        Assert.Equal($"Now: No picture: the dose is rounded to a mark, and no pharmacist has signed that. To sign it: {HowTo}", Assert.Single(Rounded.Alert().NoPicture));
        Assert.Empty(signed.Alert().NoPicture);
    }

    [Fact]
    public void Where_nothing_else_is_asked_the_refusal_says_what_may_be_signed()
    {
        var approved = Rounded with { Facts = [new Fact { Id = "F-08", CourseId = "C-1", Kind = FactKind.Ended, On = new LocalDate(2026, 3, 10) }] };
        Assert.Equal($"There is nothing to sign: no coming step of C-1 waits for a check. The dose of step 1 is not signed: {HowTo}", Sign(approved, step: null).Refusal);
    }

    [Fact]
    public void What_was_signed_is_one_rounding_and_another_syringe_is_another()
    {
        var fact = Sign(Rounded, 1).Fact! with { Id = "F-09" };
        var other = Rounded with { Device = AlertCourse.Forty, NewDevice = AlertCourse.HalfUnits, Facts = [fact] };
        Assert.Empty(Sheet(other).Steps[0].Marks);
        Assert.Null(Sign(other, 1).Refusal);
        Assert.NotEmpty(Sheet(other with { Facts = [fact, Sign(other, 1).Fact! with { Id = "F-10" }] }).Steps[0].Marks);
    }

    [Fact]
    public void An_imported_approval_counts_as_it_stands() =>
        Assert.Single(Sheet(Rounded with { Facts = [new Fact { Id = "F-09", CourseId = "C-1", Kind = FactKind.Approved, On = AlertCourse.Today, Step = 1 }] }).Steps[0].Marks);

    [Fact]
    public void A_jump_in_step_1_is_signed_the_same_way_and_the_patient_then_has_a_sheet()
    {
        var jump = new AlertCourse { NewDose = "0.25", Product = AlertCourse.Weekly with { MaxDose = Amount.From(0.2m) } };
        Assert.Equal($"Step 1 is a jump of the dose, and no pharmacist has signed it. To sign it: {HowTo}", PatientSheet.WhyNot(jump.Snapshot(), jump.Plan()));
        Assert.Contains($"Step 1: no pharmacist has signed this jump of the dose, so there is no sheet for the patient. To sign it: {HowTo}", CourseLine.Of(jump.Snapshot(), jump.Plan(), []).ListFindings());
        Assert.NotEmpty(Sheet(jump with { Facts = [Sign(jump, 1).Fact! with { Id = "F-09" }] }).DosingDays);
    }

    [Fact]
    public void The_rounded_dose_of_a_step_that_waits_for_its_check_is_signed_with_the_check()
    {
        var coming = new AlertCourse { NewDose = "0.26" };
        Assert.Empty(DoseSignature.ListMissing(coming.Snapshot(), coming.Plan()));
        Assert.Equal(2, Sign(coming, step: null).Fact!.Step);
    }

    [Fact]
    public void A_dose_on_its_mark_is_not_signed_and_a_signature_has_no_dates()
    {
        Assert.Contains("Step 1 is not signed: no check is asked before it", Sign(new AlertCourse(), 1).Refusal, StringComparison.Ordinal);
        var later = new StepDecision(IsApproval: true, 1, AlertCourse.Today.PlusDays(1), Until: null, "Jo", Note: null);
        Assert.Contains("only its dose is signed", Signing.Judge(Rounded.Snapshot(), Rounded.Plan(), later).Refusal, StringComparison.Ordinal);
        Assert.Contains("Step 1 is not signed", Signing.Judge(Rounded.Snapshot(), Rounded.Plan(), later with { IsApproval = false }).Refusal, StringComparison.Ordinal);
    }

    private static SigningAnswer Sign(AlertCourse course, int? step) =>
        Signing.Judge(course.Snapshot(), course.Plan(), new StepDecision(IsApproval: true, step, From: null, Until: null, "Jo", Note: null));

    private static PatientSheet Sheet(AlertCourse course) => PatientSheet.Of(course.Snapshot(), course.Plan(), Policy.Default);
}
