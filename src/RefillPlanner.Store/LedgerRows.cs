using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>A row of <c>sites</c>.</summary>
internal sealed record SiteRow
{
    public required string Id { get; init; }
    public required string Name { get; init; }
    public required string TimeZone { get; init; }
    public required string ClosedWeekdays { get; init; }
    public required string ClosedOn { get; init; }
    public required string CarrierClosedOn { get; init; }
    public LocalDate? CalendarKnownThrough { get; init; }
    public string? StaffEmail { get; init; }
    public string? PharmacistEmail { get; init; }
    public string? ManagerEmail { get; init; }
    public string? SenderEmail { get; init; }
    public string? Phone { get; init; }
    public string? EmergencyNumber { get; init; }
    public string? SharpsReturn { get; init; }
    public string? SharpsReturnEs { get; init; }

    public static SiteRow Of(Site site) => new()
    {
        Id = site.Id,
        Name = site.Name,
        TimeZone = site.TimeZone,
        ClosedWeekdays = Columns.Join(site.ClosedWeekdays),
        ClosedOn = Columns.Join(site.ClosedOn),
        CarrierClosedOn = Columns.Join(site.CarrierClosedOn),
        CalendarKnownThrough = site.CalendarKnownThrough,
        StaffEmail = site.StaffEmail,
        PharmacistEmail = site.PharmacistEmail,
        ManagerEmail = site.ManagerEmail,
        SenderEmail = site.SenderEmail,
        Phone = site.Phone,
        EmergencyNumber = site.EmergencyNumber,
        SharpsReturn = site.SharpsReturn,
        SharpsReturnEs = site.SharpsReturnEs,
    };

    public Site ToSite() => new()
    {
        Id = Id,
        Name = Name,
        TimeZone = TimeZone,
        ClosedWeekdays = Columns.Weekdays(ClosedWeekdays),
        ClosedOn = Columns.Dates(ClosedOn),
        CarrierClosedOn = Columns.Dates(CarrierClosedOn),
        CalendarKnownThrough = CalendarKnownThrough,
        StaffEmail = StaffEmail,
        PharmacistEmail = PharmacistEmail,
        ManagerEmail = ManagerEmail,
        SenderEmail = SenderEmail,
        Phone = Phone,
        EmergencyNumber = EmergencyNumber,
        SharpsReturn = SharpsReturn,
        SharpsReturnEs = SharpsReturnEs,
    };
}

/// <summary>A row of <c>patients</c>.</summary>
internal sealed record PatientRow
{
    public required string Id { get; init; }
    public required string Name { get; init; }
    public required string SiteId { get; init; }
    public LocalDate? BornOn { get; init; }
    public string? Phone { get; init; }
    public string? Email { get; init; }
    public LocalDate? EmailAgreedOn { get; init; }
    public LocalDate? EmailOptedOutOn { get; init; }
    public required string Status { get; init; }
    public required string Language { get; init; }
    public string? TimeZone { get; init; }
    public required string Handover { get; init; }

    public static PatientRow Of(Patient patient) => new()
    {
        Id = patient.Id,
        Name = patient.Name,
        SiteId = patient.SiteId,
        BornOn = patient.BornOn,
        Phone = patient.Phone,
        Email = patient.Email,
        EmailAgreedOn = patient.EmailAgreedOn,
        EmailOptedOutOn = patient.EmailOptedOutOn,
        Status = Kebab.Of(patient.Status),
        Language = Kebab.Of(patient.Language),
        TimeZone = patient.TimeZone,
        Handover = Kebab.Of(patient.Handover),
    };

    public Patient ToPatient() => new()
    {
        Id = Id,
        Name = Name,
        SiteId = SiteId,
        BornOn = BornOn,
        Phone = Phone,
        Email = Email,
        EmailAgreedOn = EmailAgreedOn,
        EmailOptedOutOn = EmailOptedOutOn,
        Status = Columns.Member<PatientStatus>(Status),
        Language = Columns.Member<Language>(Language),
        TimeZone = TimeZone,
        Handover = Columns.Member<Handover>(Handover),
    };
}

/// <summary>A row of <c>products</c>.</summary>
internal sealed record ProductRow
{
    public required string Id { get; init; }
    public required string Drug { get; init; }
    public required string Kind { get; init; }
    public required string Unit { get; init; }
    public Amount? StrengthAmount { get; init; }
    public Volume? StrengthPer { get; init; }
    public Volume? Volume { get; init; }
    public Amount? DoseAmount { get; init; }
    public int? InUseDays { get; init; }
    public required string InUseCount { get; init; }
    public Amount? DialStep { get; init; }
    public Amount? DialMax { get; init; }
    public required Volume Prime { get; init; }
    public required Volume FirstPrime { get; init; }
    public int? BeyondUseDays { get; init; }
    public required int PrepareOpenDays { get; init; }
    public required bool Cold { get; init; }
    public required bool Hazardous { get; init; }
    public Amount? MaxDose { get; init; }
    public int? MinEveryDays { get; init; }
    public string? SizeOf { get; init; }
    public string? LabelEn { get; init; }
    public string? LabelEs { get; init; }
    public string? CheckPrompts { get; init; }

