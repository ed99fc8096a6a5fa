using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>Section 4 of the supply model: one walk through the calendar, with one answer to which day is dosed.</summary>
internal sealed class LiteralCourse
{
    private readonly LiteralRecord _record;
    private readonly Policy _policy;
    private readonly LiteralDays _days;
    private readonly SortedDictionary<string, LiteralStock> _stocks = new(StringComparer.Ordinal);
    private readonly List<(LocalDate ArrivesOn, Fact Fill)> _fills = [];

    private readonly LocalDate[] _watched;

    /// <summary>Walks a course.</summary>
    /// <param name="record">What counts of it.</param>
    /// <param name="policy">The settings.</param>
    /// <param name="days">Its dosing days.</param>
    /// <param name="watched">Days on which it is to be noted what lots are in hand: see <see cref="Lots"/>.</param>
    public LiteralCourse(LiteralRecord record, Policy policy, LiteralDays days, params LocalDate[] watched)
    {
        _watched = watched;
        _record = record;
        _policy = policy;
        _days = days;
        foreach (var product in record.Course.Products.Values)
            _stocks.TryAdd(product.Family, new LiteralStock());
        foreach (var fill in record.Of(FactKind.Dispensed))
        {
            var received = record.Of(FactKind.Received).FirstOrDefault(fact => fact.Note == fill.Id);
            _fills.Add((received?.On ?? fill.Until ?? fill.On, fill));
        }

        Walk();
    }

    public Outcome Outcome { get; private set; } = Outcome.BeyondHorizon;

    public HashSet<string> Found { get; } = [];

    public LocalDate? RunOutOn { get; private set; }

    public LocalDate? LastCoveredOn { get; private set; }

    public int DosesCovered { get; private set; }

    public BindingLimit? Binding { get; private set; }

    /// <summary>The flow of the whole walk.</summary>
    public Tally Whole { get; private set; } = Tally.Nothing;

    /// <summary>The flow from the as-of date on.</summary>
    public Tally FromAsOf { get; private set; } = Tally.Nothing;

    /// <summary>What was in hand on the watched days, before their doses: lot and product of each container with something in it.</summary>
    public Dictionary<LocalDate, List<(string? Lot, string ProductId)>> Lots { get; } = [];

    public decimal LeftOver => _stocks.Values.Sum(stock => stock.Everything.Sum(container => container.Left));

    /// <summary>The dosing days walked, in order, and whether any dose of them was given.</summary>
    public List<(LiteralDay Day, bool Given)> Walked { get; } = [];

    private void Walk()
    {
        var first = _record.Facts.Select(fact => fact.On).Append(_record.Course.Course.StartedOn).Append(_record.AsOf).Min();
        var last = _record.AsOf.PlusDays(_policy.HorizonDays);
        var over = false;
        for (var today = first; today <= last && !over; today = today.PlusDays(1))
        {
            foreach (var stock in _stocks.Values)
                stock.Today = Tally.Nothing;
            Events(today);
            if (_watched.Contains(today))
                Lots[today] = ListLots();
            if (today == _days.EndsOn)
            {
                Outcome = Outcome.Ends;
                over = true;
            }
            else
            {
                over = Doses(today);
            }

            foreach (var stock in _stocks.Values)
            {
                Whole += stock.Today;
                if (today >= _record.AsOf)
                    FromAsOf += stock.Today;
            }
        }

        foreach (var day in _watched)
            Lots.TryAdd(day, day < first ? [] : ListLots());
    }

    private List<(string? Lot, string ProductId)> ListLots() =>
        [.. _stocks.Values.SelectMany(stock => stock.Everything).Where(container => container.IsSyringe || container.Left > 0).Select(container => (container.Lot, container.Product.Id))];

    private void Events(LocalDate today)
    {
        foreach (var (_, fill) in _fills.Where(fill => fill.ArrivesOn == today).OrderBy(fill => fill.Fill.Id, StringComparer.Ordinal))
            StockOf(fill.ProductId!).Arrive(fill, ProductOf(fill.ProductId!), today);
        foreach (var count in _record.Of(FactKind.Counted).Where(fact => fact.On == today))
            StockOf(count.ProductId!).Count(count, ProductOf(count.ProductId!), today, code => Found.Add(code));
        foreach (var stock in _stocks.Values)
            stock.DiscardPastDate(today);
        foreach (var fact in _record.Of(FactKind.Opened).Where(fact => fact.On == today))
            Opened(fact, today);
        foreach (var fact in _record.Of(FactKind.Discarded).Where(fact => fact.On == today))
            Discarded(fact);
    }

