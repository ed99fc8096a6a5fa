using System;
using System.Linq;
using NodaTime;
using RefillPlanner.Service.Work;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>The alarms around a change of the clocks.</summary>
public sealed class AlarmsTests
{
    [Theory]
    [InlineData(2026, 3, 8)] // 02:30 is missing in New York
    [InlineData(2026, 11, 1)] // 01:30 comes twice
    public void T2_No_alarm_goes_between_midnight_and_four_and_each_has_one_name_a_date(int year, int month, int day)
    {
        using var bench = new Bench(new DateTimeOffset(year, month, day, 3, 0, 0, TimeSpan.Zero));
        bench.ImportDemo(new LocalDate(year, month, day));
        bench.Planning.Run();
        using var reading = bench.Desk.Database.Read();
        var zones = reading.Ledger.ListSites().ToDictionary(site => site.Id, site => DateTimeZoneProviders.Tzdb[site.TimeZone]);
        var alarms = Alarms.List(reading, bench.Desk, bench.Desk.Now);
        Assert.True(alarms.Count > 5, $"{alarms.Count} alarms");
        Assert.Equal(alarms.Count, alarms.Select(alarm => (alarm.Kind, alarm.Name)).Distinct().Count());
        foreach (var alarm in alarms.Where(alarm => alarm.SiteId.Length > 0 && alarm.At > bench.Desk.Now))
        {
            var local = alarm.At.InZone(zones[alarm.SiteId]);
            Assert.True(local.Hour >= 4, $"{alarm.Kind} {alarm.Name} at {local}");
            Assert.EndsWith(local.Date.ToString("uuuu-MM-dd", System.Globalization.CultureInfo.InvariantCulture), alarm.Name, StringComparison.Ordinal);
        }

        // What comes due in the zone of the site or of the patient, whichever it is: at no hour of the night in either.
        Assert.All(alarms.Where(alarm => alarm.Kind == AlarmKind.TaskDue && alarm.At > bench.Desk.Now), alarm => Assert.Contains(zones.Values, zone => alarm.At.InZone(zone).Hour >= 4));
    }
}
