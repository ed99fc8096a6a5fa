using System;
using System.Collections.Generic;
using System.Globalization;
using System.IO;
using System.Linq;
using CsvHelper;
using NodaTime;

namespace RefillPlanner.Roster;

/// <summary>Rows that an import must refuse, each for one reason of its own; good rows beside them stay good.</summary>
internal static class Faults
{
    private static readonly IReadOnlyList<Fault> All = [.. List()];

    /// <summary>How many there are.</summary>
    public static int Count => All.Count;

    /// <summary>Adds some of them, and lists them as file, line, what.</summary>
    public static void AddTo(RosterFiles files, RosterOptions options, string listPath)
    {
        var scene = new FaultScene(files, options.Today);
        scene.Add();
        var dice = new Dice(options.Seed, number: 0, purpose: 3);
        var chosen = All.Select(fault => (Fault: fault, Place: dice.Below(1_000_000))).OrderBy(pair => pair.Place).Take(options.Faults).Select(pair => pair.Fault);
        using var list = CsvWriter.Create(new FileStream(listPath, FileMode.Create, FileAccess.Write), new CsvWriterOptions());
        list.WriteRecord(["file", "line", "what"]);
        foreach (var (fault, number) in chosen.Select((fault, place) => (fault, place + 1)))
        {
            var file = fault.File(files);
            var line = file.Add(fault.Cells(scene, number));
            list.WriteRecord([file.Name, line.ToString(CultureInfo.InvariantCulture), fault.What]);
        }
    }

    private static IEnumerable<Fault> List() => [.. OfSites(), .. OfPatients(), .. OfProducts(), .. OfDevices(), .. OfCourses(), .. OfSteps(), .. OfPrescriptions(), .. OfFacts(), .. OfSharps()];

    private static IEnumerable<Fault> OfSites()
    {
        yield return Site("unknown time zone", ("time_zone", "Mars/Olympus"));
        yield return Site("closed on all weekdays", ("closed_weekdays", "mon;tue;wed;thu;fri;sat;sun"));
        yield return Site("a date that does not exist", ("calendar_known_through", "2026-02-30"));
        yield return Site("no e-mail address", ("staff_email", "staff at example"));
    }

    private static IEnumerable<Fault> OfPatients()
    {
        yield return Patient("unknown site", ("site_id", "S-NOWHERE"));
        yield return Patient("unknown status", ("status", "sleeping"));
        yield return Patient("unknown language", ("language", "xx"));
        yield return Patient("date not in ISO form", ("born_on", "03/02/1980"));
        yield return Patient("line break in a name", ("name", "Alder Fictus\r\nBcc: x@example.org"));
        yield return Patient("bidirectional override in a name", ("name", "Alder \u202Esutcif"));
        yield return Patient("name is missing", ("name", null));
    }

    private static IEnumerable<Fault> OfProducts()
    {
        yield return Product("unknown kind", ("kind", "bottle"));
        yield return Product("unit written IU", ("unit", "IU"));
        yield return Product("two strengths", ("amount_per_container", 5));
        yield return Product("vial without volume", ("volume_ml", null));
        yield return Product("negative volume", ("volume_ml", "-1"));
        yield return Product("more than 6 decimals", ("volume_ml", "1.0000001"));
        yield return Product("size of an unknown product", ("size_of", "P-NOWHERE"));
        yield return Product("dial_max is no whole number of dial steps", ("kind", "pen"), ("dial_step", 2), ("dial_max", 61));
        yield return Product("prefilled syringe without its dose", ("kind", "prefilled-syringe"), ("amount_per_ml", null), ("volume_ml", null));
    }

    private static IEnumerable<Fault> OfDevices()
    {
        yield return Device("capacity is no whole number of graduations", ("graduation_ml", "0.03"));
        yield return Device("unknown marking", ("marked_in", "drops"));
        yield return Device("comma as decimal point", ("capacity_ml", "0,5"));
        yield return Device("graduation of zero", ("graduation_ml", 0));
    }

    private static IEnumerable<Fault> OfCourses()
    {
        yield return Course("unknown patient", ("patient_id", "PT-NOBODY"));
        yield return Course("start is missing", ("started_on", null));
        yield return Course("unknown device", ("device_id", "D-NOWHERE"));
    }

