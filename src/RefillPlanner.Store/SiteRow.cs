using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>A row of <c>sites</c>.</summary>
internal sealed record SiteRow
{
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
}
