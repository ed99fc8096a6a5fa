using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Supply;
using RefillPlanner.Service.Demo;
using Xunit;
using Policy = RefillPlanner.Core.Ledger.Policy;

namespace RefillPlanner.Service.Tests.Demo;

/// <summary>The demo roster keeps the format's promises, and each course shows what it is there for, on any day.</summary>
public sealed class DemoRosterTests
{
    public static readonly TheoryData<string> Days =
        ["2026-03-02", "2026-03-06", "2026-03-07", "2026-03-08", "2026-07-01", "2026-11-25", "2026-12-31", "2028-02-29", "2028-03-01"];

    private static readonly Dictionary<string, string> Keys = new(StringComparer.Ordinal)
    {
        ["sites.csv"] = "site_id",
        ["patients.csv"] = "patient_id",
        ["products.csv"] = "product_id",
        ["devices.csv"] = "device_id",
        ["courses.csv"] = "course_id",
        ["prescriptions.csv"] = "rx_id",
        ["facts.csv"] = "fact_id",
        ["sharps.csv"] = "sharps_id",
    };

    // Columns as the roster format names them.
    private static readonly Dictionary<string, string> Columns = new(StringComparer.Ordinal)
    {
        ["sites.csv"] = "site_id, name, time_zone, closed_weekdays, closed_on, carrier_closed_on, calendar_known_through, staff_email, pharmacist_email, manager_email, sender_email, phone, emergency_number, sharps_return, sharps_return_es",
        ["patients.csv"] = "patient_id, name, site_id, born_on, phone, email, email_agreed_on, email_opted_out_on, status, language, time_zone, handover",
        ["products.csv"] = "product_id, drug, kind, unit, amount_per_ml, amount_per_container, volume_ml, dose_amount, in_use_days, in_use_count, dial_step, dial_max, prime_ml, first_prime_ml, beyond_use_days, prepare_open_days, cold, hazardous, max_dose, min_every_days, size_of, label_en, label_es, check_prompts",
        ["devices.csv"] = "device_id, name, capacity_ml, graduation_ml, marked_in, units_per_ml, dead_space_ml, sharps_per_injection",
        ["courses.csv"] = "course_id, patient_id, started_on, device_id, expelled_ml, fill_days, early_fill_percent",
        ["steps.csv"] = "course_id, step, product_id, doses, every_days, ladder, dose_days, needs_check, device_id, expelled_ml",
        ["prescriptions.csv"] = "rx_id, course_id, issued_on, refills_authorized, valid_through, schedule, prescriber, prescriber_phone",
        ["facts.csv"] = "fact_id, course_id, kind, on, product_id, containers, volume_ml, expires_on, lot, until, opened_on, step, days_supply, note",
        ["sharps.csv"] = "sharps_id, patient_id, capacity_sharps, issued_on, returned_on, written_off_on, container_class",
    };

    [Theory]
    [MemberData(nameof(Days))]
    public void Every_file_has_the_columns_of_the_format(string today)
    {
        var roster = Read(today);
        Assert.Equal(Columns.Keys.Order(), roster.Files.Order());
        foreach (var (file, columns) in Columns)
            Assert.Equal(columns.Split(", ").Order(), roster.Header(file).Order());
    }

    [Theory]
    [MemberData(nameof(Days))]
    public void Every_id_stands_once_and_whatever_is_referred_to_exists(string today)
    {
        var roster = Read(today);
        var ids = Keys.ToDictionary(key => key.Value, key => roster.Rows(key.Key).Select(row => row[key.Value]).ToList());
        Assert.All(ids.Values, list => Assert.Equal(list.Count, list.Distinct().Count()));
        foreach (var (file, row) in roster.Files.SelectMany(file => roster.Rows(file).Select(row => (file, row))))
        {
            foreach (var (column, cell) in row.Where(cell => ids.ContainsKey(cell.Key)))
                Assert.True(ids[column].Contains(cell), $"{file}: {column} {cell}");
            if (row.TryGetValue("size_of", out var whole))
                Assert.Contains(whole, ids["product_id"]);
            if (row.GetValueOrDefault("kind") is "received" or "void")
                Assert.Contains(row["note"], ids["fact_id"]);
        }
    }

    [Theory]
    [MemberData(nameof(Days))]
    public void Only_a_pause_is_dated_after_today(string today)
    {
        var last = LocalDatePattern.Iso.Parse(today).Value;
        foreach (var row in Read(today).Rows("facts.csv").Where(row => LocalDatePattern.Iso.Parse(row["on"]).Value > last))
            Assert.Fail($"{row["fact_id"]} {row["kind"]} {row["on"]}");
    }

    [Theory]
    [MemberData(nameof(Days))]
    public void Each_course_shows_what_it_is_there_for(string today)
    {
        var asOf = LocalDatePattern.Iso.Parse(today).Value;
        var snapshots = RosterSnapshots.Read(Read(today));
        var told = snapshots.OrderBy(pair => pair.Key, StringComparer.Ordinal).Select(pair => DemoExpectation.Tell(pair.Key, SupplyComputation.Of(pair.Value, Policy.Default, asOf), asOf));
        Assert.Equal(DemoExpectation.All, told);
    }

    [Theory]
    [MemberData(nameof(Days))]
    public void Refills_fall_due_today_and_in_a_week_on_open_days(string today)
    {
        var asOf = LocalDatePattern.Iso.Parse(today).Value;
        var snapshots = RosterSnapshots.Read(Read(today));
        var dueToday = SupplyComputation.Of(snapshots["C-102"], Policy.Default, asOf).RunOutOn!.Value;
        var dueInAWeek = SupplyComputation.Of(snapshots["C-103"], Policy.Default, asOf).RunOutOn!.Value;

        // Three open days to arrange, one to prepare, three days of safety.
        Assert.InRange(Period.DaysBetween(asOf, dueToday), 7, 14);
        Assert.InRange(Period.DaysBetween(asOf, dueInAWeek), 12, 21);
        Assert.True(dueToday < dueInAWeek);
    }

    [Fact]
    public void The_same_date_gives_the_same_texts() =>
        Assert.Equal(DemoRoster.Build(new LocalDate(2026, 3, 2)), DemoRoster.Build(new LocalDate(2026, 3, 2)));

    private static RosterText Read(string today) => new(DemoRoster.Build(LocalDatePattern.Iso.Parse(today).Value));
}
