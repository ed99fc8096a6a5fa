using NodaTime;

namespace RefillPlanner.Service.Demo;

/// <summary>Where the demo's courses are written down. Days are counted from today, which is 0; past days are negative.</summary>
/// <param name="tables">The files written.</param>
/// <param name="today">The day of the demo.</param>
internal sealed class DemoDesk(DemoTables tables, LocalDate today)
{
    private const int SafetyDays = 3;
    private const int ContactOpenDays = 3;

    private static readonly string[] Prescribers = ["Dr. Bramble Inkwell", "Dr. Nettle Lampshade", "Dr. Sorrel Teapot"];

    /// <summary>The first open day of the site in the east, today or later.</summary>
    public int FirstOpenDay => DayOf(DemoSites.OpenDay(today, today));

    /// <summary>The last open day of the site in the east within a week.</summary>
    public int OpenDayInAWeek => DayOf(DemoSites.OpenDayBefore(today, today.PlusDays(7)));

    /// <summary>The open day of the site in the east that lies so many open days after another.</summary>
    public int OpenDayAfter(int day, int openDays) => DayOf(DemoSites.OpenDay(today, today.PlusDays(day), openDays));

    /// <summary>The run-out for which a patient who fetches at the site in the east is asked on a given open day.</summary>
    public int RunOutIfAskedOn(int day, int prepareOpenDays) => OpenDayAfter(day, ContactOpenDays + prepareOpenDays) + SafetyDays;

    /// <summary>Begins a course with one prescription.</summary>
    /// <param name="number">Number of the course and, unless given, of its patient.</param>
    /// <param name="start">First dosing day.</param>
    /// <param name="device">The syringe; null for pens and prefilled syringes.</param>
    /// <param name="patient">Number of the patient, where that is another.</param>
    /// <param name="rx">The prescription; null: refills for a year from shortly before the start.</param>
    public DemoCourse Course(int number, int start, string? device = null, int? patient = null, DemoRx? rx = null)
    {
        tables.Courses.Add(
            ("course_id", $"C-{number}"),
            ("patient_id", DemoPatients.Id(patient ?? number)),
            ("started_on", today.PlusDays(start)),
            ("device_id", device));
        rx ??= new DemoRx(start - 3, Refills: 11, ValidThrough: start + 362);
        tables.Prescriptions.Add(
            ("rx_id", $"RX-{number}"),
            ("course_id", $"C-{number}"),
            ("issued_on", today.PlusDays(rx.IssuedOn)),
            ("refills_authorized", rx.Refills),
            ("valid_through", rx.ValidThrough is int last ? today.PlusDays(last) : null),
            ("schedule", rx.Schedule),
            ("prescriber", Prescribers[number % Prescribers.Length]),
            ("prescriber_phone", $"555-019{number % Prescribers.Length}"));
        return new DemoCourse(tables, today, number, start);
    }

    private int DayOf(LocalDate date) => Period.DaysBetween(today, date);
}

/// <summary>A prescription; days from today.</summary>
internal sealed record DemoRx(int IssuedOn, int Refills, int? ValidThrough = null, string? Schedule = null);
