using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>A row of <c>products</c>.</summary>
internal sealed record ProductRow
{
    /// <summary>How many columns are in the digest; it stands after them.</summary>
    public const int Digested = 24;

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

    /// <summary>The row of a statement that gives all columns and the digest of them.</summary>
    /// <exception cref="DamagedRowException">It is not as it was written.</exception>
    public static ProductRow Read(PreparedStatement row) => ReadWhole(row.Whole("products", Digested));

    /// <summary>Binds all columns and the digest of them.</summary>
    public PreparedStatement Bind(PreparedStatement statement) => statement.BeginDigest()
        .Bind(Id).Bind(Drug).Bind(Kind).Bind(Unit).Bind(StrengthAmount?.Billionths).Bind(StrengthPer?.Nanolitres).Bind(Volume?.Nanolitres)
        .Bind(DoseAmount?.Billionths).Bind(InUseDays).Bind(InUseCount).Bind(DialStep?.Billionths).Bind(DialMax?.Billionths).Bind(Prime.Nanolitres)
        .Bind(FirstPrime.Nanolitres).Bind(BeyondUseDays).Bind(PrepareOpenDays).Bind(Cold ? 1 : 0).Bind(Hazardous ? 1 : 0).Bind(MaxDose?.Billionths)
        .Bind(MinEveryDays).Bind(SizeOf).Bind(LabelEn).Bind(LabelEs).Bind(CheckPrompts).BindDigest();

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

    private static ProductRow ReadWhole(PreparedStatement row) => new()
    {
        Id = row.Text(0),
        Drug = row.Text(1),
        Kind = row.Text(2),
        Unit = row.Text(3),
        StrengthAmount = row.AmountOrNull(4),
        StrengthPer = row.VolumeOrNull(5),
        Volume = row.VolumeOrNull(6),
        DoseAmount = row.AmountOrNull(7),
        InUseDays = row.WholeOrNull(8),
        InUseCount = row.Text(9),
        DialStep = row.AmountOrNull(10),
        DialMax = row.AmountOrNull(11),
        Prime = new Volume(row.Long(12)),
        FirstPrime = new Volume(row.Long(13)),
        BeyondUseDays = row.WholeOrNull(14),
        PrepareOpenDays = row.Whole(15),
        Cold = row.Long(16) != 0,
        Hazardous = row.Long(17) != 0,
        MaxDose = row.AmountOrNull(18),
        MinEveryDays = row.WholeOrNull(19),
        SizeOf = row.TextOrNull(20),
        LabelEn = row.TextOrNull(21),
        LabelEs = row.TextOrNull(22),
        CheckPrompts = row.TextOrNull(23),
    };
}