    public static ProductRow Of(Product product) => new()
    {
        Id = product.Id,
        Drug = product.Drug,
        Kind = Kebab.Of(product.Kind),
        Unit = Kebab.Of(product.Unit),
        StrengthAmount = product.Strength?.Amount,
        StrengthPer = product.Strength?.Per,
        Volume = product.Volume,
        DoseAmount = product.DoseAmount,
        InUseDays = product.InUseDays,
        InUseCount = Kebab.Of(product.InUseCount),
        DialStep = product.DialStep,
        DialMax = product.DialMax,
        Prime = product.Prime,
        FirstPrime = product.FirstPrime,
        BeyondUseDays = product.BeyondUseDays,
        PrepareOpenDays = product.PrepareOpenDays,
        Cold = product.Cold,
        Hazardous = product.Hazardous,
        MaxDose = product.MaxDose,
        MinEveryDays = product.MinEveryDays,
        SizeOf = product.SizeOf,
        LabelEn = product.LabelEn,
        LabelEs = product.LabelEs,
        CheckPrompts = product.CheckPrompts,
    };

    public Product ToProduct() => new()
    {
        Id = Id,
        Drug = Drug,
        Kind = Columns.Member<ProductKind>(Kind),
        Unit = Columns.Member<DoseUnit>(Unit),
        Strength = StrengthAmount is Amount amount && StrengthPer is Volume per ? new Strength(amount, per) : null,
        Volume = Volume,
        DoseAmount = DoseAmount,
        InUseDays = InUseDays,
        InUseCount = Columns.Member<InUseCount>(InUseCount),
        DialStep = DialStep,
        DialMax = DialMax,
        Prime = Prime,
        FirstPrime = FirstPrime,
        BeyondUseDays = BeyondUseDays,
        PrepareOpenDays = PrepareOpenDays,
        Cold = Cold,
        Hazardous = Hazardous,
        MaxDose = MaxDose,
        MinEveryDays = MinEveryDays,
        SizeOf = SizeOf,
        LabelEn = LabelEn,
        LabelEs = LabelEs,
        CheckPrompts = CheckPrompts,
    };
}

/// <summary>A row of <c>devices</c>.</summary>
internal sealed record DeviceRow
{
    public required string Id { get; init; }
    public required string Name { get; init; }
    public required Volume Capacity { get; init; }
    public required Volume Graduation { get; init; }
    public required string MarkedIn { get; init; }
    public Amount? UnitsPerMl { get; init; }
    public required Volume DeadSpace { get; init; }
    public required int SharpsPerInjection { get; init; }

    public static DeviceRow Of(Device device) => new()
    {
        Id = device.Id,
        Name = device.Name,
        Capacity = device.Capacity,
        Graduation = device.Graduation,
        MarkedIn = Kebab.Of(device.MarkedIn),
        UnitsPerMl = device.UnitsPerMl is decimal units ? Amount.From(units) : null,
        DeadSpace = device.DeadSpace,
        SharpsPerInjection = device.SharpsPerInjection,
    };

    public Device ToDevice() => new()
    {
        Id = Id,
        Name = Name,
        Capacity = Capacity,
        Graduation = Graduation,
        MarkedIn = Columns.Member<BarrelMarking>(MarkedIn),
        UnitsPerMl = UnitsPerMl?.Value,
        DeadSpace = DeadSpace,
        SharpsPerInjection = SharpsPerInjection,
    };
}

/// <summary>A row of <c>steps</c>.</summary>
internal sealed record StepRow
{
    public required string CourseId { get; init; }
    public required int Ladder { get; init; }
    public required int Number { get; init; }
    public required string ProductId { get; init; }
    public required string Doses { get; init; }
    public required int EveryDays { get; init; }
    public int? DoseDays { get; init; }
    public required bool NeedsCheck { get; init; }
    public string? DeviceId { get; init; }
    public Volume? Expelled { get; init; }

    public static StepRow Of(Step step) => new()
    {
        CourseId = step.CourseId,
        Ladder = step.Ladder,
        Number = step.Number,
        ProductId = step.ProductId,
        Doses = Columns.Join(step.Doses),
        EveryDays = step.EveryDays,
        DoseDays = step.DoseDays,
        NeedsCheck = step.NeedsCheck,
        DeviceId = step.DeviceId,
        Expelled = step.Expelled,
    };

    public Step ToStep() => new()
    {
        CourseId = CourseId,
        Ladder = Ladder,
        Number = Number,
        ProductId = ProductId,
        Doses = Columns.Amounts(Doses),
        EveryDays = EveryDays,
        DoseDays = DoseDays,
        NeedsCheck = NeedsCheck,
        DeviceId = DeviceId,
        Expelled = Expelled,
    };
}

/// <summary>A row of <c>facts</c>, without who recorded it.</summary>
internal sealed record FactRow
{
    public required string Id { get; init; }
    public required string CourseId { get; init; }
    public required string Kind { get; init; }
    public required LocalDate On { get; init; }
    public string? ProductId { get; init; }
    public int? Containers { get; init; }
    public Volume? Volume { get; init; }
    public LocalDate? ExpiresOn { get; init; }
    public string? Lot { get; init; }
    public LocalDate? Until { get; init; }
    public LocalDate? OpenedOn { get; init; }
    public int? Step { get; init; }
    public int? DaysSupply { get; init; }
    public string? Note { get; init; }

    public Fact ToFact() => new()
    {
        Id = Id,
        CourseId = CourseId,
        Kind = Columns.Member<FactKind>(Kind),
        On = On,
        ProductId = ProductId,
        Containers = Containers,
        Volume = Volume,
        ExpiresOn = ExpiresOn,
        Lot = Lot,
        Until = Until,
        OpenedOn = OpenedOn,
        Step = Step,
        DaysSupply = DaysSupply,
        Note = Note,
    };
}
