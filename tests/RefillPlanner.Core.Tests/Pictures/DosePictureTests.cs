using System;
using System.Globalization;
using System.Linq;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Pictures;
using Xunit;

namespace RefillPlanner.Core.Tests.Pictures;

/// <summary>Which doses are drawn, and which are not.</summary>
public sealed class DosePictureTests
{
    private static readonly Device Half = new() { Id = "D", Name = "0.5 mL", Capacity = Barrels.Ml("0.5"), Graduation = Barrels.Ml("0.01"), MarkedIn = BarrelMarking.Units, UnitsPerMl = 100 };

    private static readonly Product Vial = new() { Id = "P", Drug = "a drug", Kind = ProductKind.MultiDoseVial, Unit = DoseUnit.Mg, Strength = new Strength(Amount.From(2.5m), Barrels.Ml("1")), Volume = Barrels.Ml("2") };

    private static readonly Product Pen = new() { Id = "P", Drug = "a drug", Kind = ProductKind.Pen, Unit = DoseUnit.Units, Strength = new Strength(Amount.From(100), Barrels.Ml("1")), Volume = Barrels.Ml("3"), DialStep = Amount.From(1), DialMax = Amount.From(60) };

    [Fact]
    public void A_dose_on_a_mark_is_drawn_there() =>
        Assert.Equal(new BarrelReading(Barrels.Half, Barrels.Ml("0.1")), Assert.Single(Of(Vial, Half, "0.25").Readings));

    [Fact]
    public void A_dose_of_several_injections_has_several_pictures() =>
        Assert.Equal(["0.4", "0.4"], Of(Vial, Half, "2").Readings.Cast<BarrelReading>().Select(reading => reading.Mark.ToString()));

    [Fact]
    public void A_pen_shows_what_is_dialled_for_each_injection() =>
        Assert.Equal(["41", "40"], Of(Pen, null, "81").Readings.Cast<DialReading>().Select(reading => reading.Dialled.ToString()));

    [Fact]
    public void A_rounded_dose_is_drawn_only_when_a_pharmacist_has_signed_it()
    {
        // 0.26 mg at 2.5 mg/mL is 0.104 mL: 4 percent more than the mark at 0.1 mL.
        Assert.Contains("no pharmacist has signed", Of(Vial, Half, "0.26").WhyNot, StringComparison.Ordinal);
        Assert.Single(Of(Vial, Half, "0.26", isSigned: true).Readings);
    }

    [Theory]
    [InlineData("0.112", true, "between the marks")]
    [InlineData("0.001", true, "nothing is computed")]
    public void A_dose_off_the_marks_is_not_drawn_even_if_signed(string dose, bool isSigned, string why)
    {
        var picture = Of(Vial, Half, dose, isSigned);
        Assert.Empty(picture.Readings);
        Assert.Contains(why, picture.WhyNot, StringComparison.Ordinal);
    }

    [Fact]
    public void Nothing_is_drawn_of_a_course_that_is_not_computed() => Assert.Contains("A person must look first", Of(Vial, Half, "0.25", isComputed: false).WhyNot, StringComparison.Ordinal);

    [Fact]
    public void A_barrel_whose_units_are_not_the_medicines_is_not_drawn()
    {
        var strong = Pen with { Kind = ProductKind.MultiDoseVial, Strength = new Strength(Amount.From(500), Barrels.Ml("1")) };
        Assert.Empty(Of(strong, Half, "50").Readings);
    }

    [Fact]
    public void A_prefilled_syringe_needs_no_picture()
    {
        var filled = new Product { Id = "P", Drug = "a drug", Kind = ProductKind.PrefilledSyringe, Unit = DoseUnit.Mg, DoseAmount = Amount.From(40) };
        Assert.Contains("comes filled", Of(filled, null, "40").WhyNot, StringComparison.Ordinal);
    }

    [Fact]
    public void A_dose_that_is_not_on_the_dial_is_not_drawn() => Assert.Contains("no number of the pen", Of(Pen, null, "10.5").WhyNot, StringComparison.Ordinal);

    private static DosePicture Of(Product product, Device? device, string dose, bool isSigned = false, bool isComputed = true)
    {
        var amount = Amount.From(decimal.Parse(dose, CultureInfo.InvariantCulture));
        return DosePicture.Of(product, device, [(amount, Draws.Of(product, device, Volume.Zero, amount, 5))], isComputed, isSigned);
    }
}
