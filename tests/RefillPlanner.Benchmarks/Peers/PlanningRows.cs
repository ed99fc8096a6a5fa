using System.Collections.Generic;
using System.Linq;

namespace RefillPlanner.Benchmarks.Peers;

/// <summary>
/// The rows and columns that planning needs, as statements: each table once. The first column is the key that rows are put together by.
/// This is what the C program streams, so it says what a re-plan is compared with.
/// </summary>
internal static class PlanningRows
{
    private static readonly (string Table, string Columns, string Order)[] Tables =
    [
        ("patients", "patient_id, name, site_id, born_on, phone, email, email_agreed_on, email_opted_out_on, status, language, time_zone, handover", "patient_id"),
        ("courses", "patient_id, course_id, started_on, device_id, expelled, fill_days, early_fill_percent", "patient_id, rowid"),
        ("steps", "course_id, ladder, step, product_id, doses, every_days, dose_days, needs_check, device_id, expelled", "course_id, ladder, step"),
        ("facts", "course_id, fact_id, kind, on_date, product_id, containers, volume, expires_on, lot, until, opened_on, step, days_supply, note", "course_id, on_date, fact_id"),
        ("prescriptions", "course_id, rx_id, issued_on, refills_authorized, valid_through, schedule, prescriber, prescriber_phone", "course_id"),
        ("sharps", "patient_id, sharps_id, capacity, issued_on, returned_on, written_off_on, container_class", "patient_id"),
    ];

    /// <summary>Each table in the order in which it lies in the file.</summary>
    public static IReadOnlyList<string> InRowOrder => [.. Tables.Select(table => $"SELECT {table.Columns} FROM {table.Table};")];

    /// <summary>Each table in the order of its key, for merging.</summary>
    public static IReadOnlyList<string> InKeyOrder => [.. Tables.Select(table => $"SELECT {table.Columns} FROM {table.Table} ORDER BY {table.Order};")];
}
