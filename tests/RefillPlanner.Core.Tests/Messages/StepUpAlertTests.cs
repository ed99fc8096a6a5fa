using System;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Pictures;
using Xunit;

namespace RefillPlanner.Core.Tests.Messages;

/// <summary>What a pharmacist is told before a dose increase.</summary>
public sealed class StepUpAlertTests
{
    [Fact]
    public void Both_steps_are_drawn_beside_each_other_and_said_in_words()
    {
        var alert = new AlertCourse().Alert();
        Assert.Equal("Now: 10 units (0.1 mL) on the 0.5 mL U-100 syringe, 1 unit a line. New: 20 units (0.2 mL) on the 0.5 mL U-100 syringe, 1 unit a line.", alert.PictureWords);
        Assert.Equal(2, PictureCode.Find(alert.Picture)!.Count);
        Assert.Equal(320, alert.PictureWidth);
        Assert.Empty(alert.NoPicture);
        Assert.Empty(alert.Warnings);
        Assert.Equal("2.5 mg/mL", alert.New.Strength);
    }

    [Fact]
    public void A_rounded_new_dose_is_not_drawn_before_it_is_signed()
    {
        var alert = new AlertCourse { NewDose = "0.51" }.Alert();
        Assert.StartsWith("New: No picture: the dose is rounded to a mark", Assert.Single(alert.NoPicture), StringComparison.Ordinal);
        Assert.DoesNotContain("New:", alert.PictureWords, StringComparison.Ordinal);
        Assert.Contains("nearest mark 0.2 mL", Assert.Single(alert.New.Warnings), StringComparison.Ordinal);
    }

    [Fact]
    public void A_count_that_found_more_than_the_record_is_among_the_doses_not_given()
    {
        // Two doses of 0.1 mL were due since February 16, and the open vial is as full as on its first day.
        var count = new Fact { Id = "F-09", CourseId = "C-1", Kind = FactKind.Counted, On = new LocalDate(2026, 3, 1), ProductId = "P-WEEK", Containers = 1, Volume = Volume.FromMl(2) };
        var alert = new AlertCourse { Facts = [count] }.Alert();
        Assert.Contains("The count of Sunday, March 1, 2026 (F-09) found 4 mL of P-WEEK; by the record it should be 3.8 mL. That is 0.2 mL more. A dose takes 0.1 mL: about 2 doses may not have been given. There may be another reason: ask the patient.", alert.NotGiven, StringComparison.Ordinal);
        Assert.DoesNotContain("may not have been given", new AlertCourse().Alert().NotGiven, StringComparison.Ordinal);
    }

    // Source (R): NCQA FAQ; CMS measure notes: covered days by date, from the days' supply of the fills.
    [Fact]
    public void Days_covered_are_said_to_be_not_known_where_no_fill_has_a_billed_days_supply()
    {
        // The fill of February 16 covers 7 of the 15 dates through March 2.
        Assert.StartsWith("7 of 15 dates (46.67 %): from the first fill of the last 365 days through today, by date, overlap carried forward", new AlertCourse().Alert().DaysCovered, StringComparison.Ordinal);
        Fact Unbilled(string id) => new() { Id = id, CourseId = "C-1", Kind = FactKind.Dispensed, On = new LocalDate(2026, 2, 23), ProductId = "P-WEEK", Containers = 1 };
        Assert.EndsWith("; 1 fill without a billed days' supply is not counted", new AlertCourse { Facts = [Unbilled("F-02")] }.Alert().DaysCovered, StringComparison.Ordinal);
        Fact Void(string of) => new() { Id = $"V-{of}", CourseId = "C-1", Kind = FactKind.Void, On = AlertCourse.Today, Note = of };
        Assert.Equal("not known: no fill with a billed days' supply in the last 365 days (2 without one)", new AlertCourse { Facts = [Unbilled("F-02"), Unbilled("F-03"), Void("F-01")] }.Alert().DaysCovered);
    }

    [Fact]
    public void A_jump_of_the_dose_is_said_large_and_first()
    {
        var alert = new AlertCourse { NewDose = "0.75" }.Alert();
        Assert.StartsWith("Step 2: 0.75 mg a dosing day after 0.25 mg: more than 2 times as much.", alert.Warnings[0], StringComparison.Ordinal);
    }

