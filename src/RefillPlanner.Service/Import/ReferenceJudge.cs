using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Judges sites, patients, products, devices and sharps containers: a known id with other content takes its place.</summary>
internal sealed class ReferenceJudge(KnownRoster known, RosterReport report)
{
    private static readonly Dictionary<string, IsoDayOfWeek> Weekdays = new()
    {
        ["mon"] = IsoDayOfWeek.Monday,
        ["tue"] = IsoDayOfWeek.Tuesday,
        ["wed"] = IsoDayOfWeek.Wednesday,
        ["thu"] = IsoDayOfWeek.Thursday,
        ["fri"] = IsoDayOfWeek.Friday,
        ["sat"] = IsoDayOfWeek.Saturday,
        ["sun"] = IsoDayOfWeek.Sunday,
    };

    /// <summary>Good sites that are new or changed.</summary>
    public List<Site> Sites { get; } = [];

    /// <summary>Good patients that are new or changed.</summary>
    public List<Patient> Patients { get; } = [];

    /// <summary>Good products that are new or changed, sizes after what they are a size of.</summary>
    public List<Product> Products { get; } = [];

    /// <summary>Good devices that are new or changed.</summary>
    public List<Device> Devices { get; } = [];

    /// <summary>Good sharps containers that are new or changed.</summary>
    public List<SharpsContainer> Sharps { get; } = [];

    /// <summary>Judges the rows of <c>sites.csv</c>.</summary>
    public void JudgeSites(IReadOnlyList<RosterRow> rows) => JudgeAll(rows, ReadSite, site => site.Id, known.Sites, Sites, SiteKey);

    /// <summary>Judges the rows of <c>patients.csv</c>.</summary>
    public void JudgePatients(IReadOnlyList<RosterRow> rows) => JudgeAll(rows, ReadPatient, patient => patient.Id, known.Patients, Patients, patient => patient);

    /// <summary>Judges the rows of <c>devices.csv</c>.</summary>
    public void JudgeDevices(IReadOnlyList<RosterRow> rows) => JudgeAll(rows, ReadDevice, device => device.Id, known.Devices, Devices, device => device);

    /// <summary>Judges the rows of <c>sharps.csv</c>.</summary>
    public void JudgeSharps(IReadOnlyList<RosterRow> rows) => JudgeAll(rows, ReadSharps, container => container.Id, known.Sharps, Sharps, container => container);

    /// <summary>Judges the rows of <c>products.csv</c>: first those that are a size of nothing.</summary>
    public void JudgeProducts(IReadOnlyList<RosterRow> rows)
    {
        bool IsSize(RosterRow row) => row.Fields.TryGetValue("size_of", out var of) && of.Length > 0;
        JudgeAll([.. rows.Where(row => !IsSize(row)), .. rows.Where(IsSize)], ReadProduct, product => product.Id, known.Products, Products, product => product);
    }

    private void JudgeAll<T>(IReadOnlyList<RosterRow> rows, Func<RowReader, T> read, Func<T, string> id, Dictionary<string, T> onRecord, List<T> good, Func<T, object> content)
        where T : class
    {
        var seen = new HashSet<string>();
        foreach (var row in rows)
        {
            var reader = new RowReader(row);
            var item = read(reader);
            if (reader.Fault is null && !seen.Add(id(item)) && !content(item).Equals(content(onRecord[id(item)])))
                reader.Refuse(RosterColumns.All[row.File].Required[0], "this id stands in the file twice, with other content");
            if (reader.Fault is Refusal fault)
            {
                report.Refuse(fault, row.Raw);
                continue;
            }

            var count = report.Of(row.File);
            if (!onRecord.TryGetValue(id(item), out var before))
                count.New++;
            else if (content(before).Equals(content(item)))
                count.Same++;
            else
                count.Updated++;
            if (before is null || !content(before).Equals(content(item)))
                good.Add(item);
            onRecord[id(item)] = item;
        }
    }

    // Lists are compared by what is in them.
    private static object SiteKey(Site site) => (
        site with { ClosedWeekdays = [], ClosedOn = [], CarrierClosedOn = [] } is var plain ? (plain.Name, plain.TimeZone, plain.CalendarKnownThrough, plain.StaffEmail, plain.PharmacistEmail, plain.ManagerEmail) : default,
        (site.SenderEmail, site.Phone, site.EmergencyNumber, site.SharpsReturn, site.SharpsReturnEs),
        string.Join(';', site.ClosedWeekdays.Select(day => (int)day)),
        string.Join(';', site.ClosedOn),
        string.Join(';', site.CarrierClosedOn));

