using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>A row of <c>devices</c>.</summary>
internal sealed record DeviceRow
{
    /// <summary>How many columns are in the digest; it stands after them.</summary>
    public const int Digested = 8;

    public required string Id { get; init; }
    public required string Name { get; init; }
    public required Volume Capacity { get; init; }
    public required Volume Graduation { get; init; }
    public required string MarkedIn { get; init; }
    public Amount? UnitsPerMl { get; init; }
    public required Volume DeadSpace { get; init; }
    public required int SharpsPerInjection { get; init; }

    /// <summary>The row of a statement that gives all columns and the digest of them.</summary>
    /// <exception cref="DamagedRowException">It is not as it was written.</exception>
    public static DeviceRow Read(PreparedStatement row) => ReadWhole(row.Whole("devices", Digested));

    /// <summary>Binds all columns and the digest of them.</summary>
    public PreparedStatement Bind(PreparedStatement statement) => statement.BeginDigest()
        .Bind(Id).Bind(Name).Bind(Capacity.Nanolitres).Bind(Graduation.Nanolitres).Bind(MarkedIn).Bind(UnitsPerMl?.Billionths).Bind(DeadSpace.Nanolitres)
        .Bind(SharpsPerInjection).BindDigest();

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

    private static DeviceRow ReadWhole(PreparedStatement row) => new()
    {
        Id = row.Text(0),
        Name = row.Text(1),
        Capacity = new Volume(row.Long(2)),
        Graduation = new Volume(row.Long(3)),
        MarkedIn = row.Text(4),
        UnitsPerMl = row.AmountOrNull(5),
        DeadSpace = new Volume(row.Long(6)),
        SharpsPerInjection = row.Whole(7),
    };
}
