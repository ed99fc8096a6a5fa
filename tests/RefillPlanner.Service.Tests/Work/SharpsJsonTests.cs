using System.Text.Json;
using NodaTime;
using RefillPlanner.Core.Sharps;
using RefillPlanner.Service.Work;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>A sharps container as other programs read it: docs/formats.md.</summary>
public sealed class SharpsJsonTests
{
    private static readonly SharpsForecast Full = new()
    {
        SharpsId = "SH",
        PatientId = "P",
        Used = 12,
        Capacity = 16,
        HasClass = false,
        FillLine = 12,
        FillLineOn = new LocalDate(2026, 3, 13),
        NoticeOn = new LocalDate(2026, 3, 6),
        ReturnByOn = new LocalDate(2026, 3, 27),
        State = SharpsState.NoticeSent,
    };

    [Fact]
    public void Notice_return_date_and_state_count_from_the_fill_line() => Assert.Equal(
        """{"sharps_id":"SH","patient":"P","used":12,"capacity":16,"fill_line_on":"2026-03-13","notice_on":"2026-03-06","return_by_on":"2026-03-27","state":"notice-sent","replaced_on":null,"replaced_return_by_on":null}""",
        Tight(Full));

    // The fields named first keep their meaning: without a fill line they are null, and what an early replacement asks for stands in fields of its own.
    [Theory]
    [InlineData(SharpsState.NoticeSent, "issued")]
    [InlineData(SharpsState.Overdue, "issued")]
    [InlineData(SharpsState.Returned, "returned")]
    [InlineData(SharpsState.WrittenOff, "written-off")]
    public void One_replaced_before_its_fill_line_has_no_fill_line_notice_or_return_date_there(SharpsState state, string told)
    {
        var replaced = Full with { Used = 7, FillLineOn = null, ReplacedOn = new LocalDate(2026, 3, 9), NoticeOn = new LocalDate(2026, 3, 9), ReturnByOn = new LocalDate(2026, 3, 23), State = state };
        Assert.Equal(
            $$"""{"sharps_id":"SH","patient":"P","used":7,"capacity":16,"fill_line_on":null,"notice_on":null,"return_by_on":null,"state":"{{told}}","replaced_on":"2026-03-09","replaced_return_by_on":"2026-03-23"}""",
            Tight(replaced));
    }

    private static string Tight(SharpsForecast forecast)
    {
        using var parsed = JsonDocument.Parse(ProjectionJson.Of(forecast));
        return JsonSerializer.Serialize(parsed.RootElement);
    }
}