    private void Opened(Fact fact, LocalDate today)
    {
        var stock = StockOf(fact.ProductId!);
        if (stock.ListSealed(fact.ProductId).FirstOrDefault() is not { } fresh)
        {
            Found.Add(FindingCode.OpenedWithoutStock);
            return;
        }

        var next = _days.All.Find(day => day.On >= today && !day.Paused && !_record.MissedOn.Contains(day.On));
        if (stock.Open is not null && next is not null && ReferenceEquals(StockOf(next.Step.ProductId), stock))
        {
            var draw = LiteralDraw.Of(_record.Course, _policy, next.Step, next.Step.Doses[0]);
            if (draw.Stop is null && stock.Open.Left >= draw.Needed[0].Ml)
                Found.Add(FindingCode.OpeningDisagrees);
        }

        stock.OpenUp(fresh, today);
    }

    private void Discarded(Fact fact)
    {
        if (fact.Lot is string lot)
        {
            foreach (var stock in _stocks.Values)
            {
                foreach (var container in stock.Everything.Where(container => container.Lot == lot).ToList())
                {
                    if (fact.ProductId is not null && container.Product.Id != fact.ProductId)
                        continue;
                    if (ReferenceEquals(container, stock.Open))
                        stock.DiscardOpen();
                    else
                        stock.DiscardSealed(container);
                }
            }
        }
        else if (fact.Containers is int containers)
        {
            foreach (var container in StockOf(fact.ProductId!).ListSealed(fact.ProductId).Take(containers))
                StockOf(fact.ProductId!).DiscardSealed(container);
        }
        else if (StockOf(fact.ProductId!).Open?.Product.Id == fact.ProductId)
        {
            StockOf(fact.ProductId!).DiscardOpen();
        }
    }

    /// <summary>The day's doses in order; true: the walk ends with them.</summary>
    private bool Doses(LocalDate today)
    {
        var day = _days.FindOn(today);
        if (day is null)
            return false;
        if (day.Paused || _record.MissedOn.Contains(today))
        {
            Walked.Add((day, false));
            return false;
        }

        var given = false;
        var over = false;
        foreach (var dose in day.Step.Doses)
        {
            over = Dose(day, dose, ref given);
            if (over)
                break;
        }

        if (!over)
            Walked.Add((day, given));
        return over;
    }

    private bool Dose(LiteralDay day, Amount dose, ref bool given)
    {
        var product = ProductOf(day.Step.ProductId);
        var stock = StockOf(product.Id);
        var draw = LiteralDraw.Of(_record.Course, _policy, day.Step, dose);
        var stops = day.Step.Doses.SelectMany(other => ListStops(day.Step, product, LiteralDraw.Of(_record.Course, _policy, day.Step, other))).ToList();
        if (stops.Count > 0)
        {
            Found.UnionWith(stops);
            Outcome = Outcome.NotComputed;
            return true;
        }

        if (LiteralDose.Take(stock, product, draw, _policy.SplitDraws, day.On))
        {
            given = true;
            if (day.On >= _record.AsOf)
            {
                LastCoveredOn = day.On;
                DosesCovered++;
            }

            return false;
        }

        if (day.On < _record.AsOf)
        {
            Found.Add(FindingCode.DoseWithoutStock);
            return false;
        }

        Outcome = Outcome.RunsOut;
        RunOutOn = day.On;
        Binding = FindBinding(stock, product, product.Kind == ProductKind.PrefilledSyringe ? 0 : draw.Needed[0].Ml);
        return true;
    }

    private List<string> ListStops(Step step, Product product, Dosing.Draw draw)
    {
        var stops = new List<string>();
        if (step.EveryDays < product.MinEveryDays)
            stops.Add(FindingCode.IntervalTooShort);
        if (draw.Stop is not null)
        {
            stops.Add(draw.Stop.Code);
        }
        else if (!_policy.SplitDraws && product.Kind != ProductKind.PrefilledSyringe)
        {
            var largest = _record.Course.Products.Values.Where(size => size.Family == product.Family).OrderByDescending(size => size.Volume!.Value.Ml).First();
            if (largest.Volume!.Value.Ml < draw.Needed.Max(needed => needed.Ml) + LiteralStock.FirstPrimeOf(largest))
                stops.Add(FindingCode.DoseExceedsContainer);
        }

        return stops;
    }

    private BindingLimit FindBinding(LiteralStock stock, Product product, decimal needed)
    {
        var since = stock.Arrivals.Concat(stock.Counts).Max(other => (LocalDate?)other.On);
        var wasted = stock.PastDates.FindAll(past => (since is not LocalDate day || past.On >= day) && (past.Container.IsSyringe || past.Container.Left >= needed));
        if (wasted.Count > 0)
        {
            var latest = wasted.Max(past => past.On);
            return wasted.Exists(past => past.On == latest && !past.Container.EndsByInUse) ? BindingLimit.Expiry : BindingLimit.InUse;
        }

        return _stocks.Any(other => other.Key != product.Family && other.Value.Everything.Any(container => container.IsSyringe || container.Left > 0))
            ? BindingLimit.Product
            : BindingLimit.Volume;
    }

    private Product ProductOf(string id) => _record.Course.Products[id];

    private LiteralStock StockOf(string productId) => _stocks[ProductOf(productId).Family];
}
