using System.Collections.Generic;
using System.Data;
using System.Linq;
using Dapper;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>What is on record: kept (sites, patients, products, devices, prescriptions, sharps) or added once (courses, steps, facts).</summary>
/// <remarks>Here: what is few, and whole lists. What comes by the million, row by row, is in the other file of this class.</remarks>
public sealed partial class LedgerStore
{
    private const string SiteColumns = "site_id, name, time_zone, closed_weekdays, closed_on, carrier_closed_on, calendar_known_through, staff_email, pharmacist_email, manager_email, sender_email, phone, emergency_number, sharps_return, sharps_return_es";
    private const string ProductColumns = "product_id, drug, kind, unit, strength_amount, strength_per, volume, dose_amount, in_use_days, in_use_count, dial_step, dial_max, prime, first_prime, beyond_use_days, prepare_open_days, cold, hazardous, max_dose, min_every_days, size_of, label_en, label_es, check_prompts";
    private const string DeviceColumns = "device_id, name, capacity, graduation, marked_in, units_per_ml, dead_space, sharps_per_injection";

    private readonly IDbConnection _connection;
    private readonly IDbTransaction _transaction;
    private readonly Statements _statements;

    internal LedgerStore(IDbConnection connection, IDbTransaction transaction, Statements statements)
    {
        _connection = connection;
        _transaction = transaction;
        _statements = statements;
    }

    /// <summary>All sites, in order of id.</summary>
    public IReadOnlyList<Site> ListSites() => [.. _statements.Prepare($"SELECT {SiteColumns} FROM sites ORDER BY site_id;").List(row => SiteRow.Read(row).ToSite())];

    /// <summary>All products, in order of id.</summary>
    public IReadOnlyList<Product> ListProducts() => [.. _statements.Prepare($"SELECT {ProductColumns} FROM products ORDER BY product_id;").List(row => ProductRow.Read(row).ToProduct())];

    /// <summary>All devices, in order of id.</summary>
    public IReadOnlyList<Device> ListDevices() => [.. _statements.Prepare($"SELECT {DeviceColumns} FROM devices ORDER BY device_id;").List(row => DeviceRow.Read(row).ToDevice())];

    /// <summary>All patients, in order of id.</summary>
    public IReadOnlyList<Patient> ListPatients() => [.. _statements.Prepare($"SELECT {PatientColumns} FROM patients ORDER BY patient_id;").List(ReadPatient)];

    /// <summary>All courses, in order of id.</summary>
    public IReadOnlyList<Course> ListCourses() => [.. _statements.Prepare($"SELECT {CourseColumns} FROM courses ORDER BY course_id;").List(ReadCourse)];

    /// <summary>All steps, in order of course, ladder and number.</summary>
    public IReadOnlyList<Step> ListSteps() => [.. _statements.Prepare($"SELECT {StepColumns} FROM steps ORDER BY course_id, ladder, step;").List(ReadStep)];

    /// <summary>All prescriptions, in order of id.</summary>
    public IReadOnlyList<Prescription> ListPrescriptions() => [.. _statements.Prepare($"SELECT {PrescriptionColumns} FROM prescriptions ORDER BY rx_id;").List(ReadPrescription)];

    /// <summary>All facts, in order of id.</summary>
    public IReadOnlyList<Fact> ListFacts() => [.. _statements.Prepare($"SELECT {FactColumns} FROM facts ORDER BY fact_id;").List(ReadFact)];

    /// <summary>All sharps containers, in order of id.</summary>
    public IReadOnlyList<SharpsContainer> ListSharps() => [.. _statements.Prepare($"SELECT {SharpsColumns} FROM sharps ORDER BY sharps_id;").List(ReadSharps)];

