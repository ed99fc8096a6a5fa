using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>One container in the patient's hands.</summary>
internal sealed class LiteralContainer
{
    public required Product Product { get; init; }

    public string? Lot { get; init; }

    public LocalDate? ExpiresOn { get; init; }

    public required LocalDate ArrivedOn { get; init; }

    public required string FactId { get; init; }

    public required int Number { get; init; }

    public LocalDate? OpenedOn { get; set; }

    /// <summary>Millilitres left; a prefilled syringe has none.</summary>
    public decimal Left { get; set; }

    public bool IsSyringe => Product.Kind == ProductKind.PrefilledSyringe;

    public LocalDate? InUseThrough => OpenedOn is LocalDate opened && Product.InUseDays is int days
        ? opened.PlusDays(Product.InUseCount == InUseCount.OpeningDayIsDay1 ? days - 1 : days)
        : null;

    /// <summary>The in-use limit ends it, and not (on the same day or sooner) its beyond-use date.</summary>
    public bool EndsByInUse => InUseThrough is LocalDate inUse && (ExpiresOn is not LocalDate expires || inUse < expires);

    public LocalDate? LastDayOfUse => EndsByInUse ? InUseThrough : ExpiresOn;

    public LiteralContainer Copy() => (LiteralContainer)MemberwiseClone();
}

/// <summary>A container discarded past its date.</summary>
internal sealed record PastDate(LocalDate On, LiteralContainer Container);

/// <summary>What has flowed since some day.</summary>
internal sealed record Tally(decimal Arrived, decimal Used, decimal Lost, decimal Discarded, int Opened)
{
    public static readonly Tally Nothing = new(0, 0, 0, 0, 0);

    public static Tally operator +(Tally left, Tally right) => new(
        left.Arrived + right.Arrived, left.Used + right.Used, left.Lost + right.Lost, left.Discarded + right.Discarded, left.Opened + right.Opened);
}

/// <summary>One family: its sealed containers and at most one open one.</summary>
internal sealed class LiteralStock
{
    public List<LiteralContainer> Sealed { get; set; } = [];

    public LiteralContainer? Open { get; set; }

    public List<PastDate> PastDates { get; } = [];

    /// <summary>Arrivals by size.</summary>
    public List<(string ProductId, LocalDate On)> Arrivals { get; } = [];

    /// <summary>Counts by size.</summary>
    public List<(string ProductId, LocalDate On)> Counts { get; } = [];

    /// <summary>Today's flow.</summary>
    public Tally Today { get; set; } = Tally.Nothing;

    public IEnumerable<LiteralContainer> Everything => Open is null ? Sealed : Sealed.Append(Open);

    /// <summary>In the order in which they would be opened.</summary>
    public List<LiteralContainer> ListSealed(string? productId = null) =>
        [.. Sealed.Where(container => productId is null || container.Product.Id == productId)
            .OrderBy(container => container.ExpiresOn ?? LocalDate.MaxIsoValue)
            .ThenBy(container => container.ArrivedOn)
            .ThenBy(container => container.FactId, StringComparer.Ordinal)
            .ThenBy(container => container.Number)];

    public void Arrive(Fact fill, Product product, LocalDate today)
    {
        for (var number = 1; number <= fill.Containers!.Value; number++)
            Add(product, fill.Lot, fill.ExpiresOn, today, fill.Id, number);
        Arrivals.Add((product.Id, today));
        Today += Tally.Nothing with { Arrived = fill.Containers.Value * (product.Volume?.Ml ?? 0) };
    }

    public void DiscardOpen()
    {
        if (Open is not null)
            Today += Tally.Nothing with { Discarded = Open.Left };
        Open = null;
    }

    public void DiscardSealed(LiteralContainer container)
    {
        Sealed.Remove(container);
        Today += Tally.Nothing with { Discarded = container.Left };
    }

    /// <summary>Opens a sealed container; what was open is discarded.</summary>
    public void OpenUp(LiteralContainer container, LocalDate today)
    {
        DiscardOpen();
        Sealed.Remove(container);
        Open = container;
        container.OpenedOn = today;
        var prime = FirstPrimeOf(container.Product);
        container.Left -= prime;
        Today += Tally.Nothing with { Lost = prime, Opened = 1 };
    }

    public static decimal FirstPrimeOf(Product product) => product.Kind == ProductKind.Pen ? product.FirstPrime.Ml : 0;

    public void DiscardPastDate(LocalDate today)
    {
        foreach (var container in Everything.Where(container => container.LastDayOfUse < today).ToList())
        {
            PastDates.Add(new PastDate(today, container));
            if (ReferenceEquals(container, Open))
                DiscardOpen();
            else
                DiscardSealed(container);
        }
    }

    public void Count(Fact count, Product product, LocalDate today, Action<string> find)
    {
        var onRecord = Everything.Where(container => container.Product.Id == product.Id).ToList();
        var walksOpen = Open?.Product.Id == product.Id ? Open : null;
        var volume = count.Volume?.Ml ?? 0;
        if (volume > 0)
            CountOpen(count, product, walksOpen, volume, today, find);
        else if (walksOpen is not null)
            Open = null;

        var known = ListSealed(product.Id);
        var counted = count.Containers ?? 0;
        if (counted < known.Count)
            find(FindingCode.CountBelowRecord);
        if (counted > known.Count)
            find(FindingCode.CountExceedsRecord);
        for (var i = 0; i < known.Count - counted; i++)
            Sealed.Remove(known[i]);
        var earliest = onRecord.Min(container => container.ExpiresOn);
        for (var number = 1; number <= counted - known.Count; number++)
            Add(product, null, earliest, today, count.Id, number);
        Counts.Add((product.Id, today));
    }

    private void CountOpen(Fact count, Product product, LiteralContainer? walksOpen, decimal volume, LocalDate today, Action<string> find)
    {
        var open = walksOpen ?? ListSealed(product.Id).FirstOrDefault()
            ?? new LiteralContainer { Product = product, ArrivedOn = today, FactId = count.Id, Number = 0 };
        Sealed.Remove(open);
        Open = open;
        open.Left = volume;
        if (count.OpenedOn is not null)
        {
            open.OpenedOn = count.OpenedOn;
        }
        else if (walksOpen is null)
        {
            find(FindingCode.OpeningDateUnknown);
            var lastCount = Counts.Where(other => other.ProductId == product.Id).Max(other => (LocalDate?)other.On);
            var arrivals = Arrivals.Where(other => other.ProductId == product.Id && (lastCount is not LocalDate last || other.On > last)).ToList();
            open.OpenedOn = arrivals.Min(other => (LocalDate?)other.On) ?? lastCount?.PlusDays(1);
            if (open.OpenedOn is null)
                DiscardOpen();
        }
    }

    private void Add(Product product, string? lot, LocalDate? expiresOn, LocalDate today, string factId, int number) =>
        Sealed.Add(new LiteralContainer
        {
            Product = product,
            Lot = lot,
            ExpiresOn = expiresOn,
            ArrivedOn = today,
            FactId = factId,
            Number = number,
            Left = product.Volume?.Ml ?? 0,
        });
}