    [Fact]
    public void Too_short_an_interval_is_said_large_and_nothing_is_drawn()
    {
        var alert = new AlertCourse { Product = AlertCourse.Weekly with { MinEveryDays = 7 }, NewEveryDays = 1 }.Alert();
        Assert.Contains("A weekly medicine given daily is a known fatal error.", alert.Warnings[0], StringComparison.Ordinal);
        Assert.Empty(alert.Picture);
        Assert.Equal(2, alert.NoPicture.Count);
    }

    [Fact]
    public void A_dose_in_mg_that_is_also_a_number_of_units_on_the_barrel_is_warned_of()
    {
        // 5 mg at 10 mg/mL is 0.5 mL, 50 units; the mark 5 holds 0.5 mg: the ten-fold error.
        var alert = new AlertCourse { Product = AlertCourse.Strong, Device = AlertCourse.OneUnits, Dose = "2.5", NewDose = "5" }.Alert();
        Assert.Equal("Units and mg differ: the dose is 5 mg, and the syringe has a mark 5 that is another dose (0.05 mL). The dose is 50 units (0.5 mL) on the 1 mL U-100 syringe, 1 unit a line.", Assert.Single(alert.Warnings));
    }

    [Fact]
    public void A_number_that_means_the_same_volume_is_no_warning()
    {
        // 100 mg/mL: 10 mg is 0.1 mL, which is the mark 10.
        var product = AlertCourse.Strong with { Strength = new Strength(Amount.From(100), Volume.FromMl(1)) };
        Assert.Empty(new AlertCourse { Product = product, Dose = "5", NewDose = "10" }.Alert().Warnings);
    }

    [Fact]
    public void A_new_barrel_on_which_the_number_means_another_volume_is_warned_of()
    {
        var alert = new AlertCourse { NewDevice = AlertCourse.Forty }.Alert();
        Assert.Contains("One number, two volumes: 10 is 0.1 mL on the 0.5 mL U-100 syringe of the present step, and 0.25 mL on the 1 mL U-40 syringe of the new step.", alert.Warnings);
        Assert.EndsWith("The barrels differ; each is drawn to its own scale.", alert.PictureWords, StringComparison.Ordinal);
    }

    [Fact]
    public void A_new_strength_is_warned_of_for_the_same_mark_is_then_another_dose()
    {
        // 2.5 mg at 10 mg/mL and 5 mg at 20 mg/mL are both 0.25 mL.
        var stronger = AlertCourse.Strong with { Id = "P-20", Strength = new Strength(Amount.From(20), Volume.FromMl(1)) };
        var alert = new AlertCourse { Product = AlertCourse.Strong, NewProduct = stronger, Dose = "2.5", NewDose = "5" }.Alert();
        Assert.Equal("Another strength: 10 mg/mL now, 20 mg/mL in the new step. The same mark is another dose.", alert.Warnings[0]);
    }

    [Fact]
    public void A_number_of_another_course_of_the_patient_is_warned_of()
    {
        var alert = new AlertCourse().Alert(new AlertCourse { Id = "C-2", Device = AlertCourse.Forty });
        Assert.Contains("One number, two volumes: 20 is 0.2 mL on the 0.5 mL U-100 syringe of the new step, and 0.5 mL on the 1 mL U-40 syringe of course C-2.", alert.Warnings);
    }

    [Fact]
    public void Doses_not_given_and_fills_stand_with_their_dates()
    {
        var alert = new AlertCourse
        {
            Facts =
            [
                new Fact { Id = "F-02", CourseId = "C-1", Kind = FactKind.Missed, On = new LocalDate(2026, 2, 23) },
                new Fact { Id = "F-03", CourseId = "C-1", Kind = FactKind.Dispensed, On = new LocalDate(2026, 2, 26), ProductId = "P-WEEK", Containers = 1, DaysSupply = 28 },
                new Fact { Id = "F-04", CourseId = "C-1", Kind = FactKind.Dispensed, On = new LocalDate(2026, 3, 1), ProductId = "P-WEEK", Containers = 1, DaysSupply = 28 },
            ],
        }.Alert();
        Assert.Equal("Missed in this step: Monday, February 23. No pause begun in it. None without stock on record.", alert.NotGiven);
        Assert.Equal("since Monday, February 16, 14 days", alert.OnPresentDose);
        Assert.Equal(
            [
                "Sunday, March 1, 1 of P-WEEK, 25 days early: the 28 days billed before it had not ended",
                "Thursday, February 26, 1 of P-WEEK, 3 days late: the 7 days billed before it had ended",
                "Monday, February 16, 2 of P-WEEK",
            ],
            alert.Fills);
    }
}
