using System;
using System.Collections.Generic;
using System.Linq;
using System.Text;
using CsvHelper;

namespace RefillPlanner.Service.Import;

/// <summary>One row of a roster file, as read.</summary>
/// <param name="File">File name.</param>
/// <param name="Line">Physical line where it begins.</param>
/// <param name="Raw">The row exactly as it stands in the file.</param>
/// <param name="Fields">The fields by column.</param>
public sealed record RosterRow(string File, long Line, string Raw, IReadOnlyDictionary<string, string> Fields);

/// <summary>The columns of a roster file.</summary>
/// <param name="File">File name.</param>
/// <param name="Required">Columns that must be there.</param>
/// <param name="Optional">Columns that may be left out.</param>
public sealed record RosterColumns(string File, IReadOnlyList<string> Required, IReadOnlyList<string> Optional)
{
    /// <summary>The columns of every file: a stable format.</summary>
    public static readonly IReadOnlyDictionary<string, RosterColumns> All = new[]
    {
        Of("sites.csv", "site_id name time_zone", "closed_weekdays closed_on carrier_closed_on calendar_known_through staff_email pharmacist_email manager_email sender_email phone emergency_number sharps_return sharps_return_es"),
        Of("patients.csv", "patient_id name site_id", "born_on phone email email_agreed_on email_opted_out_on status language time_zone handover"),
        Of("products.csv", "product_id drug kind unit", "amount_per_ml amount_per_container volume_ml dose_amount in_use_days in_use_count dial_step dial_max prime_ml first_prime_ml beyond_use_days prepare_open_days cold hazardous max_dose min_every_days size_of label_en label_es check_prompts"),
        Of("devices.csv", "device_id name capacity_ml graduation_ml marked_in", "units_per_ml dead_space_ml sharps_per_injection"),
        Of("courses.csv", "course_id patient_id started_on", "device_id expelled_ml fill_days early_fill_percent"),
        Of("steps.csv", "course_id step product_id doses every_days", "ladder dose_days needs_check device_id expelled_ml"),
        Of("prescriptions.csv", "rx_id course_id issued_on refills_authorized", "valid_through schedule prescriber prescriber_phone"),
        Of("facts.csv", "fact_id course_id kind on", "product_id containers volume_ml expires_on lot until opened_on step days_supply note"),
        Of("sharps.csv", "sharps_id patient_id capacity_sharps issued_on", "returned_on written_off_on container_class"),
    }.ToDictionary(columns => columns.File);

    private static RosterColumns Of(string file, string required, string optional) => new(file, required.Split(' '), optional.Split(' '));
}

/// <summary>A roster file taken apart: its header and its rows.</summary>
public sealed class RosterTable
{
    private const int MostRows = 200_000;
    private const int LongestField = 64 * 1024;

    private RosterTable(string header, IReadOnlyList<RosterRow> rows)
    {
        Header = header;
        Rows = rows;
    }

    /// <summary>The header exactly as it stands in the file.</summary>
    public string Header { get; }

    /// <summary>The rows whose fields are whole.</summary>
    public IReadOnlyList<RosterRow> Rows { get; }

    /// <summary>Takes a file apart; null: the file as a whole is refused.</summary>
    /// <param name="columns">The columns that it may have.</param>
    /// <param name="text">Its text.</param>
    /// <param name="refuse">Told of each refusal with the raw row (null: the whole file).</param>
    public static RosterTable? Read(RosterColumns columns, string text, Action<Refusal, string?> refuse)
    {
        var quoting = new List<long>();
        using var reader = CsvReader.FromText(text, new CsvReaderOptions
        {
            Separator = ',',
            TrackLineNumbers = true,
            MaxRecordSize = RosterFiles.LargestBytes,
            FieldCountMismatch = CsvFieldCountHandling.Allow,
            OnMalformedRecord = malformed => quoting.Add(malformed.LineNumber),
        });
        reader.ReadHeader();
        var headers = reader.Headers.ToArray();
        if (FindHeaderFault(columns, headers) is (string column, string reason))
        {
            refuse(new Refusal(columns.File, 1, column, string.Empty, reason), null);
            return null;
        }

        var rows = new List<RosterRow>();
        while (reader.Read())
        {
            var raw = Encoding.UTF8.GetString(reader.RawRecord);
            var line = reader.LineNumber;
            if (rows.Count == MostRows)
            {
                refuse(new Refusal(columns.File, line, string.Empty, string.Empty, "more than 200,000 rows: split the file"), null);
                break;
            }

            if (quoting.Contains(line))
                refuse(new Refusal(columns.File, line, string.Empty, Printable.Of(raw), "its quotation marks do not pair up"), raw);
            else if (reader.FieldCount != headers.Length)
                refuse(new Refusal(columns.File, line, string.Empty, Printable.Of(raw), $"has {reader.FieldCount} fields, the header has {headers.Length}"), raw);
            else if (Enumerable.Range(0, headers.Length).FirstOrDefault(index => reader.GetSpan(index).Length > LongestField, -1) is >= 0 and var index)
                refuse(new Refusal(columns.File, line, headers[index], string.Empty, "longer than 64 kB"), raw);
            else
                rows.Add(new RosterRow(columns.File, line, raw, Fields(reader, headers)));
        }

        return new RosterTable(string.Join(',', headers), rows);
    }

    private static Dictionary<string, string> Fields(CsvReader reader, string[] headers)
    {
        var fields = new Dictionary<string, string>(headers.Length, StringComparer.Ordinal);
        for (var index = 0; index < headers.Length; index++)
            fields.Add(headers[index], reader.GetString(index));
        return fields;
    }

    private static (string Column, string Reason)? FindHeaderFault(RosterColumns columns, string[] headers)
    {
        string[] known = [.. columns.Required, .. columns.Optional];
        if (headers.FirstOrDefault(header => !known.Contains(header, StringComparer.Ordinal)) is string unknown)
            return (Printable.Of(unknown), $"unknown column; {columns.File} has {string.Join(", ", known)}");
        if (headers.GroupBy(header => header).FirstOrDefault(group => group.Count() > 1) is { } doubled)
            return (doubled.Key, "stands in the header twice");
        return columns.Required.FirstOrDefault(column => !headers.Contains(column, StringComparer.Ordinal)) is string missing
            ? (missing, "required, and not in the header")
            : null;
    }
}
