using System;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <content>Rows as records. None is read that is not as it was written.</content>
public sealed partial class LedgerStore
{
    private Fact ReadFact(PreparedStatement row) => Read(row.Whole("facts", DigestedOfFact), DigestedOfFact, ReadWholeFact);

    private Course ReadCourse(PreparedStatement row) => Read(row.Whole("courses", DigestedOfCourse), DigestedOfCourse, ReadWholeCourse);

    private Prescription ReadPrescription(PreparedStatement row) => Read(row.Whole("prescriptions", DigestedOfPrescription), DigestedOfPrescription, ReadWholePrescription);

    private SharpsContainer ReadSharps(PreparedStatement row) => Read(row.Whole("sharps", DigestedOfSharps), DigestedOfSharps, ReadWholeSharps);

    private Patient ReadPatient(PreparedStatement row) => Read(row.Whole("patients", DigestedOfPatient), DigestedOfPatient, ReadWholePatient);

    private Step ReadStep(PreparedStatement row) => Read(row.Whole("steps", DigestedOfStep), DigestedOfStep, ReadWholeStep);

    // An index that was changed may lead to another row than the one asked for.
    private static T? Found<T>(string table, string id, Func<T, string> idOf, T? found)
        where T : class =>
        found is null || string.Equals(idOf(found), id, StringComparison.Ordinal) ? found : throw DamagedRowException.Incomplete(table, id);

    private static Fact ReadWholeFact(PreparedStatement row) => new()
    {
        Id = row.Text(0),
        CourseId = row.Text(1),
        Kind = Columns.Member<FactKind>(row.Text(2)),
        On = row.Date(3),
        ProductId = row.TextOrNull(4),
        Containers = row.WholeOrNull(5),
        Volume = row.VolumeOrNull(6),
        ExpiresOn = row.DateOrNull(7),
        Lot = row.TextOrNull(8),
        Until = row.DateOrNull(9),
        OpenedOn = row.DateOrNull(10),
        Step = row.WholeOrNull(11),
        DaysSupply = row.WholeOrNull(12),
        Note = row.TextOrNull(13),
    };

    private static Course ReadWholeCourse(PreparedStatement row) => new()
    {
        Id = row.Text(0),
        PatientId = row.Text(1),
        StartedOn = row.Date(2),
        DeviceId = row.TextOrNull(3),
        Expelled = new Volume(row.Long(4)),
        FillDays = row.WholeOrNull(5),
        EarlyFillPercent = row.WholeOrNull(6),
    };

    private static Prescription ReadWholePrescription(PreparedStatement row) => new()
    {
        Id = row.Text(0),
        CourseId = row.Text(1),
        IssuedOn = row.Date(2),
        RefillsAuthorized = row.Whole(3),
        ValidThrough = row.DateOrNull(4),
        Schedule = row.WholeOrNull(5),
        Prescriber = row.TextOrNull(6),
        PrescriberPhone = row.TextOrNull(7),
    };

    private static SharpsContainer ReadWholeSharps(PreparedStatement row) => new()
    {
        Id = row.Text(0),
        PatientId = row.Text(1),
        Capacity = row.Whole(2),
        IssuedOn = row.Date(3),
        ReturnedOn = row.DateOrNull(4),
        WrittenOffOn = row.DateOrNull(5),
        ContainerClass = row.TextOrNull(6),
    };

    private static Patient ReadWholePatient(PreparedStatement row) => new()
    {
        Id = row.Text(0),
        Name = row.Text(1),
        SiteId = row.Text(2),
        BornOn = row.DateOrNull(3),
        Phone = row.TextOrNull(4),
        Email = row.TextOrNull(5),
        EmailAgreedOn = row.DateOrNull(6),
        EmailOptedOutOn = row.DateOrNull(7),
        Status = Columns.Member<PatientStatus>(row.Text(8)),
        Language = Columns.Member<Language>(row.Text(9)),
        TimeZone = row.TextOrNull(10),
        Handover = Columns.Member<Handover>(row.Text(11)),
    };

    private static Step ReadWholeStep(PreparedStatement row) => new()
    {
        CourseId = row.Text(0),
        Ladder = row.Whole(1),
        Number = row.Whole(2),
        ProductId = row.Text(3),
        Doses = Columns.Amounts(row.Text(4)),
        EveryDays = row.Whole(5),
        DoseDays = row.WholeOrNull(6),
        NeedsCheck = row.Whole(7) != 0,
        DeviceId = row.TextOrNull(8),
        Expelled = row.VolumeOrNull(9),
    };
}
