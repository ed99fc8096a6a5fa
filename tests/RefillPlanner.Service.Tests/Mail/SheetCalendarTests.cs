using System;
using System.Collections.Generic;
using System.Linq;
using System.Text;
using Ical.Net.CalendarComponents;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;
using RefillPlanner.Service.Mail;
using Xunit;
using Calendar = Ical.Net.Calendar;

namespace RefillPlanner.Service.Tests.Mail;

/// <summary>The dosing days of a sheet as a calendar that the patient may take (RFC 5545).</summary>
public sealed class SheetCalendarTests
{
    private static readonly SampleCourse Sample = new(Language.English, IsPlain: true);

    [Theory]
    [InlineData(2026, 3, 2)]
    [InlineData(2026, 10, 26)]
    public void It_has_the_dosing_days_of_the_sheet_each_a_whole_day_also_over_the_clock_changes(int year, int month, int day)
    {
        var sheet = Sheet(new LocalDate(year, month, day), everyDays: 3);
        Assert.True(sheet.DosingDays.Count > 15);
        var events = Read(Write(sheet)).Events.ToArray();
        Assert.Equal(sheet.DosingDays.Select(on => on.On), events.Select(On));
        Assert.All(events, one => Assert.False(one.Start!.HasTime));
        Assert.All(events, one => Assert.Null(one.Start!.TzId));
        Assert.All(events, one => Assert.Equal(("PRIVATE", "TRANSPARENT"), (one.Class, one.Transparency)));
    }

    // RFC 5545, section 3.7.2: a calendar without METHOD asks for nothing. Section 3.8.7.2: DTSTAMP is when it was made, in UTC.
    [Fact]
    public void It_asks_for_nothing_and_says_when_it_was_made()
    {
        var text = Write(Sheet(SampleCourse.Today, everyDays: 7));
        Assert.DoesNotContain("METHOD", text, StringComparison.Ordinal);
        Assert.DoesNotContain("ATTENDEE", text, StringComparison.Ordinal);
        Assert.All(Read(text).Events, one => Assert.Equal(SampleModels.Now.ToDateTimeUtc(), one.DtStamp!.AsUtc));
    }

    // RFC 5545, section 3.8.4.7: the same event has the same UID, so that a later calendar does not double it.
    [Fact]
    public void A_later_calendar_gives_a_day_its_old_name_and_every_day_has_one_of_its_own()
    {
        var (early, late) = (Names(Sheet(SampleCourse.Today, everyDays: 7)), Names(Sheet(SampleCourse.Today.PlusDays(14), everyDays: 7)));
        Assert.Equal(early.Count, early.Values.Distinct().Count());
        var both = early.Keys.Intersect(late.Keys).ToArray();
        Assert.Equal(6, both.Length);
        Assert.All(both, on => Assert.Equal(early[on], late[on]));
    }

    // RFC 5545, section 3.1: lines of at most 75 octets without the break, which is CR LF; a letter of several octets is not cut.
    [Fact]
    public void Its_lines_are_no_longer_than_75_octets()
    {
        var site = Sample.Site with { Name = string.Concat(Enumerable.Repeat("Botánica Ñandú Ümläut 薬局 ", 12)).Trim(), Phone = "555-0100" };
        var text = Write(Sheet(SampleCourse.Today, everyDays: 7, site), site);
        var lines = text.Split("\r\n");
        Assert.Empty(lines[^1]);
        Assert.All(lines, line => Assert.DoesNotContain('\n', line));
        Assert.All(lines, line => Assert.InRange(Encoding.UTF8.GetByteCount(line), 0, 75));
        Assert.All(Read(text).Events, one => Assert.Contains(site.Name, one.Description, StringComparison.Ordinal));
    }

    [Fact]
    public void The_same_sheet_at_the_same_instant_gives_the_same_bytes() =>
        Assert.Equal(Write(Sheet(SampleCourse.Today, everyDays: 7)), Write(Sheet(SampleCourse.Today, everyDays: 7)));

    [Theory]
    [InlineData(Language.English, "Injection day")]
    [InlineData(Language.Spanish, "Día de inyección")]
    public void It_names_no_drug_and_no_dose_and_carries_the_caution(Language language, string title)
    {
        var sample = new SampleCourse(language, IsPlain: false);
        var sheet = SampleModels.Sheet(sample);
        var text = Composer().Calendar(sheet, sample.Site, SampleModels.Now);
        Assert.DoesNotContain("samplamide", text, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain(" mg", text, StringComparison.Ordinal);
        Assert.DoesNotContain(sample.Patient.Name, text, StringComparison.Ordinal);
        Assert.All(Read(text).Events, one => Assert.Equal((title, true), (one.Summary, one.Description!.EndsWith(sheet.Caution, StringComparison.Ordinal))));
    }

    [Fact]
    public void A_pharmacy_that_chose_so_may_name_the_dose_in_its_own_template()
    {
        var templates = new MailTemplates(new Dictionary<string, string> { ["sheet-day.en.txt"] = "{{ entry.day.dose }} of {{ entry.sheet.drug }}\n{{ entry.sheet.caution }}" });
        var sheet = SampleModels.Sheet(Sample);
        var text = new MailComposer(templates, new MailSettings()).Calendar(sheet, Sample.Site, SampleModels.Now);
        Assert.All(Read(text).Events, one => Assert.Equal("1 mg of samplamide (invented)", one.Summary));
    }

    private static Dictionary<LocalDate, string> Names(PatientSheet sheet) => Read(Write(sheet)).Events.ToDictionary(On, one => one.Uid!);

    private static LocalDate On(CalendarEvent one) => new(one.Start!.Year, one.Start.Month, one.Start.Day);

    private static Calendar Read(string text) => Calendar.Load(text)!;

    private static MailComposer Composer() => new(new MailTemplates(), new MailSettings());

    private static string Write(PatientSheet sheet, Site? site = null) => Composer().Calendar(sheet, site ?? Sample.Site, SampleModels.Now);

    // The invented course in another rhythm, begun two weeks before it is looked at.
    private static PatientSheet Sheet(LocalDate asOf, int everyDays, Site? site = null)
    {
        var begun = SampleCourse.Today.PlusDays(-14);
        var course = Sample.Snapshot with
        {
            Site = site ?? Sample.Site,
            Course = Sample.Snapshot.Course with { StartedOn = begun },
            Steps = [Sample.Snapshot.Steps[0] with { EveryDays = everyDays, DoseDays = null }],
        };
        return PatientSheet.Of(course, PlanningPipeline.Plan([course], [], Policy.Default, asOf).Courses[0], Policy.Default);
    }
}
