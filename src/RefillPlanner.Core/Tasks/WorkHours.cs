using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tasks;

/// <summary>
/// Turns the planned dates of one patient into due days and alarm instants: the site's zone and open days, the patient's sending window.
/// Alarms never lie between 00:00 and 03:59, where clocks change.
/// </summary>
/// <param name="site">The site.</param>
/// <param name="patient">The patient.</param>
/// <param name="policy">The settings.</param>
/// <param name="today">The day of planning, in the site's zone.</param>
public sealed class WorkHours(Site site, Patient patient, Policy policy, LocalDate today)
{
    private readonly OpenDays _openDays = new(site);
    private readonly DateTimeZone _siteZone = DateTimeZoneProviders.Tzdb[site.TimeZone];
    private readonly DateTimeZone _patientZone = DateTimeZoneProviders.Tzdb[patient.TimeZone ?? site.TimeZone];

    /// <summary>The settings.</summary>
    public Policy Policy => policy;

    /// <summary>The day of planning.</summary>
    public LocalDate Today => today;

    /// <summary>The site's open days.</summary>
    public OpenDays OpenDays => _openDays;

    /// <summary>A planned date, or the first open day from today on if that has passed or is closed.</summary>
    public LocalDate DueOn(LocalDate plannedOn) => _openDays.Plus(LocalDate.Max(plannedOn, today), 0);

    /// <summary>When staff are told of a task due on a day: the hour of the morning list.</summary>
    public Instant StaffHour(LocalDate dueOn) => (dueOn + policy.ListAt).InZoneLeniently(_siteZone).ToInstant();

    /// <summary>When a patient may be written to on a day: the start of the sending window, in the patient's zone.</summary>
    public Instant PatientHour(LocalDate dueOn) => (dueOn + policy.WindowFrom).InZoneLeniently(_patientZone).ToInstant();

    /// <summary>The patient's date at an instant.</summary>
    public LocalDate PatientDate(Instant at) => at.InZone(_patientZone).Date;

    /// <summary>The earliest instant from one on that lies inside the patient's sending window: from its start to before its end.</summary>
    public Instant NextPatientHour(Instant from)
    {
        var local = from.InZone(_patientZone);
        if (local.TimeOfDay < policy.WindowFrom)
            return PatientHour(local.Date);
        return local.TimeOfDay < policy.WindowTo ? from : PatientHour(local.Date.PlusDays(1));
    }
}