    private static Site ReadSite(RowReader row)
    {
        var site = new Site
        {
            Id = row.RequiredId("site_id"),
            Name = row.RequiredText("name"),
            TimeZone = row.Zone("time_zone") ?? string.Empty,
            ClosedWeekdays = ReadWeekdays(row),
            ClosedOn = row.Dates("closed_on"),
            CarrierClosedOn = row.Dates("carrier_closed_on"),
            CalendarKnownThrough = row.Date("calendar_known_through"),
            StaffEmail = row.Email("staff_email"),
            PharmacistEmail = row.Email("pharmacist_email"),
            ManagerEmail = row.Email("manager_email"),
            SenderEmail = row.Email("sender_email"),
            Phone = row.Text("phone"),
            EmergencyNumber = row.Text("emergency_number"),
            SharpsReturn = row.Text("sharps_return"),
            SharpsReturnEs = row.Text("sharps_return_es"),
        };
        row.RefuseIf(site.TimeZone.Length == 0, "time_zone", "required");
        return site;
    }

    private static IReadOnlyList<IsoDayOfWeek> ReadWeekdays(RowReader row)
    {
        var days = new List<IsoDayOfWeek>();
        foreach (var word in (row.Text("closed_weekdays") ?? string.Empty).Split(';', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries))
        {
            if (!Weekdays.TryGetValue(word, out var day))
                row.Refuse("closed_weekdays", $"some of {string.Join(", ", Weekdays.Keys)} are wanted, separated by semicolons");
            else if (!days.Contains(day))
                days.Add(day);
        }

        row.RefuseIf(days.Count == 7, "closed_weekdays", "closed on all seven days: no work could ever be planned");
        return days;
    }

    private Patient ReadPatient(RowReader row)
    {
        var patient = new Patient
        {
            Id = row.RequiredId("patient_id"),
            Name = row.RequiredText("name"),
            SiteId = row.RequiredId("site_id"),
            BornOn = row.Date("born_on"),
            Phone = row.Text("phone"),
            Email = row.Email("email"),
            EmailAgreedOn = row.Date("email_agreed_on"),
            EmailOptedOutOn = row.Date("email_opted_out_on"),
            Status = row.Member<PatientStatus>("status") ?? PatientStatus.Active,
            Language = row.Word("language", "en", "es") == "es" ? Language.Spanish : Language.English,
            TimeZone = row.Zone("time_zone"),
            Handover = row.Member<Handover>("handover") ?? Handover.Pickup,
        };
        row.RefuseIf(!known.Sites.ContainsKey(patient.SiteId), "site_id", "no such site");

        // An opt-out on record is never undone by leaving it out.
        return known.Patients.TryGetValue(patient.Id, out var before) && before.EmailOptedOutOn is LocalDate optedOut && !(patient.EmailOptedOutOn > optedOut)
            ? patient with { EmailOptedOutOn = optedOut }
            : patient;
    }

    private Product ReadProduct(RowReader row)
    {
        var kind = RequiredMember<ProductKind>(row, "kind");
        var product = new Product
        {
            Id = row.RequiredId("product_id"),
            Drug = row.RequiredText("drug"),
            Kind = kind,
            Unit = RequiredMember<DoseUnit>(row, "unit"),
            Volume = row.Volume("volume_ml", mayBeZero: false),
            Strength = ReadStrength(row),
            DoseAmount = row.Amount("dose_amount"),
            InUseDays = row.Whole("in_use_days", 1, 1000),
            InUseCount = row.Member<InUseCount>("in_use_count") ?? InUseCount.OpeningDayIsDay1,
            DialStep = row.Amount("dial_step"),
            DialMax = row.Amount("dial_max"),
            Prime = row.Volume("prime_ml", mayBeZero: true) ?? Volume.Zero,
            FirstPrime = row.Volume("first_prime_ml", mayBeZero: true) ?? Volume.Zero,
            BeyondUseDays = row.Whole("beyond_use_days", 0, 3650),
            PrepareOpenDays = row.Whole("prepare_open_days", 0, 60) ?? 0,
            Cold = row.YesNo("cold") ?? false,
            Hazardous = row.YesNo("hazardous") ?? false,
            MaxDose = row.Amount("max_dose"),
            MinEveryDays = row.Whole("min_every_days", 1, 400),
            SizeOf = row.Id("size_of"),
            LabelEn = row.Text("label_en"),
            LabelEs = row.Text("label_es"),
            CheckPrompts = row.Text("check_prompts"),
        };
        if (row.Fault is not null)
            return product;
        if (kind == ProductKind.PrefilledSyringe)
            RefusePrefilled(row, product);
        else
            RefuseFilled(row, product);
        RefuseSize(row, product);
        return product;
    }

    private static T RequiredMember<T>(RowReader row, string column)
        where T : struct, Enum => row.RequiredMember<T>(column);

    private static Strength? ReadStrength(RowReader row)
    {
        var perMl = row.Amount("amount_per_ml");
        var perContainer = row.Amount("amount_per_container");
        row.RefuseIf(perMl is not null && perContainer is not null, "amount_per_container", "either amount_per_ml or amount_per_container is given, not both");
        if (perMl is Amount amount)
            return new Strength(amount, new Volume(Volume.PerMl));
        return perContainer is Amount whole && row.Volume("volume_ml", mayBeZero: false) is Volume volume ? new Strength(whole, volume) : null;
    }

