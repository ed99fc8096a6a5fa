using System;
using System.Linq;
using Microsoft.Data.Sqlite;
using RefillPlanner.Core.Ledger;
using Xunit;

namespace RefillPlanner.Store.Tests;

/// <summary>Records one by one, as an import writes and asks for them.</summary>
public sealed class RowStoreTests
{
    private static readonly Patient FullPatient = Shelf.Patient with { Id = "Ñ\U0001F489", Phone = "555-0100", EmailOptedOutOn = new(2026, 2, 1), Status = PatientStatus.InCare, Language = Language.Spanish, TimeZone = "America/Denver", Handover = Handover.Ship };
    private static readonly Course BareCourse = new() { Id = "C-2", PatientId = "P", StartedOn = new(1900, 1, 1) };
    private static readonly Step BareStep = new() { CourseId = "C-2", Number = 1, ProductId = "V", Doses = [new Amount(1)], EveryDays = 1, NeedsCheck = false };
    private static readonly Step FullStep = Shelf.Step with { Ladder = 2, DoseDays = 4, DeviceId = "D", Expelled = new Volume(10_000_000_000) };
    private static readonly Prescription BarePrescription = new() { Id = "R-1", CourseId = "C", IssuedOn = new(2026, 3, 1), RefillsAuthorized = 0 };
    private static readonly Prescription FullPrescription = BarePrescription with { Id = "R-2", ValidThrough = new(2200, 12, 31), Schedule = 3, Prescriber = new string('é', 500), PrescriberPhone = "555" };
    private static readonly SharpsContainer BareSharps = new() { Id = "H-1", PatientId = "P", Capacity = 100, IssuedOn = new(2026, 3, 2) };
    private static readonly SharpsContainer FullSharps = BareSharps with { Id = "H-2", ReturnedOn = new(2026, 3, 3), WrittenOffOn = new(2026, 3, 4), ContainerClass = "small" };
    private static readonly Fact FullFact = Shelf.Fill with { Id = "F-2", Volume = new Volume(1), Until = new(2026, 3, 4), OpenedOn = new(2026, 3, 1), Step = 2, Note = "note" };
    private static readonly Fact BareFact = new() { Id = "F-3", CourseId = "C", Kind = FactKind.LadderStarted, On = new(2026, 3, 2) };

