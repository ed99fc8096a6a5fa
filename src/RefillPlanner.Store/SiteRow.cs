using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>A row of <c>sites</c>.</summary>
internal sealed record SiteRow
{
    /// <summary>How many columns are in the digest; it stands after them.</summary>
    public const int Digested = 15;

    public required string Id { get; init; }
    public required string Name { get; init; }
    public required string TimeZone { get; init; }
    public required string ClosedWeekdays { get; init; }
    public required string ClosedOn { get; init; }
    public required string CarrierClosedOn { get; init; }
    public LocalDate? CalendarKnownThrough { get; init; }
    public string? StaffEmail { get; init; }
    public string? PharmacistEmail { get; init; }
    public string? ManagerEmail { get; init; }
    public string? SenderEmail { get; init; }
    public string? Phone { get; init; }
    public string? EmergencyNumber { get; init; }
    public string? SharpsReturn { get; init; }
    public string? SharpsReturnEs { get; init; }

    /// <summary>The row of a statement that gives all columns and the digest of them.</summary>
    /// <exception cref="DamagedRowException">It is not as it was written.</exception>
    public static SiteRow Read(PreparedStatement row) => ReadWhole(row.Whole("sites", Digested));

    /// <summary>Binds all columns and the digest of them.</summary>
    public PreparedStatement Bind(PreparedStatement statement) => statement.BeginDigest()
        .Bind(Id).Bind(Name).Bind(TimeZone).Bind(ClosedWeekdays).Bind(ClosedOn).Bind(CarrierClosedOn).Bind(CalendarKnownThrough).Bind(StaffEmail)
        .Bind(PharmacistEmail).Bind(ManagerEmail).Bind(SenderEmail).Bind(Phone).Bind(EmergencyNumber).Bind(SharpsReturn).Bind(SharpsReturnEs).BindDigest();

    public static SiteRow Of(Site site) => new()
    {
        Id = site.Id,
        Name = site.Name,
        TimeZone = site.TimeZone,
        ClosedWeekdays = Columns.Join(site.ClosedWeekdays),
        ClosedOn = Columns.Join(site.ClosedOn),
        CarrierClosedOn = Columns.Join(site.CarrierClosedOn),
        CalendarKnownThrough = site.CalendarKnownThrough,
        StaffEmail = site.StaffEmail,
        PharmacistEmail = site.PharmacistEmail,
        ManagerEmail = site.ManagerEmail,
        SenderEmail = site.SenderEmail,
        Phone = site.Phone,
        EmergencyNumber = site.EmergencyNumber,
        SharpsReturn = site.SharpsReturn,
        SharpsReturnEs = site.SharpsReturnEs,
    };

    public Site ToSite() => new()
    {
        Id = Id,
        Name = Name,
        TimeZone = TimeZone,
        ClosedWeekdays = Columns.Weekdays(ClosedWeekdays),
        ClosedOn = Columns.Dates(ClosedOn),
        CarrierClosedOn = Columns.Dates(CarrierClosedOn),
        CalendarKnownThrough = CalendarKnownThrough,
        StaffEmail = StaffEmail,
        PharmacistEmail = PharmacistEmail,
        ManagerEmail = ManagerEmail,
        SenderEmail = SenderEmail,
        Phone = Phone,
        EmergencyNumber = EmergencyNumber,
        SharpsReturn = SharpsReturn,
        SharpsReturnEs = SharpsReturnEs,
    };

    private static SiteRow ReadWhole(PreparedStatement row) => new()
    {
        Id = row.Text(0),
        Name = row.Text(1),
        TimeZone = row.Text(2),
        ClosedWeekdays = row.Text(3),
        ClosedOn = row.Text(4),
        CarrierClosedOn = row.Text(5),
        CalendarKnownThrough = row.DateOrNull(6),
        StaffEmail = row.TextOrNull(7),
        PharmacistEmail = row.TextOrNull(8),
        ManagerEmail = row.TextOrNull(9),
        SenderEmail = row.TextOrNull(10),
        Phone = row.TextOrNull(11),
        EmergencyNumber = row.TextOrNull(12),
        SharpsReturn = row.TextOrNull(13),
        SharpsReturnEs = row.TextOrNull(14),
    };
}
