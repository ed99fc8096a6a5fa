using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>What a walk is to do.</summary>
/// <param name="Days">The dosing days.</param>
/// <param name="AsOf">From this day on an uncovered dose is the run-out.</param>
/// <param name="CountFrom">First day whose figures count.</param>
/// <param name="LastDay">The last day walked.</param>
internal sealed record WalkRequest(DosingDays Days, int AsOf, int CountFrom, int LastDay)
{
    /// <summary>Containers that are not on record but are to be taken as arriving; for planning.</summary>
    public IReadOnlyList<WalkEvent> Added { get; init; } = [];

    /// <summary>Where the working goes; null: nobody asked for it.</summary>
    public WalkJournal? Journal { get; init; }

    /// <summary>Where the days that were given go; null: nobody asked for them.</summary>
    public List<GivenDays>? Given { get; init; }
}

/// <summary>Dosing days on which injections were given.</summary>
/// <param name="Step">Index of their step.</param>
/// <param name="FirstDay">The first of them.</param>
/// <param name="EveryDays">Days from one to the next.</param>
/// <param name="Count">How many.</param>
/// <param name="Injections">Injections on each.</param>
internal readonly record struct GivenDays(int Step, int FirstDay, int EveryDays, int Count, int Injections);

/// <summary>How a walk ended.</summary>
internal sealed record WalkResult
{
    /// <summary>How it ended.</summary>
    public required Outcome Outcome { get; init; }

    /// <summary>The last day walked: the run-out, the course's end, the horizon, or the day of the stopping dose.</summary>
    public required int Day { get; init; }

    /// <summary>Index of the step whose dose ended the walk; null: none did.</summary>
    public int? Step { get; init; }

    /// <summary>What was added up.</summary>
    public required Tally Tally { get; init; }

    /// <summary>What is left in containers, in nanolitres.</summary>
    public required long LeftOver { get; init; }

    /// <summary>What ended the supply; null unless it runs out.</summary>
    public BindingLimit? BindingLimit { get; init; }

    /// <summary>First day of the last row of dosing days not given that <see cref="FindingCode.DosesMissed"/> speaks of; null: none.</summary>
    public int? MissedFrom { get; init; }

    /// <summary>What is doubtful, in the order found.</summary>
    public required IReadOnlyList<Finding> Findings { get; init; }
}

/// <summary>
/// Walks a course's supply from event to event: facts, passing dates, dosing days. Between two of them whole dosing days are a
/// division, not a loop. Supply model, section 4; proven against a literal day-by-day walk in the tests.
/// </summary>
internal sealed class SupplyWalk
{
    private readonly IReadOnlyList<StepDemand> _demands;
    private readonly WalkRequest _request;
    private readonly bool _splitDraws;
    private readonly WalkEvent[] _events;
    private readonly HashSet<int> _missed;
    private readonly WalkState _state;
    private readonly NotGiven _notGiven;
    private int _event;
    private int _stretch;
    private int _offset;

    private SupplyWalk(IReadOnlyDictionary<string, Product> products, IReadOnlyList<StepDemand> demands, WalkEvent[] events, WalkRequest request, bool splitDraws)
    {
        _demands = demands;
        _request = request;
        _splitDraws = splitDraws;
        _events = request.Added.Count == 0 ? events : [.. events.Concat(request.Added).OrderBy(item => item.Day).ThenBy(item => item.Kind)];
        _missed = [.. events.Where(item => item.Kind == WalkEventKind.Missed).Select(item => item.Day)];
        _state = new WalkState(products, request.CountFrom, request.Journal);
        _notGiven = new NotGiven(request.Days, request.AsOf);
    }

    private int DosingDay
    {
        get
        {
            var stretches = _request.Days.Stretches;
            return _stretch < stretches.Count ? stretches[_stretch].FirstDay + _offset * stretches[_stretch].EveryDays : DayNumber.Never;
        }
    }

    private int EventDay => _event < _events.Length ? _events[_event].Day : DayNumber.Never;

