using System.Collections.Generic;
using NodaTime;

namespace RefillPlanner.Core.Ledger;

/// <summary>The settings that steer the computation (planning model, section 9), after a site's overrides.</summary>
public sealed record Policy
{
    /// <summary>All defaults.</summary>
    public static readonly Policy Default = new();

    /// <summary>Days by which a supply is in hand before it is needed; 0 to 30.</summary>
    public int SafetyDays { get; init; } = 3;

    /// <summary>Days that a parcel travels; 0 to 14.</summary>
    public int TransitOpenDays { get; init; } = 2;

    /// <summary>Weekdays on which cold parcels are sent; at least one.</summary>
    public IReadOnlyList<IsoDayOfWeek> ShipWeekdays { get; init; } = [IsoDayOfWeek.Monday, IsoDayOfWeek.Tuesday, IsoDayOfWeek.Wednesday];

    /// <summary>Open days between contact and preparing; 0 to 30.</summary>
    public int ContactOpenDays { get; init; } = 3;

    /// <summary>Open days that a renewal by the prescriber takes; 0 to 30.</summary>
    public int RenewalOpenDays { get; init; } = 5;

    /// <summary>Open days between a step-up check and its step; 1 to 30.</summary>
    public int CheckOpenDays { get; init; } = 5;

    /// <summary>Open days between alert and step-up check; 0 to 30.</summary>
    public int AlertOpenDays { get; init; } = 3;

    /// <summary>Length of a fill; 1 to 180. A course may have its own.</summary>
    public int FillDays { get; init; } = 28;

    /// <summary>Days of the old strength that bridge a late decision; 0 to 60.</summary>
    public int BridgeDays { get; init; } = 7;

    /// <summary>Percent of the billed supply that must have elapsed before the next fill; 0 to 100. Controlled: 90.</summary>
    public int EarlyFillPercent { get; init; } = 75;

    /// <summary>Open days after which a prepared fill that nobody fetched is shown; 1 to 30.</summary>
    public int UncollectedOpenDays { get; init; } = 5;

    /// <summary>Open days after which an unanswered question is shown; 1 to 30.</summary>
    public int NoAnswerOpenDays { get; init; } = 2;

    /// <summary>Largest error of a mark that counts as rounding, in percent; 0 to 20.</summary>
    public int OffMarksPercent { get; init; } = 5;

    /// <summary>How many times the dosing-day total of the step before is a jump, in hundredths: 200 is 2.0; 100 to 1,000.</summary>
    public int DoseJumpHundredths { get; init; } = 200;

    /// <summary>How far the walk looks ahead of the as-of date, in days; 30 to 1,000.</summary>
    public int HorizonDays { get; init; } = 400;

    /// <summary>Percent of a sharps container's capacity at its fill line; 50 to 90.</summary>
    public int FillLinePercent { get; init; } = 75;

    /// <summary>Days between the sharps notice and the fill line; 0 to 60.</summary>
    public int SharpsNoticeDays { get; init; } = 7;

    /// <summary>Days from the fill line within which the container is to come back; 1 to 90.</summary>
    public int SharpsReturnDays { get; init; } = 14;

    /// <summary>Days before a beyond-use date that will pass unopened at which it is shown; 0 to 90.</summary>
    public int BudNoticeDays { get; init; } = 14;

    /// <summary>Whether a dose may be drawn from two containers. Off: the remainder of the open one is discarded.</summary>
    public bool SplitDraws { get; init; }

    /// <summary>Site time of the morning list; 04:00 to 23:00.</summary>
    public LocalTime ListAt { get; init; } = new(7, 30);

    /// <summary>Start of the sending window for patients, in their zone, included; 04:00 to 23:00.</summary>
    public LocalTime WindowFrom { get; init; } = new(9, 0);

    /// <summary>End of the sending window, not included; 04:00 to 23:00, after <see cref="WindowFrom"/>.</summary>
    public LocalTime WindowTo { get; init; } = new(19, 0);

    /// <summary>Days without a fill or a covered dose after which a patient counts as lapsed; 30 to 365.</summary>
    public int LapsedDays { get; init; } = 90;
}