    private static void RefusePrefilled(RowReader row, Product product)
    {
        row.RefuseIf(product.DoseAmount is null, "dose_amount", "required for a prefilled syringe");
        foreach (var column in new[] { "volume_ml", "amount_per_ml", "amount_per_container", "in_use_days", "dial_step", "dial_max" })
            row.RefuseIf(row.Has(column), column, "has no meaning for a prefilled syringe: it holds one fixed dose_amount");
        row.RefuseIf(product.Prime > Volume.Zero, "prime_ml", "only a pen is primed");
        row.RefuseIf(product.FirstPrime > Volume.Zero, "first_prime_ml", "only a pen is primed");
    }

    private static void RefuseFilled(RowReader row, Product product)
    {
        row.RefuseIf(product.Volume is null, "volume_ml", "required for a vial or a pen");
        row.RefuseIf(product.Strength is null, "amount_per_ml", "a strength is required: amount_per_ml or amount_per_container");
        row.RefuseIf(row.Has("dose_amount"), "dose_amount", "only a prefilled syringe has one");
        var isPen = product.Kind == ProductKind.Pen;
        row.RefuseIf(isPen && product.DialStep is null, "dial_step", "required for a pen");
        row.RefuseIf(isPen && product.DialMax is null, "dial_max", "required for a pen");
        row.RefuseIf(!isPen && row.Has("dial_step"), "dial_step", "only a pen is dialled");
        row.RefuseIf(!isPen && row.Has("dial_max"), "dial_max", "only a pen is dialled");
        row.RefuseIf(!isPen && product.Prime > Volume.Zero, "prime_ml", "only a pen is primed");
        row.RefuseIf(!isPen && product.FirstPrime > Volume.Zero, "first_prime_ml", "only a pen is primed");
        if (product is { DialStep: Amount step, DialMax: Amount most })
            row.RefuseIf(most.Billionths % step.Billionths != 0, "dial_max", "no whole number of dial steps");
        row.RefuseIf(product.Prime + product.FirstPrime >= product.Volume, "prime_ml", "priming takes the whole container");
    }

    private void RefuseSize(RowReader row, Product product)
    {
        if (product.SizeOf is not string of || row.Fault is not null)
            return;
        if (of == product.Id || !known.Products.TryGetValue(of, out var whole))
        {
            row.Refuse("size_of", "no such product");
            return;
        }

        row.RefuseIf(whole.SizeOf is not null, "size_of", $"{of} is a size of another product itself");
        row.RefuseIf(whole.Kind != product.Kind || whole.Unit != product.Unit || whole.DoseAmount != product.DoseAmount
            || whole.Strength is Strength strength && !strength.Equals(product.Strength!.Value),
            "size_of", $"{of} has another kind, unit or strength: sizes of one product differ in volume only");
    }

    private static Device ReadDevice(RowReader row)
    {
        var marking = row.RequiredMember<BarrelMarking>("marked_in");
        var unitsPerMl = row.Amount("units_per_ml");
        var device = new Device
        {
            Id = row.RequiredId("device_id"),
            Name = row.RequiredText("name"),
            Capacity = row.RequiredVolume("capacity_ml"),
            Graduation = row.RequiredVolume("graduation_ml"),
            MarkedIn = marking,
            UnitsPerMl = unitsPerMl?.Value,
            DeadSpace = row.Volume("dead_space_ml", mayBeZero: true) ?? Volume.Zero,
            SharpsPerInjection = row.Whole("sharps_per_injection", 1, 2) ?? 1,
        };
        row.RefuseIf(device.Capacity.Nanolitres % device.Graduation.Nanolitres != 0, "capacity_ml", "no whole number of graduations");
        row.RefuseIf(marking == BarrelMarking.Units && unitsPerMl is null, "units_per_ml", "required for a barrel marked in units (100 for U-100)");
        row.RefuseIf(marking == BarrelMarking.Ml && unitsPerMl is not null, "units_per_ml", "a barrel marked in mL has none");
        return device;
    }

    private SharpsContainer ReadSharps(RowReader row)
    {
        var container = new SharpsContainer
        {
            Id = row.RequiredId("sharps_id"),
            PatientId = row.RequiredId("patient_id"),
            Capacity = row.RequiredWhole("capacity_sharps", 1, 100_000),
            IssuedOn = row.RequiredDate("issued_on"),
            ReturnedOn = row.Date("returned_on"),
            WrittenOffOn = row.Date("written_off_on"),
            ContainerClass = row.Text("container_class"),
        };
        row.RefuseIf(!known.Patients.ContainsKey(container.PatientId), "patient_id", "no such patient");
        row.RefuseIf(container.ReturnedOn < container.IssuedOn, "returned_on", "before it was issued");
        row.RefuseIf(container.WrittenOffOn < container.IssuedOn, "written_off_on", "before it was issued");
        return container;
    }
}
