using System.Collections.Generic;
using NodaTime;

namespace RefillPlanner.Core.Ledger;

/// <summary>A pharmacy, with its zone, its open days and whom to write to.</summary>
public sealed record Site
{
    /// <summary>The writer's id of the site.</summary>
    public required string Id { get; init; }

    /// <summary>What people call it.</summary>
    public required string Name { get; init; }

    /// <summary>IANA time zone, known to NodaTime's own database.</summary>
    public required string TimeZone { get; init; }

    /// <summary>Weekdays on which it is closed, every week; not all seven.</summary>
    public IReadOnlyList<IsoDayOfWeek> ClosedWeekdays { get; init; } = [];

    /// <summary>Single dates on which it is closed.</summary>
    public IReadOnlyList<LocalDate> ClosedOn { get; init; } = [];

    /// <summary>Single dates on which the carrier does not carry.</summary>
    public IReadOnlyList<LocalDate> CarrierClosedOn { get; init; } = [];

    /// <summary>Last date through which the closed dates are known; null: no such date is stated.</summary>
    public LocalDate? CalendarKnownThrough { get; init; }

    /// <summary>Where the morning list goes; null: nowhere.</summary>
    public string? StaffEmail { get; init; }

    /// <summary>Where step-up alerts go; null: nowhere.</summary>
    public string? PharmacistEmail { get; init; }

    /// <summary>Where overdue step-up alerts go as well; null: nowhere.</summary>
    public string? ManagerEmail { get; init; }

    /// <summary>From which address mail is sent; null: the configured one.</summary>
    public string? SenderEmail { get; init; }

    /// <summary>The pharmacy's telephone; null: not on record.</summary>
    public string? Phone { get; init; }

    /// <summary>The local emergency number; null: texts speak of it without the digits.</summary>
    public string? EmergencyNumber { get; init; }

    /// <summary>How sharps are returned here, in English; local rules differ. Null: ask the pharmacy.</summary>
    public string? SharpsReturn { get; init; }

    /// <summary>How sharps are returned here, in Spanish. Null: ask the pharmacy.</summary>
    public string? SharpsReturnEs { get; init; }
}
