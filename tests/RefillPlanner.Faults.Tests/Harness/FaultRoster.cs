using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Threading.Tasks;
using CsvHelper;
using NodaTime;
using NodaTime.Text;

namespace RefillPlanner.Faults.Tests.Harness;

/// <summary>
/// A roster of random courses, and beside them one patient whose name, address and medicine must never leak, and some to whom no mail may
/// go, each for a reason of its own; all of these are about to run out.
/// </summary>
internal static class FaultRoster
{
    /// <summary>The day up to which its facts reach: a Monday.</summary>
    public static readonly LocalDate Today = new(2026, 3, 2);

    /// <summary>Words that may stand in letters to staff and on the list, and nowhere else.</summary>
    public static readonly IReadOnlyList<string> Canary = ["Zzyqx", "Canarybird", "canaricillin", "canary@example.net"];

    /// <summary>Courses that staff records facts about.</summary>
    public const string CanaryCourse = "C-CANARY";

    private const int AboutToRunOut = 26;
    private static readonly string[] Kinds = ["opted-out", "not-agreed", "moved", "deceased", "in-care", "lapsed", "ended"];

    /// <summary>Writes it.</summary>
    public static async Task WriteAsync(string folder, int courses, int seed)
    {
        await RealProgram.GenerateRosterAsync(folder, courses, seed, Iso(Today));
        Add(folder, "products.csv", ("product_id", "P-CANARY"), ("drug", "canaricillin-test"), ("kind", "multi-dose-vial"), ("unit", "mg"), ("amount_per_container", "5"), ("volume_ml", "2"), ("in_use_days", "28"));
        AddPatient(folder, "CANARY", "Zzyqx Canarybird", "canary@example.net", "", "");
        AddCourse(folder, "CANARY", "", filledDaysAgo: AboutToRunOut);
        AddCourse(folder, "CANARY", "-2", filledDaysAgo: 14);
        AddCourse(folder, "CANARY", "-3", filledDaysAgo: 10);
        AddPatient(folder, "CHANGES", "Tern Changemind", "changes@example.net", "", "");
        AddCourse(folder, "CHANGES", "", filledDaysAgo: AboutToRunOut);
        AddCourse(folder, "CHANGES", "-2", filledDaysAgo: 12);
        foreach (var kind in Kinds)
        {
            var id = kind.ToUpperInvariant();
            var status = kind is "moved" or "deceased" or "in-care" ? kind : "";
            AddPatient(folder, id, $"Plover {kind}", AddressOf(kind), status, kind == "opted-out" ? Iso(Today.PlusDays(-5)) : "", hasAgreed: kind != "not-agreed");
            AddCourse(folder, id, "", filledDaysAgo: kind == "lapsed" ? 200 : AboutToRunOut);
            if (kind == "ended")
                Add(folder, "facts.csv", ("fact_id", "F-ENDED"), ("course_id", $"C-{id}"), ("kind", "ended"), ("on", Iso(Today.PlusDays(-3))));
        }
    }

    /// <summary>Writes a roster of one row: the patient who changes her mind opts out.</summary>
    public static void WriteOptOut(string folder, LocalDate on)
    {
        Directory.CreateDirectory(folder);
        File.WriteAllText(Path.Combine(folder, "patients.csv"), $"patient_id,name,site_id,born_on,phone,email,email_agreed_on,email_opted_out_on\nPT-CHANGES,Tern Changemind,S-EAST,1970-01-01,555-0101,changes@example.net,{Iso(Today.PlusDays(-100))},{Iso(on)}\n");
    }

    /// <summary>The readers of a roster folder: each address with its zone, and why nothing may go there.</summary>
    public static IReadOnlyList<MailReader> ListReaders(string folder)
    {
        var zones = Read(folder, "sites.csv").ToDictionary(site => site["site_id"], site => site["time_zone"]);
        return [.. Read(folder, "patients.csv").Where(patient => patient["email"].Length > 0).Select(patient => new MailReader(
            patient["email"],
            patient["time_zone"].Length > 0 ? patient["time_zone"] : zones[patient["site_id"]],
            WhyForbidden(patient),
            NodaConstants.UnixEpoch))];
    }

