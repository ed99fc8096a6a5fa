using System;
using System.Linq;
using System.Text;
using RefillPlanner.Service.Import;
using Xunit;

namespace RefillPlanner.Service.Tests.Import;

public sealed class RosterSheetTests
{
    private const string Devices = "device_id,name,capacity_ml,graduation_ml,marked_in,units_per_ml\n";

    [Fact]
    public void A_byte_order_mark_and_CRLF_are_accepted()
    {
        var text = new TestRoster().Text("sites.csv", "\r\n");

        var judged = new TestRoster().JudgeWith("sites.csv", [0xEF, 0xBB, 0xBF, .. Encoding.UTF8.GetBytes(text)]);

        Assert.Empty(judged.Refusals);
        Assert.Single(judged.Sites);
    }

    [Fact]
    public void Columns_may_stand_in_any_order_and_optional_ones_may_be_absent()
    {
        var judged = Judge("capacity_ml,name,device_id,marked_in,graduation_ml\n1,One,D-1,ml,0.01\n");

        Assert.Empty(judged.Refusals);
        Assert.Equal("D-1", Assert.Single(judged.Devices).Id);
    }

    [Fact]
    public void A_quoted_line_break_counts_as_a_line_and_is_kept_in_a_longer_text()
    {
        const string header = "site_id,name,time_zone,sharps_return\n";

        var judged = JudgeFile("sites.csv", header + "S-1,A,UTC,\"Bring it\r\nback\"\n\nS-2,B,Nowhere/X,\n");

        Assert.Equal("Bring it\nback", Assert.Single(judged.Sites).SharpsReturn);
        Assert.Equal(5, Assert.Single(judged.Refusals).Line);
    }

    [Fact]
    public void Rows_that_end_in_a_lone_CR_are_each_refused_on_a_line_of_their_own()
    {
        var judged = JudgeFile("devices.csv", (Devices + "D-1,A,x,0.01,ml,\nD-2,A,y,0.01,ml,\n").Replace('\n', '\r'));

        Assert.Equal([2, 3], judged.Refusals.Select(refusal => refusal.Line));
    }

    [Theory]
    [InlineData("device_id,name,capacity_ml,graduation_ml,marked_in,colour", "colour", "no such column")]
    [InlineData("device_id,name,capacity_ml,graduation_ml,marked_in,name", "name", "twice")]
    [InlineData("device_id,name,capacity_ml,marked_in", "graduation_ml", "missing")]
    [InlineData("device_id;name", "device_id;name", "no such column")]
    public void An_unknown_doubled_or_missing_column_refuses_the_file(string header, string column, string reason)
    {
        var judged = Judge(header + "\nD-1,A,1,0.01,ml\n");

        Assert.Empty(judged.Devices);
        Assert.Contains(judged.Refusals, refusal => refusal.Line == 1 && refusal.Column == column && refusal.Reason.Contains(reason, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("D-1,A,1,0.01\n", "marked_in", "", "has 4 fields")]
    [InlineData("D-1,A,1,0.01,ml,,surplus\n", "units_per_ml", "surplus", "has 7 fields")]
    [InlineData("D-1,A\"B,1,0.01,ml,\n", "device_id", "D-1,A\"B,1,0.01,ml,", "quote stands inside")]
    [InlineData("D-1,\"A\"B,1,0.01,ml,\n", "device_id", "D-1,\"A\"B,1,0.01,ml,", "follows a closing quote")]
    [InlineData("D-1,\"A,1,0.01,ml,", "device_id", "D-1,\"A,1,0.01,ml,", "never closed")]
    public void A_row_of_bad_shape_is_refused_and_the_rest_goes_in(string row, string column, string value, string reason)
    {
        var judged = Judge(Devices + "D-0,A,1,0.01,ml,\n" + row);

        var refusal = Assert.Single(judged.Refusals);
        Assert.Equal(("devices.csv", 3, column, value), (refusal.File, refusal.Line, refusal.Column, refusal.Value));
        Assert.Contains(reason, refusal.Reason, StringComparison.Ordinal);
        Assert.Equal("D-0", Assert.Single(judged.Devices).Id);
    }

    [Fact]
    public void UTF_16_is_refused()
    {
        var judged = TestRoster.JudgeFiles(null, ("devices.csv", [.. Encoding.Unicode.Preamble, .. Encoding.Unicode.GetBytes(Devices)]));

        Assert.Contains("UTF-16", Assert.Single(judged.Refusals).Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Windows_1252_is_refused_at_its_first_foreign_byte()
    {
        var judged = TestRoster.JudgeFiles(null, ("devices.csv", Encoding.Latin1.GetBytes(Devices + "D-1,José,1,0.01,ml,\n")));

        var refusal = Assert.Single(judged.Refusals);
        Assert.Equal((2, "byte E9"), (refusal.Line, refusal.Value));
        Assert.Contains("not UTF-8", refusal.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_field_of_a_million_characters_is_refused_and_quoted_short()
    {
        var refusal = Assert.Single(Judge(Devices + $"D-1,{new string('x', 1_000_000)},1,0.01,ml,\n").Refusals);

        Assert.Equal("name", refusal.Column);
        Assert.Contains("64 kB", refusal.Reason, StringComparison.Ordinal);
        Assert.True(refusal.Value.Length <= 203);
    }

    [Fact]
    public void A_file_may_have_more_than_200000_rows()
    {
        var text = new StringBuilder(Devices);
        for (var i = 0; i < 200_001; i++)
            text.Append("D-1,A,1,0.01,ml,\n");

        var judged = Judge(text.ToString());

        Assert.Empty(judged.Refusals);
        Assert.Equal(new FileCounts("devices.csv", 1, 0, 200_000, 0), Assert.Single(judged.Counts));
    }

    [Fact]
    public void A_row_of_more_than_16_MB_refuses_the_file_because_a_quote_swallowed_it()
    {
        var judged = Judge(Devices + "D-1,A,1,0.01,ml,\n\n" + "D-2,\"A,1,0.01,ml,\n" + string.Concat(Enumerable.Repeat("D-3,A,1,0.01,ml,\n", 1_500_000)));

        var refusal = Assert.Single(judged.Refusals);
        Assert.Equal(("devices.csv", 4), (refusal.File, refusal.Line));
        Assert.Contains("never closed", refusal.Reason, StringComparison.Ordinal);
        Assert.Empty(judged.Devices);
    }

    [Fact]
    public void Of_many_refusals_the_first_thousand_are_listed_and_all_are_counted()
    {
        var judged = Judge(Devices + string.Concat(Enumerable.Range(1, 2500).Select(i => $"D-{i},A,x,0.01,ml,\n")));

        Assert.Equal(Enumerable.Range(2, 1000), judged.Refusals.Select(refusal => refusal.Line));
        Assert.Equal(2500, Assert.Single(judged.Counts).Refused);
    }

    [Fact]
    public void An_empty_file_is_refused()
    {
        Assert.Contains("empty", Assert.Single(Judge("").Refusals).Reason, StringComparison.Ordinal);
    }

    private static Imported Judge(string devices) => JudgeFile("devices.csv", devices);

    private static Imported JudgeFile(string file, string text) => TestRoster.JudgeFiles(null, (file, Encoding.UTF8.GetBytes(text)));
}
