using Ical.Net;
using Ical.Net.CalendarComponents;
using Ical.Net.DataTypes;
using Ical.Net.Serialization;
using NodaTime;
using RefillPlanner.Core.Messages;

namespace RefillPlanner.Service.Mail;

/// <summary>What one day of a calendar is written from.</summary>
/// <param name="Sheet">The sheet.</param>
/// <param name="Day">The dosing day.</param>
public sealed record SheetEntry(PatientSheet Sheet, SheetDay Day);

/// <summary>
/// The dosing days of a sheet as a calendar (RFC 5545): a whole day each, at no time and in no zone, so that it stays on its date wherever the patient is
/// and when the clocks change. It asks for no answer and takes up no time. The same sheet, made at the same instant, gives the same bytes.
/// </summary>
internal sealed class SheetCalendar
{
    private const string Product = "-//RefillPlanner//Dosing days//EN";
    private readonly Calendar _calendar = new() { ProductId = Product };
    private readonly CalDateTime _madeAt;

    /// <summary>An empty calendar.</summary>
    /// <param name="madeAt">When it is made.</param>
    public SheetCalendar(Instant madeAt)
    {
        var utc = madeAt.InUtc();
        _madeAt = new CalDateTime(utc.Year, utc.Month, utc.Day, utc.Hour, utc.Minute, utc.Second, CalDateTime.UtcTzId);
    }

    /// <summary>Adds a day.</summary>
    /// <param name="on">Its date.</param>
    /// <param name="uid">Its name, made from its meaning: a later calendar changes the same day instead of doubling it.</param>
    /// <param name="words">What it says: the first line is its title.</param>
    public void Add(LocalDate on, string uid, string words)
    {
        var title = words.Split('\n', 2);
        _calendar.Events.Add(new CalendarEvent
        {
            Uid = uid,
            DtStamp = _madeAt,
            Start = new CalDateTime(on.Year, on.Month, on.Day),
            Summary = title[0].Trim(),
            Description = title.Length > 1 ? title[1].Trim() : null,
            Class = "PRIVATE",
            Transparency = TransparencyType.Transparent,
        });
    }

    /// <summary>The text of the calendar: lines of at most 75 octets, each ended by CR and LF (RFC 5545, section 3.1).</summary>
    public string Write() => new CalendarSerializer().SerializeToString(_calendar)!;
}
