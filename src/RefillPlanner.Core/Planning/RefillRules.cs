using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Planning;

/// <summary>The rules of refills: how many are left, how long a prescription holds, how early the next fill may be.</summary>
public static class RefillRules
{
    /// <summary>Percent of the billed supply that must have elapsed for a controlled medicine (1 Tex. Admin. Code 354.1877: some controlled drugs).</summary>
    public const int ControlledEarlyFillPercent = 90;

    /// <summary>The first day on which the early-fill rule lets the next fill be: whole days elapsed, rounded up.</summary>
    /// <example>30 days filled on 2026-01-01 at 75 %: 2026-01-24.</example>
    public static LocalDate EarliestFillOn(LocalDate filledOn, int daysSupply, int percent) =>
        filledOn.PlusDays((daysSupply * percent + 99) / 100);

    /// <summary>
    /// The last lawful day of filling: the stated one, and for schedules III and IV no later than six months after issue
    /// (21 CFR 1306.22(a)); the day itself is still lawful. Null: no such day is known.
    /// </summary>
    /// <example>Schedule IV issued on 2026-08-31: 2027-02-28.</example>
    public static LocalDate? LastValidOn(Prescription prescription)
    {
        LocalDate? lawful = prescription.Schedule is 3 or 4 ? prescription.IssuedOn.PlusMonths(6) : null;
        return lawful is LocalDate last && (prescription.ValidThrough is not LocalDate stated || last < stated) ? last : prescription.ValidThrough;
    }

    /// <summary>
    /// Fills still lawful under a prescription after those made: refills authorised - (fills - 1), not below 0 (planning model, section 2).
    /// Before the first fill that one counts too. Schedules III and IV: at most five refills (21 CFR 1306.22(a)); schedule II: no refill.
    /// </summary>
    /// <param name="prescription">The prescription.</param>
    /// <param name="fillsUnderIt">Fills made under it; 0 or more.</param>
    /// <example>Five refills authorised: 5 left after the first fill, 0 after the sixth.</example>
    public static int RefillsLeft(Prescription prescription, int fillsUnderIt)
    {
        var authorized = prescription.Schedule switch
        {
            2 => 0,
            3 or 4 => int.Min(prescription.RefillsAuthorized, 5),
            _ => prescription.RefillsAuthorized,
        };
        return int.Max(0, authorized - int.Max(fillsUnderIt - 1, -1));
    }
}
