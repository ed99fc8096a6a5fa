namespace RefillPlanner.Core.Ledger;

/// <summary>Something doubtful that a person must look at; it stands beside a value and never stops the run.</summary>
/// <param name="Code">One of <see cref="FindingCode"/>.</param>
/// <param name="Text">One plain sentence with the numbers in it.</param>
public sealed record Finding(string Code, string Text);

/// <summary>The codes of findings: a stable part of the projection's format.</summary>
public static class FindingCode
{
    /// <summary>The dose is nearer to nothing than to the first mark. Nothing is computed.</summary>
    public const string DoseBelowFirstMark = "dose-below-first-mark";

    /// <summary>The nearest marks miss the dose by more than <c>off_marks_percent</c>.</summary>
    public const string DoseOffMarks = "dose-off-marks";

    /// <summary>The nearest marks miss the dose by less.</summary>
    public const string DoseRounded = "dose-rounded";

    /// <summary>The dose takes more than one injection.</summary>
    public const string DoseSplit = "dose-split";

    /// <summary>The dose is no whole number of the pen's dial steps.</summary>
    public const string DoseOffDial = "dose-off-dial";

    /// <summary>The barrel's units are not this product's units. Nothing is computed, no mark is shown.</summary>
    public const string StrengthBarrelMismatch = "strength-barrel-mismatch";

    /// <summary>The dose is not the prefilled syringe's. Nothing is computed.</summary>
    public const string DoseNotInSyringe = "dose-not-in-syringe";

    /// <summary>A step far above the one before, or a single dose above the product's highest.</summary>
    public const string DoseJump = "dose-jump";

    /// <summary>Given more often than the product allows. Nothing is computed.</summary>
    public const string IntervalTooShort = "interval-too-short";

    /// <summary>Not even a fresh container holds what one injection takes. Nothing is computed.</summary>
    public const string DoseExceedsContainer = "dose-exceeds-container";

    /// <summary>A step that starts without a pharmacist's check, as prescribed.</summary>
    public const string CheckWaived = "check-waived";

    /// <summary>A pause without an end.</summary>
    public const string PausedOpen = "paused-open";

    /// <summary>Two or more dosing days in a row not given.</summary>
    public const string DosesMissed = "doses-missed";

    /// <summary>An approval older than the step before, or than a hold.</summary>
    public const string ApprovalNotCurrent = "approval-not-current";

    /// <summary>An approval of a dose, product, strength or syringe that has changed since: the check is asked again.</summary>
    public const string SignedBeforeChange = "signed-before-change";

    /// <summary>A hold of a step that had begun.</summary>
    public const string HoldTooLate = "hold-too-late";

    /// <summary>More containers counted than on record.</summary>
    public const string CountExceedsRecord = "count-exceeds-record";

    /// <summary>Fewer containers counted than on record.</summary>
    public const string CountBelowRecord = "count-below-record";

    /// <summary>Nobody knows when the open container was opened: discard it.</summary>
    public const string OpeningDateUnknown = "opening-date-unknown";

    /// <summary>A container was opened while the open one still held a dose.</summary>
    public const string OpeningDisagrees = "opening-disagrees";

    /// <summary>A container was opened that the record does not have.</summary>
    public const string OpenedWithoutStock = "opened-without-stock";

    /// <summary>A dose before the as-of date for which the record has no stock.</summary>
    public const string DoseWithoutStock = "dose-without-stock";

    /// <summary>A date lies past the last one for which the site's closed days are known.</summary>
    public const string CalendarEnds = "calendar-ends";

    /// <summary>No day in 30 on which a cold parcel would travel safely.</summary>
    public const string NoSafeShipDay = "no-safe-ship-day";

    /// <summary>The early-fill rule opens later than the fill must be prepared.</summary>
    public const string EarlyFillBlocks = "early-fill-blocks";

    /// <summary>Fresh containers would pass their beyond-use date before the fill's last dose.</summary>
    public const string BeyondUseShortensFill = "beyond-use-shortens-fill";

    /// <summary>The days' supply computed and the one last billed for the same content differ.</summary>
    public const string DaysSupplyDisagrees = "days-supply-disagrees";

    /// <summary>A shipped fill whose arrival nobody confirmed.</summary>
    public const string ArrivalUnconfirmed = "arrival-unconfirmed";

    /// <summary>A patient who injects has no sharps container on record.</summary>
    public const string NoSharpsContainer = "no-sharps-container";
}
