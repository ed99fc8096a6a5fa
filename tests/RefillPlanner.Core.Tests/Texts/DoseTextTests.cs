using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using Xunit;

namespace RefillPlanner.Core.Tests.Texts;

/// <summary>How doses and dates are written: common practice of medication safety, without a source of its own here.</summary>
public sealed class DoseTextTests
{
    private static readonly Device U100 = new() { Id = "D", Name = "U-100", Capacity = Volume.FromMl(0.5m), Graduation = Volume.FromMl(0.01m), MarkedIn = BarrelMarking.Units, UnitsPerMl = 100 };

    [Theory]
    [InlineData("0.5", DoseUnit.Mg, "0.5 mg")]
    [InlineData("1.0", DoseUnit.Mg, "1 mg")]
    [InlineData("0.250000", DoseUnit.Mg, "0.25 mg")]
    [InlineData("250", DoseUnit.Mcg, "250 mcg")]
    [InlineData("5000", DoseUnit.Units, "5,000 units")]
    [InlineData("1", DoseUnit.Units, "1 units")]
    [InlineData("1250.5", DoseUnit.Units, "1,250.5 units")]
    public void An_amount_has_a_leading_zero_no_trailing_one_and_its_unit_in_full(string value, DoseUnit unit, string expected) =>
        Assert.Equal(expected, DoseText.Amount(Amount.From(decimal.Parse(value, System.Globalization.CultureInfo.InvariantCulture)), unit));

    [Fact]
    public void A_mark_names_the_printed_value_and_never_a_count_of_lines() =>
        Assert.Equal("15 units (0.15 mL) on the 0.5 mL U-100 syringe, 1 unit a line", DoseText.Mark(Volume.FromMl(0.15m), U100));

    [Fact]
    public void A_strength_is_per_mL_where_that_is_exact_and_as_labelled_where_it_is_not()
    {
        Assert.Equal("2.5 mg/mL", DoseText.Strength(new Strength(Amount.From(5), Volume.FromMl(2)), DoseUnit.Mg));
        Assert.Equal("2 mg in 1.5 mL", DoseText.Strength(new Strength(Amount.From(2), Volume.FromMl(1.5m)), DoseUnit.Mg));
    }

    [Theory]
    [InlineData(2026, 3, 6, Language.English, "Friday, March 6")]
    [InlineData(2027, 1, 1, Language.English, "Friday, January 1, 2027")]
    [InlineData(2026, 3, 6, Language.Spanish, "viernes, 6 de marzo")]
    [InlineData(2027, 1, 1, Language.Spanish, "viernes, 1 de enero de 2027")]
    public void A_date_is_written_out(int year, int month, int day, Language language, string expected) =>
        Assert.Equal(expected, DateText.Day(new LocalDate(year, month, day), new LocalDate(2026, 3, 2), language));
}
