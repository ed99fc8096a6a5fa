using System;
using Xunit;

namespace RefillPlanner.Core.Tests.Published;

/// <summary>The reader of rulings is strict: what it does not understand fails.</summary>
public sealed class CaseFileTests
{
    [Fact]
    public void A_ruling_carries_the_source_above_it()
    {
        var cases = CaseFile.Read("text", "# source (R): a book\n# page 3\none -> two\nthree -> four\n\n# source (C): here\nfive -> six\n");
        Assert.Equal([new("one -> two", "source (R): a book page 3"), new("three -> four", "source (R): a book page 3"), new("five -> six", "source (C): here")], cases);
    }

    [Theory]
    [InlineData("one -> two")]
    [InlineData("# source (R): a book\n\none -> two")]
    [InlineData("# source (X): a book\none -> two")]
    [InlineData("# a book\none -> two")]
    [InlineData("# source (R): a book\n\n# source (R): a book\none -> two")]
    public void A_ruling_without_a_source_or_a_source_without_a_ruling_fails(string text) =>
        Assert.Throws<FormatException>(() => CaseFile.Read("text", text));

    [Theory]
    [InlineData("1 vial of 10 mL, 100 units/mL; 36 units each 1 day")]
    [InlineData("1 vial of 10 mL, 100 units/mL, about 28 days in use; 36 units every 1 day")]
    [InlineData("1 vial of 10 mL, 100 units/mL; 36 mg every 1 day")]
    [InlineData("1 vial of 10 mL, , 100 units/mL; 36 units every 1 day")]
    [InlineData("1 bottle of 10 mL, 100 units/mL; 36 units every 1 day")]
    public void An_unknown_word_fails(string given) => Assert.Throws<FormatException>(() => SupplyCase.Read(given));

    [Theory]
    [InlineData("one")]
    [InlineData("one -> two -> three")]
    public void A_ruling_has_one_arrow(string ruling) => Assert.Throws<FormatException>(() => Phrases<SupplyCase>.Split(ruling));
}
