using System;
using System.Collections.Frozen;
using System.Collections.Generic;
using System.Linq;

namespace RefillPlanner.Service.Import;

/// <summary>The columns of one roster file: a format that other programs rely on. Columns are added, never given a new meaning.</summary>
internal sealed class RosterSchema
{
    public static readonly RosterSchema Sites = new(
        "sites.csv",
        "site_id name time_zone",
        "closed_weekdays closed_on carrier_closed_on calendar_known_through staff_email pharmacist_email manager_email sender_email phone emergency_number sharps_return sharps_return_es");

    public static readonly RosterSchema Patients = new(
        "patients.csv",
        "patient_id name site_id",
        "born_on phone email email_agreed_on email_opted_out_on status language time_zone handover");

    public static readonly RosterSchema Products = new(
        "products.csv",
        "product_id drug kind unit",
        "amount_per_ml amount_per_container volume_ml dose_amount in_use_days in_use_count dial_step dial_max prime_ml first_prime_ml beyond_use_days prepare_open_days cold hazardous max_dose min_every_days size_of label_en label_es check_prompts");

    public static readonly RosterSchema Devices = new(
        "devices.csv",
        "device_id name capacity_ml graduation_ml marked_in",
        "units_per_ml dead_space_ml sharps_per_injection");

    public static readonly RosterSchema Courses = new(
        "courses.csv",
        "course_id patient_id started_on",
        "device_id expelled_ml fill_days early_fill_percent");

    public static readonly RosterSchema Steps = new(
        "steps.csv",
        "course_id step product_id doses every_days",
        "ladder dose_days needs_check device_id expelled_ml");

    public static readonly RosterSchema Prescriptions = new(
        "prescriptions.csv",
        "rx_id course_id issued_on refills_authorized",
        "valid_through schedule prescriber prescriber_phone");

    public static readonly RosterSchema Facts = new(
        "facts.csv",
        "fact_id course_id kind on",
        "product_id containers volume_ml expires_on lot until opened_on step days_supply note");

    public static readonly RosterSchema Sharps = new(
        "sharps.csv",
        "sharps_id patient_id capacity_sharps issued_on",
        "returned_on written_off_on container_class");

    /// <summary>All files, in the order in which they are judged and written.</summary>
    public static readonly IReadOnlyList<RosterSchema> All = [Sites, Patients, Products, Devices, Courses, Steps, Prescriptions, Facts, Sharps];

    private readonly FrozenDictionary<string, int> _places;
    private int? _number;

    private RosterSchema(string file, string required, string optional)
    {
        File = file;
        Required = required.Split(' ');
        Columns = [.. Required, .. optional.Split(' ')];
        _places = Columns.Select((column, place) => KeyValuePair.Create(column, place)).ToFrozenDictionary(StringComparer.Ordinal);
    }

    /// <summary>Its place in <see cref="All"/>.</summary>
    public int Number => _number ??= All.Index().First(pair => pair.Item == this).Index;

    /// <summary>The file's name.</summary>
    public string File { get; }

    /// <summary>Columns that the header must have.</summary>
    public IReadOnlyList<string> Required { get; }

    /// <summary>All columns, in the order in which faults are looked for.</summary>
    public IReadOnlyList<string> Columns { get; }

    /// <summary>The place of a column in <see cref="Columns"/>; -1: there is no such column.</summary>
    public int PlaceOf(string column) => _places.GetValueOrDefault(column, -1);
}