    /// <summary>The address of the patient of a kind to whom nothing may go.</summary>
    public static string AddressOf(string kind) => $"{kind}@example.net";

    // ISO dates: their order as texts is their order.
    private static string? WhyForbidden(Dictionary<string, string> patient) => patient switch
    {
        _ when patient["email_agreed_on"].Length == 0 => "did not agree",
        _ when string.CompareOrdinal(patient["email_agreed_on"], patient["email_opted_out_on"]) <= 0 => "opted out",
        _ when patient["status"] is not ("" or "active") => patient["status"],
        _ when patient["email"] == AddressOf("lapsed") => "lapsed",
        _ when patient["email"] == AddressOf("ended") => "the course has ended",
        _ => null,
    };

    private static void AddPatient(string folder, string id, string name, string address, string status, string optedOutOn, bool hasAgreed = true) => Add(
        folder, "patients.csv", ("patient_id", $"PT-{id}"), ("name", name), ("site_id", "S-EAST"), ("born_on", "1970-01-01"), ("phone", "555-0101"), ("email", address), ("email_agreed_on", hasAgreed ? Iso(Today.PlusDays(-100)) : ""), ("email_opted_out_on", optedOutOn), ("status", status));

    // 1 mg a week; a vial holds five doses.
    private static void AddCourse(string folder, string id, string suffix, int filledDaysAgo)
    {
        var course = $"C-{id}{suffix}";
        var start = Today.PlusDays(-filledDaysAgo);
        Add(folder, "courses.csv", ("course_id", course), ("patient_id", $"PT-{id}"), ("started_on", Iso(start)), ("device_id", "D-ML1"));
        Add(folder, "steps.csv", ("course_id", course), ("step", "1"), ("product_id", "P-CANARY"), ("doses", "1"), ("every_days", "7"));
        Add(folder, "prescriptions.csv", ("rx_id", $"RX-{course}"), ("course_id", course), ("issued_on", Iso(start)), ("refills_authorized", "5"));
        Add(folder, "facts.csv", ("fact_id", $"F-{course}"), ("course_id", course), ("kind", "dispensed"), ("on", Iso(start)), ("product_id", "P-CANARY"), ("containers", "1"), ("days_supply", "28"));
    }

    // No value of these rows holds a comma or a quotation mark.
    private static void Add(string folder, string file, params IReadOnlyList<(string Column, string Value)> cells)
    {
        var path = Path.Combine(folder, file);
        var columns = File.ReadLines(path).First().TrimStart('\uFEFF').Split(',');
        File.AppendAllText(path, string.Join(',', columns.Select(column => cells.FirstOrDefault(cell => cell.Column == column).Value ?? "")) + "\r\n");
    }

    private static List<Dictionary<string, string>> Read(string folder, string file)
    {
        var path = Path.Combine(folder, file);
        var columns = File.ReadLines(path).First().TrimStart('\uFEFF').Split(',');
        using var reader = CsvReader.FromFile(path, new CsvReaderOptions());
        var rows = new List<Dictionary<string, string>>();
        while (reader.Read())
            rows.Add(columns.ToDictionary(column => column, reader.GetString));
        return rows;
    }

    private static string Iso(LocalDate date) => LocalDatePattern.Iso.Format(date);
}

/// <summary>Somebody who has an address.</summary>
/// <param name="Address">The address.</param>
/// <param name="Zone">The zone in which the reader lives.</param>
/// <param name="Forbidden">Why nothing may go there; null: it may.</param>
/// <param name="Since">From when on nothing may.</param>
internal sealed record MailReader(string Address, string Zone, string? Forbidden, Instant Since);
