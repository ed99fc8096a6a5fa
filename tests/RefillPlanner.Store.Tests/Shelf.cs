using System;
using System.IO;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Store.Tests;

/// <summary>A real database file in a folder of its own, with one site, patient, product, device and course in it.</summary>
internal sealed class Shelf : IDisposable
{
    public static readonly Instant Now = Instant.FromUtc(2026, 3, 2, 12, 0);
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-store-");

    public Shelf()
    {
        Database = PlannerDatabase.Open(File, Now);
        using var transaction = Database.Begin();
        transaction.Ledger.Put(Site);
        transaction.Ledger.Put(Patient);
        transaction.Ledger.Put(Vial);
        transaction.Ledger.Put(Syringe);
        transaction.Ledger.Add(Course);
        transaction.Ledger.Add(Step);
        transaction.Commit();
    }

    public static Site Site => new() { Id = "S", Name = "Lantern Hollow", TimeZone = "America/New_York", ClosedWeekdays = [IsoDayOfWeek.Saturday, IsoDayOfWeek.Sunday], ClosedOn = [new(2026, 12, 25)], CalendarKnownThrough = new(2027, 1, 1), StaffEmail = "staff@example.org" };

    public static Patient Patient => new() { Id = "P", Name = "Marl Quillfeather", SiteId = "S", BornOn = new(1980, 2, 29), Email = "marl@example.net", EmailAgreedOn = new(2026, 1, 1) };

    public static Product Vial => new() { Id = "V", Drug = "semaglutide", Kind = ProductKind.MultiDoseVial, Unit = DoseUnit.Mg, Strength = new(Amount.From(2), Volume.FromMl(1.5m)), Volume = Volume.FromMl(1.5m), InUseDays = 28, InUseCount = InUseCount.OpeningDayIsDay0, Cold = true, MaxDose = Amount.From(2.4m) };

    public static Device Syringe => new() { Id = "D", Name = "0.5 mL", Capacity = Volume.FromMl(0.5m), Graduation = Volume.FromMl(0.01m), MarkedIn = BarrelMarking.Units, UnitsPerMl = 100, DeadSpace = Volume.FromMl(0.002m) };

    public static Course Course => new() { Id = "C", PatientId = "P", StartedOn = new(2026, 3, 2), DeviceId = "D", Expelled = Volume.FromMl(0.01m), FillDays = 28 };

    public static Step Step => new() { CourseId = "C", Number = 1, ProductId = "V", Doses = [Amount.From(0.25m), Amount.From(0.5m)], EveryDays = 7 };

    public static Fact Fill => new() { Id = "F-1", CourseId = "C", Kind = FactKind.Dispensed, On = new(2026, 3, 2), ProductId = "V", Containers = 2, ExpiresOn = new(2026, 9, 1), Lot = "L1", DaysSupply = 28 };

    public static PlannedTask Task => new()
    {
        Key = TaskKey.Of(TaskKind.RefillContact, "C", "after F-1"),
        Kind = TaskKind.RefillContact,
        SiteId = "S",
        PatientId = "P",
        CourseId = "C",
        PlannedOn = new(2026, 3, 10),
        DueOn = new(2026, 3, 10),
        DueAt = Instant.FromUtc(2026, 3, 10, 13, 0),
        Reason = "Without medicine from Monday, March 16, 2026.",
    };

    public static OutgoingMessage Message => new()
    {
        Key = new MessageKey("patient-notice/P/2026-03-02"),
        MessageId = "0123456789abcdef0123456789abcdef@example.org",
        Kind = MessageKind.PatientNotice,
        SiteId = "S",
        PatientId = "P",
        TaskKeys = [Task.Key],
        To = "marl@example.net",
        LanguageTag = "en-US",
        Subject = "A note",
        Text = "text",
        Html = "<p>text</p>",
        DecidedAt = Now,
        NotBefore = Now,
        ExpiresAt = Now + Duration.FromDays(4),
    };

    public string File => Path.Combine(_folder.FullName, "planner.db");

    public PlannerDatabase Database { get; private set; }

    public void Write(Action<StoreTransaction> write)
    {
        using var transaction = Database.Begin();
        write(transaction);
        transaction.Commit();
    }

    public T Read<T>(Func<StoreTransaction, T> read)
    {
        using var transaction = Database.Read();
        return read(transaction);
    }

    public void Dispose()
    {
        Database.Dispose();
        _folder.Delete(recursive: true);
    }
}