    [Fact]
    public void What_is_written_row_by_row_is_found_exactly_and_listed_exactly()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction =>
        {
            var ledger = transaction.Ledger;
            ledger.Put(FullPatient);
            ledger.Add(BareCourse);
            ledger.Add(BareStep);
            ledger.Add(FullStep);
            ledger.Put(BarePrescription);
            ledger.Put(FullPrescription);
            ledger.Put(BareSharps);
            ledger.Put(FullSharps);
            ledger.Add(FullFact, Shelf.Now, "test");
            ledger.Add(BareFact, Shelf.Now, "test");
        });
        using var reading = shelf.Database.Read();
        var ledger = reading.Ledger;
        Assert.Equal([Shelf.Patient, FullPatient], [ledger.FindPatient("P")!, ledger.FindPatient(FullPatient.Id)!]);
        Assert.Equal([Shelf.Course, BareCourse], [ledger.FindCourse("C")!, ledger.FindCourse("C-2")!]);
        Assert.Equal([BarePrescription, FullPrescription], [ledger.FindPrescription("R-1")!, ledger.FindPrescription("R-2")!]);
        Assert.Equal([BareSharps, FullSharps], [ledger.FindSharps("H-1")!, ledger.FindSharps("H-2")!]);
        Assert.Equal([FullFact, BareFact], [ledger.FindFact("F-2")!.Fact, ledger.FindFact("F-3")!.Fact]);
        Assert.Equal([Shelf.Step.Doses, FullStep.Doses, BareStep.Doses], [.. ledger.ListSteps("C").Select(step => step.Doses), ledger.ListSteps("C-2").Single().Doses]);
        Assert.Equal(FullStep with { Doses = [] }, ledger.ListSteps("C")[1] with { Doses = [] });
        Assert.Equal(BareStep with { Doses = [] }, ledger.ListSteps("C-2").Single() with { Doses = [] });

        Assert.Equal([Shelf.Patient, FullPatient], ledger.ListPatients());
        Assert.Equal([Shelf.Course, BareCourse], ledger.ListCourses());
        Assert.Equal([BarePrescription, FullPrescription], ledger.ListPrescriptions());
        Assert.Equal([BareSharps, FullSharps], ledger.ListSharps());
        Assert.Equal([FullFact, BareFact], ledger.ListFacts());
    }

    [Fact]
    public void What_is_not_on_record_is_not_found()
    {
        using var shelf = new Shelf();
        using var reading = shelf.Database.Read();
        var ledger = reading.Ledger;
        Assert.Null(ledger.FindPatient("no"));
        Assert.Null(ledger.FindCourse("c"));
        Assert.Null(ledger.FindPrescription("no"));
        Assert.Null(ledger.FindSharps("no"));
        Assert.Null(ledger.FindFact(string.Empty));
        Assert.Empty(ledger.ListSteps("no"));
        Assert.Equal(0, ledger.LastFactPlace());
    }

    [Fact]
    public void A_fact_takes_the_place_that_it_is_given_and_else_the_next()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction =>
        {
            transaction.Ledger.Add(Shelf.Fill, Shelf.Now, "test", place: 40);
            transaction.Ledger.Add(BareFact, Shelf.Now, "test");
            Assert.Equal(40, transaction.Ledger.FindFact("F-1")!.Place);
            Assert.Equal(41, transaction.Ledger.LastFactPlace());
        });
    }

    [Fact]
    public void A_row_that_the_schema_refuses_throws_and_the_next_one_goes_in()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction =>
        {
            transaction.Ledger.Add(Shelf.Fill, Shelf.Now, "test");
            Assert.Contains("never replaced", Assert.Throws<SqliteException>(() => transaction.Ledger.Add(Shelf.Fill, Shelf.Now, "test")).Message, StringComparison.Ordinal);
            Assert.Throws<SqliteException>(() => transaction.Ledger.Add(BareFact with { CourseId = "no" }, Shelf.Now, "test"));
            transaction.Ledger.Add(BareFact, Shelf.Now, "test");
        });
        Assert.Equal([Shelf.Fill, BareFact], shelf.Read(transaction => transaction.Ledger.ListFacts()));
    }

    [Fact]
    public void Counts_and_voids_of_a_course_are_listed_and_nothing_else()
    {
        var count = new Fact { Id = "F-4", CourseId = "C", Kind = FactKind.Counted, On = new(2026, 3, 5), ProductId = "V", Containers = 0 };
        var taken = new Fact { Id = "F-5", CourseId = "C", Kind = FactKind.Void, On = new(2026, 3, 6), Note = "F-4" };
        using var shelf = new Shelf();
        shelf.Write(transaction =>
        {
            foreach (var fact in new[] { taken, count, BareFact, Shelf.Fill })
                transaction.Ledger.Add(fact, Shelf.Now, "test");
        });
        Assert.Equal([count, taken], shelf.Read(transaction => transaction.Ledger.ListCountsAndVoids("C")));
    }

    [Fact]
    public void Kept_rows_come_by_turn_or_by_course_and_are_gone_when_forgotten()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction =>
        {
            var roster = transaction.Roster;
            Assert.Null(roster.FindKept(7, "a"));
            roster.Keep(new KeptRow(7, 9, [1]), "a", "C-2", turn: 0);
            roster.Keep(new KeptRow(7, 8, [2, 0, 255]), "b", "C-1", turn: 1);
            roster.Keep(new KeptRow(7, 10, []), "c", "C-1", turn: 0);
            roster.Keep(new KeptRow(8, 2, [4]), "a", "C-1", turn: 0);
            roster.Keep(new KeptRow(7, 11, [5]), "a", "C-1", turn: 2);
            Assert.Equal([9, 10, 8, 11], roster.ListKept(7).Select(row => row.Line));
            Assert.Equal([8, 10, 11, 2, 9], roster.ListKeptByCourse(7, 8).Select(row => row.Line));
            Assert.Equal([2, 0, 255], roster.FindKept(7, "b")!.Bytes);
            Assert.Equal(9, roster.FindKept(7, "a")!.Line);
            roster.Forget(new KeptRow(7, 9, []), "a");
            Assert.Equal(11, roster.FindKept(7, "a")!.Line);
            roster.Clear();
            Assert.Empty(roster.ListKept(7));
        });
    }

    [Fact]
    public void A_row_is_refused_once_and_for_its_first_reason()
    {
        var first = new RefusedRow(3, "a", "column", "value\0more", "because", [7]);
        using var shelf = new Shelf();
        shelf.Write(transaction =>
        {
            var roster = transaction.Roster;
            Assert.True(roster.Refuse(1, first));
            Assert.False(roster.Refuse(1, first with { Reason = "other" }));
            Assert.True(roster.Refuse(1, first with { Line = 2, Id = string.Empty, Value = string.Empty, Column = string.Empty }));
            Assert.True(roster.IsRefused(1, "a"));
            Assert.False(roster.IsRefused(2, "a"));
            Assert.Equal([2, 3], roster.ListRefused(1).Select(row => row.Line));
            Assert.Equal((first.Value, first.Reason), (roster.ListRefused(1).Last().Value, roster.ListRefused(1).Last().Reason));
        });
    }

    [Fact]
    public void What_an_import_remembers_is_gone_after_it_whether_it_was_committed_or_not()
    {
        using var shelf = new Shelf();
        foreach (var isCommitted in new[] { false, true, true })
        {
            using var transaction = shelf.Database.Begin();
            Assert.Null(transaction.Roster.FindKept(1, "a"));
            transaction.Roster.Keep(new KeptRow(1, 2, []), "a", string.Empty, turn: 0);
            transaction.Roster.Refuse(1, new RefusedRow(3, "b", "c", "d", "e", []));
            if (!isCommitted)
                continue;
            transaction.Roster.Clear();
            transaction.Commit();
        }
    }
}