    private static IEnumerable<Fault> OfSteps()
    {
        yield return Step("unknown course", ("course_id", "C-NOWHERE"));
        yield return Step("dose in units of a product in mg", ("doses", "20 units"));
        yield return Step("dose of zero", ("doses", "0"));
        yield return Step("dose in mL", ("doses", "0.2 mL"));
        yield return Step("every 0 days", ("every_days", 0));
        yield return Step("ladder begins with step 2", ("step", 2));
        yield return Step("neither yes nor no", ("needs_check", "maybe"));
        yield return Step("vial without a syringe", ("course_id", FaultScene.PenCourse));
    }

    private static IEnumerable<Fault> OfPrescriptions()
    {
        yield return Prescription("unknown schedule", ("schedule", "VI"));
        yield return Prescription("negative refills", ("refills_authorized", "-1"));
        yield return Prescription("unknown course", ("course_id", "C-NOWHERE"));
    }

    private static IEnumerable<Fault> OfFacts()
    {
        yield return Fact("unknown kind", ("kind", "melted"));
        yield return Fact("second count of a product on one day", scene => [("kind", "counted"), ("on", scene.CountedOn), ("product_id", "P-SEMA"), ("containers", 1)]);
        yield return Fact("counted more than a container holds", ("kind", "counted"), ("product_id", "P-SEMA"), ("containers", 1), ("volume_ml", "2.01"));
        yield return Fact("product of no step of the course", ("kind", "dispensed"), ("product_id", "P-ENOX"), ("containers", 1));
        yield return Fact("received before it was dispensed", scene => [("kind", "received"), ("on", scene.DispensedOn.PlusDays(-1)), ("note", FaultScene.Fill)]);
        yield return Fact("opened a prefilled syringe", ("course_id", FaultScene.SyringeCourse), ("kind", "opened"), ("product_id", "P-ENOX"));
        yield return Fact("void of a void", ("kind", "void"), ("note", FaultScene.Void));
        yield return Fact("void of an unknown fact", ("kind", "void"), ("note", "F-NOWHERE"));
        yield return Fact("approval of step 1", ("kind", "approved"), ("step", 1));
        yield return Fact("no containers dispensed", ("kind", "dispensed"), ("product_id", "P-SEMA"), ("containers", 0));
        yield return Fact("thousands mark", ("kind", "dispensed"), ("product_id", "P-SEMA"), ("containers", "1,000"));
        yield return Fact("ladder that does not exist", ("kind", "ladder-started"), ("step", 77));
        yield return Fact("answer of another word", ("kind", "answered"), ("note", "perhaps"));
    }

    private static IEnumerable<Fault> OfSharps()
    {
        yield return Sharps("capacity of zero", ("capacity_sharps", 0));
        yield return Sharps("unknown patient", ("patient_id", "PT-NOBODY"));
        yield return new Fault(files => files.Sharps, "returned before it was issued", (scene, number) =>
            [("sharps_id", $"SH-FAULT-{number}"), ("patient_id", FaultScene.Patient), ("capacity_sharps", 100), ("issued_on", scene.DispensedOn), ("returned_on", scene.DispensedOn.PlusDays(-1))]);
    }

    // Each takes a good row and spoils it.
    private static Fault Site(string what, params (string Column, object? Value)[] spoilt) => new(files => files.Sites, what, (_, number) =>
        Spoil([("site_id", $"S-FAULT-{number}"), ("name", "Faulty (invented)"), ("time_zone", "America/New_York")], spoilt));

    private static Fault Patient(string what, params (string Column, object? Value)[] spoilt) => new(files => files.Patients, what, (_, number) =>
        Spoil([("patient_id", $"PT-FAULT-{number}"), ("name", "Faulty Fictus"), ("site_id", "S-EAST")], spoilt));

    private static Fault Product(string what, params (string Column, object? Value)[] spoilt) => new(files => files.Products, what, (_, number) =>
        Spoil([("product_id", $"P-FAULT-{number}"), ("drug", "faulty"), ("kind", "multi-dose-vial"), ("unit", "mg"), ("amount_per_ml", 5), ("volume_ml", 2)], spoilt));

    private static Fault Device(string what, params (string Column, object? Value)[] spoilt) => new(files => files.Devices, what, (_, number) =>
        Spoil([("device_id", $"D-FAULT-{number}"), ("name", "faulty"), ("capacity_ml", 1), ("graduation_ml", "0.01"), ("marked_in", "ml")], spoilt));

