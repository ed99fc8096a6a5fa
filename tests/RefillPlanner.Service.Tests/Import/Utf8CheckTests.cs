using System;
using System.Linq;
using System.Text;
using RefillPlanner.Service.Import;
using Xunit;

namespace RefillPlanner.Service.Tests.Import;

public sealed class Utf8CheckTests
{
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(1000)]
    public void A_letter_may_be_cut_anywhere_between_two_reads(int size) =>
        Check(Encoding.UTF8.GetBytes("\uFEFFJosé, 5 µg, 日本, 💉\nß"), size);

    [Theory]
    [InlineData("a\nb\n\xE9,", 3, "E9")]
    [InlineData("\xC3\n", 1, "C3")]
    [InlineData("a\n\xE2\x82", 2, "E2")]
    [InlineData("a\n\xC3\xA9\n\xE2\x82x", 3, "E2")]
    [InlineData("ab\xED\xA0\x80", 1, "ED")]
    [InlineData("ab\xC0\xAF", 1, "C0")]
    [InlineData("ab\xF5\x80\x80\x80", 1, "F5")]
    public void The_first_foreign_byte_is_told_with_its_line_however_the_bytes_come(string latin, int line, string found)
    {
        foreach (var size in Enumerable.Range(1, 5))
        {
            var refusal = Assert.Throws<UnreadableFileException>(() => Check(Encoding.Latin1.GetBytes(latin), size)).Refusal;

            Assert.Equal((line, $"byte {found}"), (refusal.Line, refusal.Value));
        }
    }

    [Theory]
    [InlineData("\xFF\xFE")]
    [InlineData("\xFE\xFF")]
    [InlineData("\0a")]
    [InlineData("a\0")]
    public void UTF_16_is_told_by_its_first_two_bytes(string latin)
    {
        foreach (var size in Enumerable.Range(2, 2))
            Assert.Contains("UTF-16", Assert.Throws<UnreadableFileException>(() => Check(Encoding.Latin1.GetBytes(latin + "bcd"), size)).Message, StringComparison.Ordinal);
    }

    private static void Check(byte[] bytes, int size)
    {
        var check = new Utf8Check("facts.csv");
        foreach (var part in bytes.Chunk(size))
            check.Take(part);
        check.End();
    }
}
