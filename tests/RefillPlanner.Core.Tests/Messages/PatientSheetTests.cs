using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;
using Xunit;

namespace RefillPlanner.Core.Tests.Messages;

/// <summary>The printed page for a patient.</summary>
public sealed class PatientSheetTests
{
    private static readonly Fact Approved = new() { Id = "F-09", CourseId = "C-1", Kind = FactKind.Approved, On = new LocalDate(2026, 2, 28), Step = 2, Note = "Jo" };

    [Fact]
    public void It_shows_the_days_up_to_a_step_that_waits_for_a_pharmacist()
    {
        var sheet = Sheet(new AlertCourse());
        Assert.Equal(["Monday, March 2", "Monday, March 9"], sheet.DosingDays.Select(day => day.Day));
        Assert.Equal("Monday, March 16", sheet.WaitsFrom);
        var step = Assert.Single(sheet.Steps);
        Assert.Equal(("0.25 mg", "every 7 days"), (step.Dose, step.Rhythm));
        Assert.Equal("10 units (0.1 mL) on the 0.5 mL U-100 syringe, 1 unit a line", Assert.Single(step.Marks));
        Assert.StartsWith("<svg", step.Picture, StringComparison.Ordinal);
    }

    [Fact]
    public void A_signed_step_is_on_it_with_its_own_mark_for_8_weeks()
    {
        var sheet = Sheet(new AlertCourse { Facts = [Approved] });
        Assert.Equal(8, sheet.DosingDays.Count);
        Assert.Equal(["0.25 mg", "0.25 mg", "0.5 mg"], sheet.DosingDays.Take(3).Select(day => day.Dose));
        Assert.Equal(2, sheet.Steps.Count);
        Assert.Empty(sheet.WaitsFrom);
    }

    [Fact]
    public void The_place_changes_with_every_injection_and_the_next_sheet_goes_on()
    {
        var course = new AlertCourse { Facts = [Approved] };
        var places = Sheet(course).DosingDays.Select(day => Assert.Single(day.Places)).ToArray();
        Assert.All(places.Zip(places.Skip(1)), pair => Assert.NotEqual(pair.First, pair.Second));
        Assert.Equal(4, places.Distinct().Count());
        Assert.Equal(["belly, left", "belly, right", "thigh, left", "thigh, right"], places.Distinct().Order(StringComparer.Ordinal));
    }

    [Fact]
    public void Two_injections_of_a_day_go_to_two_places_and_are_drawn_once_if_alike()
    {
        var sheet = Sheet(new AlertCourse { Dose = "2", NewDose = "2.5" });
        Assert.Equal(2, sheet.DosingDays[0].Places.Distinct().Count());
        Assert.NotEqual(sheet.DosingDays[0].Places, sheet.DosingDays[1].Places);
        Assert.Equal(2, sheet.Steps[0].Marks.Count);
        Assert.DoesNotContain("1 of ", sheet.Steps[0].Picture, StringComparison.Ordinal);
    }

    [Fact]
    public void Injections_that_differ_are_all_drawn_each_with_its_number()
    {
        // 2.6 mg is 1.04 mL: 0.35, 0.35 and 0.34 mL on the 0.5 mL syringe.
        var step = Sheet(new AlertCourse { Dose = "2.6" }).Steps[0];
        Assert.Equal(3, step.Marks.Count);
        Assert.All(new[] { "1 of 3", "2 of 3", "3 of 3" }, place => Assert.Contains($">{place}</text>", step.Picture, StringComparison.Ordinal));
    }

    // Source (R): site spacing, Clin Diabetes 2019;37:227: a place rests while the others have their turn. Here four places, so three injections lie
    // between two at one place: also where a step has another rhythm or more injections than the one before, and over a pause.
    [Theory]
    [InlineData("0.25", "0.5", 7, 7)]
    [InlineData("0.25", "2", 7, 7)]
    [InlineData("2", "0.25", 7, 14)]
    [InlineData("0.25", "0.5", 7, 10)]
    [InlineData("0.25", "4", 1, 2)]
    [InlineData("2", "2.5", 3, 7)]
    public void No_place_comes_again_before_the_other_three_on_whatever_day_the_sheets_are_made(string dose, string newDose, int everyDays, int newEveryDays)
    {
        var course = new AlertCourse
        {
            Dose = dose,
            NewDose = newDose,
            EveryDays = everyDays,
            NewEveryDays = newEveryDays,
            Facts = [Approved with { On = new LocalDate(2026, 2, 16) }, new Fact { Id = "F-10", CourseId = "C-1", Kind = FactKind.Paused, On = new LocalDate(2026, 3, 20), Until = new LocalDate(2026, 4, 1) }],
        }.Snapshot();
        var places = new SortedDictionary<LocalDate, IReadOnlyList<string>>();
        for (var asOf = new LocalDate(2026, 2, 16); asOf < new LocalDate(2026, 4, 20); asOf = asOf.PlusDays(5))
        {
            foreach (var day in PatientSheet.Of(course, PlanningPipeline.Plan([course], [], Policy.Default, asOf).Courses[0], Policy.Default).DosingDays)
                Assert.Equal(day.Places, places.TryGetValue(day.On, out var before) ? before : places[day.On] = day.Places);
        }

        var inTurn = places.Values.SelectMany(day => day).ToArray();
        Assert.True(inTurn.Length > 8);
        Assert.All(Enumerable.Range(0, inTurn.Length - 3), first => Assert.Equal(4, inTurn[first..(first + 4)].Distinct().Count()));
    }

