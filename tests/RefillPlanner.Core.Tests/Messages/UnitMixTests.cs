using System;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;
using Xunit;

namespace RefillPlanner.Core.Tests.Messages;

/// <summary>Where whoever hands over, and whoever reads the working, is told that one number means two volumes.</summary>
public sealed class UnitMixTests
{
    private static readonly LocalDate Today = AlertCourse.Today;

    // 2 mg at 10 mg/mL is 0.2 mL, 20 units; the mark 2 holds 0.2 mg: the ten-fold error.
    private static readonly AlertCourse Weekly = new() { Product = AlertCourse.Strong, Device = AlertCourse.OneUnits, Dose = "2", NewDose = "4" };

    [Fact]
    public void A_dose_in_mg_that_is_also_a_number_of_units_is_told_to_whoever_hands_over()
    {
        var mixed = List(Weekly).First();
        Assert.Equal((2m, Volume.FromMl(0.2m), Volume.FromMl(0.02m)), (mixed.Number, mixed.Meant, mixed.Other));
        Assert.Equal("Show the mark: 2 mg is 20 units (0.2 mL) on the 1 mL U-100 syringe, 1 unit a line, and not the mark 2.", mixed.Short);
    }

    [Fact]
    public void A_number_that_is_another_volume_on_the_barrel_of_another_course_is_told_with_both()
    {
        // The next supply holds step 2 as well, with a number of its own.
        var all = List(new AlertCourse(), new AlertCourse { Id = "C-2", Device = AlertCourse.Forty });
        Assert.Equal([10m, 20m], all.Select(number => number.Number));
        var mixed = all[0];
        Assert.Equal("Say which syringe: 10 is 0.1 mL on the 0.5 mL U-100 syringe, and 0.25 mL on the 1 mL U-40 syringe of course C-2.", mixed.Short);
        Assert.Equal("One number, two volumes: 10 is 0.1 mL on the 0.5 mL U-100 syringe of step 1, and 0.25 mL on the 1 mL U-40 syringe of course C-2.", mixed.Text);
    }

    [Fact]
    public void Where_nothing_can_be_mixed_up_nothing_is_said() => Assert.Empty(List(new AlertCourse(), new AlertCourse { Id = "C-2" }));

    [Fact]
    public void Of_a_course_that_is_not_computed_no_mark_is_shown_and_nothing_is_said()
    {
        var tooOften = Weekly with { Product = AlertCourse.Strong with { MinEveryDays = 7 }, EveryDays = 1 };
        Assert.Empty(List(tooOften));
        Assert.DoesNotContain(List(new AlertCourse(), tooOften with { Id = "C-2", Device = AlertCourse.Forty }), mixed => mixed.Text.Contains("C-2", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(TaskKind.Prepare, true)]
    [InlineData(TaskKind.HandOver, true)]
    [InlineData(TaskKind.Ship, true)]
    [InlineData(TaskKind.RefillContact, false)]
    [InlineData(TaskKind.RenewalRequest, false)]
    public void It_stands_in_the_why_of_the_rows_by_which_the_supply_goes_out(TaskKind kind, bool isSaid)
    {
        var row = Row(kind);
        Assert.Equal(isSaid, row.Why.Contains("Show the mark: 2 mg is 20 units", StringComparison.Ordinal));
        Assert.DoesNotContain(row.Findings, finding => finding.Contains("Show the mark", StringComparison.Ordinal));
    }

    private static MorningRow Row(TaskKind kind) => MorningList.Of(Weekly.Snapshot().Site, Today, [new ListedTask
    {
        Key = TaskKey.Of(kind, "C-1", "after F-01"),
        Kind = kind,
        State = TaskState.Due,
        PlannedOn = Today,
        DueOn = Today,
        Reason = "In hand by Friday, March 6, 2026.",
        Patient = new ListedPatient("N", "Marl Quillfeather", HasNamesake: false, BornOn: null, Phone: null),
        CourseId = "C-1",
        Course = CourseLine.Of(Weekly.Snapshot(), Weekly.Plan(), List(Weekly)),
    }], []).Sections.SelectMany(section => section.Rows).Single();

    private static System.Collections.Generic.IReadOnlyList<MixedNumber> List(AlertCourse course, params AlertCourse[] others) =>
        UnitMix.ListOf(course.Snapshot(), course.Plan(), Policy.Default, others.Select(other => (other.Snapshot(), other.Plan())));
}