    /// <summary>Walks.</summary>
    /// <param name="products">All products of the course, by id.</param>
    /// <param name="demands">What each step of <see cref="WalkRequest.Days"/> takes.</param>
    /// <param name="events">What happens to the stock.</param>
    /// <param name="request">Which days, and what counts.</param>
    /// <param name="splitDraws">Whether a dose may come out of two containers.</param>
    public static WalkResult Run(IReadOnlyDictionary<string, Product> products, IReadOnlyList<StepDemand> demands, WalkEvent[] events, WalkRequest request, bool splitDraws) =>
        new SupplyWalk(products, demands, events, request, splitDraws).Run();

    private WalkResult Run()
    {
        var lastDay = int.Min(_request.Days.EndDay ?? DayNumber.Never, _request.LastDay);
        while (true)
        {
            _state.Day = int.Min(int.Min(EventDay, DosingDay), _state.NextPastDate);
            if (_state.Day > lastDay)
                break;
            ApplyEvents(WalkEventKind.Counted);
            StockEvents.PassDates(_state);
            ApplyEvents(WalkEventKind.Missed);
            if (DosingDay == _state.Day && GiveDay(lastDay) is WalkResult ended)
                return ended;
        }

        _state.Day = lastDay;
        return End(_request.Days.EndDay <= _request.LastDay ? Outcome.Ends : Outcome.BeyondHorizon);
    }

    // The day's events up to a kind, in order.
    private void ApplyEvents(WalkEventKind last)
    {
        for (; EventDay == _state.Day && _events[_event].Kind <= last; _event++)
        {
            var fact = _events[_event].Fact;
            switch (_events[_event].Kind)
            {
                case WalkEventKind.Arrived:
                    StockEvents.Arrive(_state, fact);
                    break;
                case WalkEventKind.Counted:
                    StockEvents.Count(_state, fact);
                    break;
                case WalkEventKind.Opened:
                    StockEvents.Open(_state, fact, FindNextNeeded(_state.Products[fact.ProductId!].Family));
                    break;
                case WalkEventKind.Discarded:
                    StockEvents.Discard(_state, fact);
                    break;
                default:
                    break; // Missed days are known beforehand.
            }
        }
    }

    // Gives the doses of the day, or of as many days from it on as nothing else happens in; the result if the walk ends with it.
    private WalkResult? GiveDay(int lastDay)
    {
        var stretch = _request.Days.Stretches[_stretch];
        var demand = _demands[stretch.Step];
        if (stretch.IsPaused)
            return Skip(stretch, int.Min(stretch.Count - _offset, CountBefore(lastDay + 1, stretch.EveryDays)), WalkLineKind.Paused);
        if (_missed.Contains(_state.Day))
            return Skip(stretch, 1, WalkLineKind.Missed);
        if (demand.Stops.Count > 0)
            return End(Outcome.NotComputed, stretch.Step);

        var whole = CountWholeDays(stretch, demand, lastDay);
        if (whole > 1)
        {
            GiveWholeDays(stretch, demand, whole);
            return null;
        }

        return GiveOneDay(stretch, demand);
    }

    private WalkResult? GiveOneDay(Stretch stretch, StepDemand demand)
    {
        var given = 0;
        var injections = _state.Injections;
        foreach (var dose in demand.Doses)
        {
            if (DoseGiving.Give(_state, demand, dose, _splitDraws))
            {
                given++;
                continue;
            }

            _state.Journal?.Add(_state.Day, WalkLineKind.NotCovered, demand.Product.Id, 1, _state.Stocks[demand.Product.Family].Volume, $"{DoseText.Volume(new Volume(dose.Needed[0]))} needed");
            if (_state.Day >= _request.AsOf)
                return End(Outcome.RunsOut, stretch.Step, FindLimit(demand, dose));
            _notGiven.AddWithoutStock(_state.Day);
        }

        if (_state.Injections > injections)
            _request.Given?.Add(new GivenDays(stretch.Step, _state.Day, stretch.EveryDays, 1, _state.Injections - injections));
        if (given > 0)
            _notGiven.Given();
        else
            _notGiven.Add(stretch.Step, _state.Day, stretch.EveryDays, 1);
        Advance(stretch, 1);
        return null;
    }

