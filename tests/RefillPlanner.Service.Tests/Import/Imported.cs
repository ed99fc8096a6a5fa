using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Service.Import;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Import;

/// <summary>What an import told and what it wrote: the records that were not on record before, or not with this content.</summary>
internal sealed record Imported
{
    private static readonly Instant Now = Instant.FromUtc(2026, 3, 2, 8, 0);

    private readonly byte[] _database;

    private Imported(JudgedRoster told, Records before, Records after, byte[] database)
    {
        (Refusals, Counts) = (told.Refusals, told.Counts);
        Sites = [.. after.Sites.Where(site => !before.Sites.Any(other => SameContent.Of(site, other)))];
        Patients = [.. after.Patients.Except(before.Patients)];
        Products = [.. after.Products.Except(before.Products)];
        Devices = [.. after.Devices.Except(before.Devices)];
        Courses = [.. after.Courses.Except(before.Courses)];
        Steps = [.. after.Steps.Where(step => !before.Steps.Any(other => SameContent.Of(step, other)))];
        Prescriptions = [.. after.Prescriptions.Except(before.Prescriptions)];
        Facts = [.. after.Facts.Except(before.Facts)];
        Sharps = [.. after.Sharps.Except(before.Sharps)];
        _database = database;
    }

    public IReadOnlyList<Refusal> Refusals { get; }

    public IReadOnlyList<FileCounts> Counts { get; }

    public IReadOnlyList<Site> Sites { get; }

    public IReadOnlyList<Patient> Patients { get; }

    public IReadOnlyList<Product> Products { get; }

    public IReadOnlyList<Device> Devices { get; }

    public IReadOnlyList<Course> Courses { get; }

    public IReadOnlyList<Step> Steps { get; }

    public IReadOnlyList<Prescription> Prescriptions { get; }

    public IReadOnlyList<Fact> Facts { get; }

    public IReadOnlyList<SharpsContainer> Sharps { get; }

    /// <summary>Imports a roster, on top of what another import left.</summary>
    public static Imported From(RosterFolder roster, Imported? known = null, string? refusedFolder = null)
    {
        var told = default(JudgedRoster);
        var (before, after, bytes) = Change(known?._database, database => told = RosterImport.Run(database, roster, Now, "test", refusedFolder: refusedFolder));
        return new Imported(told!, before, after, bytes);
    }

    /// <summary>The same with something else put on record.</summary>
    public Imported With(Action<LedgerStore> put)
    {
        var (before, after, bytes) = Change(_database, database =>
        {
            using var transaction = database.Begin();
            put(transaction.Ledger);
            transaction.Commit();
        });
        return new Imported(new JudgedRoster { Refusals = [], RefusalCount = 0, Counts = [] }, before, after, bytes);
    }

    private static (Records Before, Records After, byte[] Bytes) Change(byte[]? bytes, Action<PlannerDatabase> change)
    {
        using var folder = new TestFolder();
        var file = folder.In("planner.db");
        if (bytes is not null)
            File.WriteAllBytes(file, bytes);
        Records before;
        Records after;
        using (var database = PlannerDatabase.Open(file, Now))
        {
            before = Records.Of(database);
            change(database);
            after = Records.Of(database);
        }

        Assert.False(File.Exists(file + "-wal"), "the file is whole");
        return (before, after, File.ReadAllBytes(file));
    }

    private sealed record Records(
        IReadOnlyList<Site> Sites,
        IReadOnlyList<Patient> Patients,
        IReadOnlyList<Product> Products,
        IReadOnlyList<Device> Devices,
        IReadOnlyList<Course> Courses,
        IReadOnlyList<Step> Steps,
        IReadOnlyList<Prescription> Prescriptions,
        IReadOnlyList<Fact> Facts,
        IReadOnlyList<SharpsContainer> Sharps)
    {
        public static Records Of(PlannerDatabase database)
        {
            using var reading = database.Read();
            var ledger = reading.Ledger;
            return new Records(
                ledger.ListSites(), ledger.ListPatients(), ledger.ListProducts(), ledger.ListDevices(), ledger.ListCourses(), ledger.ListSteps(),
                ledger.ListPrescriptions(), ledger.ListFacts(), ledger.ListSharps());
        }
    }
}
