using System.Collections.Generic;
using System.Linq;
using NodaTime;
using NodaTime.Text;

namespace RefillPlanner.Service.Demo;

/// <summary>The two invented sites and their open days, given as days from today.</summary>
internal static class DemoSites
{
    /// <summary>The site in the east.</summary>
    public const string Lantern = "S-1";

    /// <summary>The site in the mountains.</summary>
    public const string Sagebrush = "S-2";

    private static readonly int[] LanternClosed = [9, 10, 38];

    /// <summary>Adds both sites.</summary>
    public static void AddTo(DemoTables tables, LocalDate today)
    {
        Add(tables, today, Lantern, "Lantern Hollow Pharmacy (invented)", "America/New_York", LanternClosed, [9, 24], "555-0100");
        Add(tables, today, Sagebrush, "Sagebrush Bend Pharmacy (invented)", "America/Denver", [16], [17], "555-0101");
    }

    /// <summary>The first day on or after a day, so many open days further, on which the site in the east is open.</summary>
    public static LocalDate OpenDay(LocalDate today, LocalDate from, int openDays = 0)
    {
        var day = from;
        while (true)
        {
            if (IsOpen(today, day) && openDays-- == 0)
                return day;
            day = day.PlusDays(1);
        }
    }

    /// <summary>The last open day on or before a day.</summary>
    public static LocalDate OpenDayBefore(LocalDate today, LocalDate day)
    {
        while (!IsOpen(today, day))
            day = day.PlusDays(-1);
        return day;
    }

    private static bool IsOpen(LocalDate today, LocalDate day) =>
        day.DayOfWeek is not (IsoDayOfWeek.Saturday or IsoDayOfWeek.Sunday) && !LanternClosed.Contains(Period.DaysBetween(today, day));

    private static void Add(DemoTables tables, LocalDate today, string id, string name, string zone, int[] closed, int[] carrierClosed, string phone) => tables.Sites.Add(
        ("site_id", id),
        ("name", name),
        ("time_zone", zone),
        ("closed_weekdays", "sat;sun"),
        ("closed_on", Dates(today, closed)),
        ("carrier_closed_on", Dates(today, carrierClosed)),
        ("calendar_known_through", today.PlusDays(365)),
        ("staff_email", $"staff.{id.ToLowerInvariant()}@example.org"),
        ("pharmacist_email", $"pharmacist.{id.ToLowerInvariant()}@example.org"),
        ("manager_email", $"manager.{id.ToLowerInvariant()}@example.org"),
        ("sender_email", $"no-reply.{id.ToLowerInvariant()}@example.org"),
        ("phone", phone),
        ("emergency_number", "911"),
        ("sharps_return", "Close the lid, do not reopen it, and bring the container to our counter. A mail-back box is free on request."),
        ("sharps_return_es", "Cierre la tapa, no la vuelva a abrir y traiga el recipiente a nuestro mostrador. Pida gratis una caja para enviarlo por correo."));

    private static string Dates(LocalDate today, IEnumerable<int> days) =>
        string.Join(';', days.Select(day => LocalDatePattern.Iso.Format(today.PlusDays(day))));
}