    [Theory]
    [InlineData(Language.English, "The same number on your two syringes is not the same amount. Use only the syringe that this sheet names for the dose.")]
    [InlineData(Language.Spanish, "El mismo número en sus dos jeringas no es la misma cantidad. Use solo la jeringa que esta hoja dice para esta dosis.")]
    public void A_patient_with_two_syringes_on_which_one_number_is_two_volumes_reads_so(Language language, string words)
    {
        // 10 units are 0.1 mL on the U-100 barrel and 0.25 mL on the U-40 barrel of the other course.
        var (course, other) = (new AlertCourse { Language = language }, new AlertCourse { Id = "C-2", Device = AlertCourse.Forty });
        Assert.Equal([words], PatientSheet.Of(course.Snapshot(), course.Plan(), Policy.Default, (other.Snapshot(), other.Plan())).Warnings);

        // And so for two steps of one course with two syringes.
        Assert.Equal([words], Sheet(course with { NewDevice = AlertCourse.Forty, Facts = [Approved] }).Warnings);
    }

    [Fact]
    public void Two_syringes_with_the_same_units_need_no_such_words()
    {
        var (course, other) = (new AlertCourse(), new AlertCourse { Id = "C-2", Device = AlertCourse.OneUnits });
        Assert.Empty(PatientSheet.Of(course.Snapshot(), course.Plan(), Policy.Default, (other.Snapshot(), other.Plan())).Warnings);
    }

    [Theory]
    [InlineData(Language.English, "Your vials are not of one strength. The same mark is another dose. Read the label each time.")]
    [InlineData(Language.Spanish, "Sus frascos no son igual de fuertes. La misma marca es otra dosis. Lea la etiqueta cada vez.")]
    public void A_step_drawn_from_a_stronger_vial_is_told_apart_and_each_step_says_from_when(Language language, string words)
    {
        var sheet = Sheet(new AlertCourse { Language = language, NewProduct = AlertCourse.Strong, Facts = [Approved] });
        Assert.Equal([words], sheet.Warnings);
        Assert.Equal([sheet.DosingDays[0].Day, sheet.DosingDays[2].Day], sheet.Steps.Select(step => step.From));
    }

    // Source (R, figures 2): FDA alert on dosing errors with compounded semaglutide, July 26, 2024: mg were taken for units of the barrel.
    [Theory]
    [InlineData(Language.English, "The dose is 1 mg. It is not the 1 on your syringe.")]
    [InlineData(Language.Spanish, "La dosis es de 1 mg. No es el 1 de su jeringa.")]
    public void A_dose_in_mg_whose_number_is_another_mark_is_told_apart_from_it(Language language, string words) =>
        Assert.Equal([words], Sheet(new AlertCourse { Dose = "1", Language = language }).Warnings);

    [Fact]
    public void A_rounded_dose_has_no_mark_until_it_is_signed()
    {
        var step = Assert.Single(Sheet(new AlertCourse { Dose = "0.26" }).Steps);
        Assert.Empty(step.Marks);
        Assert.Empty(step.Picture);
        Assert.EndsWith("Please ask us before you inject.", step.WhyNot, StringComparison.Ordinal);
        Assert.Single(Sheet(new AlertCourse { Dose = "0.26", Facts = [Approved with { Step = 1 }] }).Steps[0].Marks);
    }

    [Fact]
    public void There_is_none_for_a_jump_of_the_dose_that_nobody_has_signed()
    {
        var jump = new AlertCourse { Dose = "0.25", NewDose = "0.25", Product = AlertCourse.Weekly with { MaxDose = Amount.From(0.2m) } };
        Assert.StartsWith("Step 1 is a jump of the dose, and no pharmacist has signed it.", PatientSheet.WhyNot(jump.Snapshot(), jump.Plan()), StringComparison.Ordinal);
    }

    [Fact]
    public void There_is_none_for_a_course_that_is_not_computed_or_a_patient_who_is_elsewhere()
    {
        var daily = new AlertCourse { Product = AlertCourse.Weekly with { MinEveryDays = 7 }, EveryDays = 1 };
        Assert.Contains("A person must look first", PatientSheet.WhyNot(daily.Snapshot(), daily.Plan()), StringComparison.Ordinal);
        Assert.Throws<ArgumentException>(() => Sheet(daily));
        var away = new AlertCourse { Status = PatientStatus.InCare };
        Assert.Equal("N is not cared for at home now.", PatientSheet.WhyNot(away.Snapshot(), away.Plan()));
    }

    [Fact]
    public void In_Spanish_units_are_unidades_and_days_are_written_out()
    {
        var sheet = Sheet(new AlertCourse { Language = Language.Spanish });
        Assert.Equal("lunes, 2 de marzo", sheet.DosingDays[0].Day);
        Assert.Equal("10 unidades (0.1 mL) en la jeringa U-100 de 0.5 mL, 1 unidad por línea", sheet.Steps[0].Marks[0]);
        Assert.Contains(sheet.DosingDays[0].Places[0], new[] { "vientre, izquierda", "vientre, derecha", "muslo izquierdo", "muslo derecho" });
    }

    private static PatientSheet Sheet(AlertCourse course) => PatientSheet.Of(course.Snapshot(), course.Plan(), Policy.Default);
}