    private static Fault Course(string what, params (string Column, object? Value)[] spoilt) => new(files => files.Courses, what, (scene, number) =>
        Spoil([("course_id", $"C-FAULT-{number}"), ("patient_id", FaultScene.Patient), ("started_on", scene.DispensedOn)], spoilt));

    // A ladder of its own, so that nothing else is refused with it.
    private static Fault Step(string what, params (string Column, object? Value)[] spoilt) => new(files => files.Steps, what, (_, number) =>
        Spoil([("course_id", FaultScene.VialCourse), ("ladder", 100 + number), ("step", 1), ("product_id", "P-SEMA"), ("doses", "0.25"), ("every_days", 7)], spoilt));

    private static Fault Prescription(string what, params (string Column, object? Value)[] spoilt) => new(files => files.Prescriptions, what, (scene, number) =>
        Spoil([("rx_id", $"RX-FAULT-{number}"), ("course_id", FaultScene.VialCourse), ("issued_on", scene.DispensedOn), ("refills_authorized", 1)], spoilt));

    private static Fault Fact(string what, params (string Column, object? Value)[] spoilt) => Fact(what, _ => spoilt);

    private static Fault Fact(string what, Func<FaultScene, (string Column, object? Value)[]> spoilt) => new(files => files.Facts, what, (scene, number) =>
        Spoil([("fact_id", $"F-FAULT-{number}"), ("course_id", FaultScene.VialCourse), ("kind", null), ("on", scene.CountedOn.PlusDays(1))], spoilt(scene)));

    private static Fault Sharps(string what, params (string Column, object? Value)[] spoilt) => new(files => files.Sharps, what, (scene, number) =>
        Spoil([("sharps_id", $"SH-FAULT-{number}"), ("patient_id", FaultScene.Patient), ("capacity_sharps", 100), ("issued_on", scene.DispensedOn)], spoilt));

    private static (string Column, object? Value)[] Spoil((string Column, object? Value)[] good, (string Column, object? Value)[] spoilt) =>
        [.. good.Where(cell => !spoilt.Any(other => other.Column == cell.Column)), .. spoilt];

    private sealed record Fault(Func<RosterFiles, RosterFile> File, string What, Func<FaultScene, int, (string Column, object? Value)[]> Cells);
}

/// <summary>Good rows that the faulty ones refer to.</summary>
internal sealed class FaultScene(RosterFiles files, LocalDate today)
{
    public const string Patient = "PT-SCENE";
    public const string VialCourse = "C-SCENE-VIAL";
    public const string PenCourse = "C-SCENE-PEN";
    public const string SyringeCourse = "C-SCENE-SYRINGE";
    public const string Fill = "F-SCENE-1";
    public const string Void = "F-SCENE-4";

    public LocalDate DispensedOn => today.PlusDays(-20);

    public LocalDate CountedOn => today.PlusDays(-10);

    public void Add()
    {
        files.Patients.Add(("patient_id", Patient), ("name", "Scene Fictus"), ("site_id", "S-EAST"));
        AddCourse(VialCourse, "D-U100", "P-SEMA", "0.25", every: 7);
        AddCourse(PenCourse, device: null, "P-GLAR-PEN", "20", every: 1);
        AddCourse(SyringeCourse, device: null, "P-ENOX", "40", every: 1);
        AddFact(Fill, "dispensed", DispensedOn, ("product_id", "P-SEMA"), ("containers", 2));
        AddFact("F-SCENE-2", "counted", CountedOn, ("product_id", "P-SEMA"), ("containers", 1));
        AddFact("F-SCENE-3", "missed", DispensedOn.PlusDays(7));
        AddFact(Void, "void", CountedOn, ("note", "F-SCENE-3"));
    }

    private void AddCourse(string id, string? device, string product, string dose, int every)
    {
        files.Courses.Add(("course_id", id), ("patient_id", Patient), ("started_on", DispensedOn), ("device_id", device));
        files.Steps.Add(("course_id", id), ("step", 1), ("product_id", product), ("doses", dose), ("every_days", every), ("dose_days", 20));
        files.Steps.Add(("course_id", id), ("step", 2), ("product_id", product), ("doses", dose), ("every_days", every));
    }

    private void AddFact(string id, string kind, LocalDate on, params (string Column, object? Value)[] cells) =>
        files.Facts.Add([("fact_id", id), ("course_id", VialCourse), ("kind", kind), ("on", on), .. cells]);
}