    // How many dosing days from this one on the open container serves whole, before anything else happens.
    private int CountWholeDays(Stretch stretch, StepDemand demand, int lastDay)
    {
        if (!demand.DrawsManyFromOne || _state.Stocks[demand.Product.Family].Open is not OpenContainer open)
            return 0;
        var border = int.Min(int.Min(EventDay, _state.NextPastDate), lastDay + 1);
        if (_state.Day < _request.CountFrom)
            border = int.Min(border, _request.CountFrom);
        var days = int.Min(stretch.Count - _offset, CountBefore(border, stretch.EveryDays));
        return (int)long.Min(days, open.Left / demand.NeededPerDay);
    }

    private void GiveWholeDays(Stretch stretch, StepDemand demand, int days)
    {
        var stock = _state.Stocks[demand.Product.Family];
        var used = days * demand.UsedPerDay;
        var needed = days * demand.NeededPerDay;
        var last = _state.Day + (days - 1) * stretch.EveryDays;
        stock.Open = stock.Open! with { Left = stock.Open!.Left - needed };
        _state.AddDrawn(used, needed - used);
        _state.AddDoses(days * demand.Doses.Count, last);
        _state.Journal?.Draw(_state.Day, last, stock.Open.Product.Id, days * demand.Doses.Count, used, needed - used, stock.Open.Left);
        _request.Given?.Add(new GivenDays(stretch.Step, _state.Day, stretch.EveryDays, days, demand.InjectionsPerDay));
        _notGiven.Given();
        Advance(stretch, days);
    }

    private WalkResult? Skip(Stretch stretch, int days, WalkLineKind why)
    {
        _notGiven.Add(stretch.Step, _state.Day, stretch.EveryDays, days);
        _state.Journal?.Add(_state.Day, why, _demands[stretch.Step].Product.Id, days, 0, string.Empty);
        Advance(stretch, days);
        return null;
    }

    private void Advance(Stretch stretch, int days)
    {
        _offset += days;
        if (_offset < stretch.Count)
            return;
        _stretch++;
        _offset = 0;
    }

    // How many of this day, this day + every, ... come before a border that is after this day.
    private int CountBefore(int border, int every) => (int)(((long)border - _state.Day + every - 1) / every);

    // What the first injection of the next dose takes, if that dose is of a family; null: it is not, or there is none.
    private long? FindNextNeeded(string family)
    {
        for (var index = _stretch; index < _request.Days.Stretches.Count; index++)
        {
            var stretch = _request.Days.Stretches[index];
            if (stretch.IsPaused)
                continue;
            for (var offset = index == _stretch ? _offset : 0; offset < stretch.Count; offset++)
            {
                if (_missed.Contains(stretch.FirstDay + offset * stretch.EveryDays))
                    continue;
                var demand = _demands[stretch.Step];
                return demand.Product.Family == family && demand.Draws[0].Stop is null ? demand.Doses[0].Needed[0] : null;
            }
        }

        return null;
    }

    private BindingLimit FindLimit(StepDemand demand, DoseDemand dose)
    {
        var family = demand.Product.Family;
        var held = _state.Stocks[family].PastDates.Where(past => past.Left >= dose.Needed[0]).ToArray();
        if (held.Length > 0)
        {
            var latest = held.Max(past => past.On);
            return held.Any(past => past.On == latest && past.IsExpiry) ? BindingLimit.Expiry : BindingLimit.InUse;
        }

        return _state.Stocks.Any(stock => stock.Key != family && stock.Value.HasAny) ? BindingLimit.Product : BindingLimit.Volume;
    }

    private WalkResult End(Outcome outcome, int? step = null, BindingLimit? limit = null)
    {
        _notGiven.Report(_state.Findings);
        return new WalkResult
        {
            Outcome = outcome,
            Day = _state.Day,
            Step = step,
            Tally = _state.Tally,
            LeftOver = _state.Stocks.Values.Sum(stock => stock.Volume),
            BindingLimit = limit,
            MissedFrom = _notGiven.FirstDay,
            Findings = _state.Findings,
        };
    }
}