    /// <summary>Keeps a site in place of the one with its id.</summary>
    public void Put(Site site) => _connection.Execute(
        """
        INSERT INTO sites (site_id, name, time_zone, closed_weekdays, closed_on, carrier_closed_on, calendar_known_through, staff_email,
            pharmacist_email, manager_email, sender_email, phone, emergency_number, sharps_return, sharps_return_es)
        VALUES (@Id, @Name, @TimeZone, @ClosedWeekdays, @ClosedOn, @CarrierClosedOn, @CalendarKnownThrough, @StaffEmail,
            @PharmacistEmail, @ManagerEmail, @SenderEmail, @Phone, @EmergencyNumber, @SharpsReturn, @SharpsReturnEs)
        ON CONFLICT (site_id) DO UPDATE SET name = excluded.name, time_zone = excluded.time_zone,
            closed_weekdays = excluded.closed_weekdays, closed_on = excluded.closed_on, carrier_closed_on = excluded.carrier_closed_on,
            calendar_known_through = excluded.calendar_known_through, staff_email = excluded.staff_email,
            pharmacist_email = excluded.pharmacist_email, manager_email = excluded.manager_email, sender_email = excluded.sender_email,
            phone = excluded.phone, emergency_number = excluded.emergency_number, sharps_return = excluded.sharps_return,
            sharps_return_es = excluded.sharps_return_es;
        """,
        SiteRow.Of(site),
        _transaction);

    /// <summary>Keeps a product in place of the one with its id.</summary>
    public void Put(Product product) => _connection.Execute(
        """
        INSERT INTO products (product_id, drug, kind, unit, strength_amount, strength_per, volume, dose_amount, in_use_days, in_use_count,
            dial_step, dial_max, prime, first_prime, beyond_use_days, prepare_open_days, cold, hazardous, max_dose, min_every_days, size_of,
            label_en, label_es, check_prompts)
        VALUES (@Id, @Drug, @Kind, @Unit, @StrengthAmount, @StrengthPer, @Volume, @DoseAmount, @InUseDays, @InUseCount,
            @DialStep, @DialMax, @Prime, @FirstPrime, @BeyondUseDays, @PrepareOpenDays, @Cold, @Hazardous, @MaxDose, @MinEveryDays, @SizeOf,
            @LabelEn, @LabelEs, @CheckPrompts)
        ON CONFLICT (product_id) DO UPDATE SET drug = excluded.drug, kind = excluded.kind, unit = excluded.unit,
            strength_amount = excluded.strength_amount, strength_per = excluded.strength_per, volume = excluded.volume,
            dose_amount = excluded.dose_amount, in_use_days = excluded.in_use_days, in_use_count = excluded.in_use_count,
            dial_step = excluded.dial_step, dial_max = excluded.dial_max, prime = excluded.prime, first_prime = excluded.first_prime,
            beyond_use_days = excluded.beyond_use_days, prepare_open_days = excluded.prepare_open_days, cold = excluded.cold,
            hazardous = excluded.hazardous, max_dose = excluded.max_dose, min_every_days = excluded.min_every_days,
            size_of = excluded.size_of, label_en = excluded.label_en, label_es = excluded.label_es, check_prompts = excluded.check_prompts;
        """,
        ProductRow.Of(product),
        _transaction);

    /// <summary>Keeps a device in place of the one with its id.</summary>
    public void Put(Device device) => _connection.Execute(
        """
        INSERT INTO devices (device_id, name, capacity, graduation, marked_in, units_per_ml, dead_space, sharps_per_injection)
        VALUES (@Id, @Name, @Capacity, @Graduation, @MarkedIn, @UnitsPerMl, @DeadSpace, @SharpsPerInjection)
        ON CONFLICT (device_id) DO UPDATE SET name = excluded.name, capacity = excluded.capacity, graduation = excluded.graduation,
            marked_in = excluded.marked_in, units_per_ml = excluded.units_per_ml, dead_space = excluded.dead_space,
            sharps_per_injection = excluded.sharps_per_injection;
        """,
        DeviceRow.Of(device),
        _transaction);
}
