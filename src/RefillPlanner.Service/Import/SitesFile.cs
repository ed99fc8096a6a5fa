using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Rows of <c>sites.csv</c>.</summary>
internal static class SitesFile
{
    public static Site Parse(RowReading row) => new()
    {
        Id = row.Required<string>("site_id", TextValue.Id),
        Name = row.Required<string>("name", TextValue.Line),
        TimeZone = row.Required<string>("time_zone", TextValue.Zone),
        ClosedWeekdays = row.Or<IReadOnlyList<IsoDayOfWeek>>("closed_weekdays", FieldValue.ClosedWeekdays, []),
        ClosedOn = row.Or<IReadOnlyList<LocalDate>>("closed_on", FieldValue.Dates, []),
        CarrierClosedOn = row.Or<IReadOnlyList<LocalDate>>("carrier_closed_on", FieldValue.Dates, []),
        CalendarKnownThrough = row.Optional<LocalDate>("calendar_known_through", FieldValue.Date),
        StaffEmail = row.OptionalText("staff_email", TextValue.Email),
        PharmacistEmail = row.OptionalText("pharmacist_email", TextValue.Email),
        ManagerEmail = row.OptionalText("manager_email", TextValue.Email),
        SenderEmail = row.OptionalText("sender_email", TextValue.Email),
        Phone = row.OptionalText("phone", TextValue.Line),
        EmergencyNumber = row.OptionalText("emergency_number", TextValue.Line),
        SharpsReturn = row.OptionalText("sharps_return", TextValue.Paragraphs),
        SharpsReturnEs = row.OptionalText("sharps_return_es", TextValue.Paragraphs),
    };
}
