using System;
using System.Collections.Generic;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>
/// Walks a course's supply from event to event: facts, passing dates, dosing days. Between two of them whole dosing days are a
/// division, not a loop. Supply model, section 4; proven against a literal day-by-day walk in the tests. One walker serves one course
/// after the other and allocates nothing; it is for one thread.
/// </summary>
internal sealed class SupplyWalk
{
    private readonly WalkState _state = new();
    private readonly WalkState _markedState = new();
    private ProductShelf _shelf = null!;
    private StepDemand[] _demands = [];
    private WalkEvent[] _events = [];
    private DosingDays _days = null!;
    private int _asOf;
    private int _countFrom;
    private int _missedOn;
    private bool _splitDraws;
    private NotGiven _notGiven;
    private int _event;
    private int _stretch;
    private int _offset;
    private int _givenToday;

    // The day of the next event, and of the next doses; never, if there are none. Kept, because every step of the walk asks for them.
    private int _eventDay;
    private int _dosingDay;
    private WalkResult _result;
    private (int Day, int Event, int Stretch, int Offset, DosingDays Days) _marked;

    /// <summary>What the last walk found doubtful, in the order found.</summary>
    public IReadOnlyList<WalkFinding> Findings => _state.Findings;

    /// <summary>What passed its last day of use after the as-of date in the last walk, in order.</summary>
    public IReadOnlyList<PassedContainers> Passed => _state.Passed;

    /// <summary>The days before the as-of date that were given in the last walk, in order.</summary>
    public List<GivenDays> Given { get; } = [];

    /// <summary>Walks.</summary>
    /// <param name="shelf">All products of the course.</param>
    /// <param name="demands">What each step of <see cref="WalkRequest.Days"/> takes.</param>
    /// <param name="events">What happens to the stock, in order.</param>
    /// <param name="request">Which days, and what counts.</param>
    /// <param name="splitDraws">Whether a dose may come out of two containers.</param>
    public WalkResult Run(ProductShelf shelf, StepDemand[] demands, WalkEvent[] events, in WalkRequest request, bool splitDraws)
    {
        Begin(shelf, demands, events, request, splitDraws);
        return Finish(request.LastDay);
    }

    /// <summary>Walks to a day, and remembers where the walk stands before a dose of that day is given: see <see cref="Resume"/>.</summary>
    /// <param name="shelf">All products of the course.</param>
    /// <param name="demands">What each step of <see cref="WalkRequest.Days"/> takes.</param>
    /// <param name="events">What happens to the stock, in order.</param>
    /// <param name="request">Which days; figures count from <see cref="WalkRequest.CountFrom"/>, which is the day.</param>
    /// <param name="splitDraws">Whether a dose may come out of two containers.</param>
    /// <returns>False where the walk ends before the day: there is nothing to go on from.</returns>
    public bool WalkTo(ProductShelf shelf, StepDemand[] demands, WalkEvent[] events, in WalkRequest request, bool splitDraws)
    {
        Begin(shelf, demands, events, request, splitDraws);
        if (WalkThrough(int.Min(request.Days.EndDay ?? DayNumber.Never, request.CountFrom - 1)))
            return false;
        _state.Day = request.CountFrom;
        ApplyDay();
        Mark(request.CountFrom);
        return true;
    }

    /// <summary>Remembers where the walk stands that has just run out, to go on from its last dose: see <see cref="Resume"/>.</summary>
    /// <returns>False where a dose of that day was given before: there is nothing to go on from.</returns>
    public bool MarkRunOut()
    {
        if (_givenToday > 0)
            return false;
        Mark(_state.Day);
        return true;
    }

    /// <summary>Goes on from the mark, on the day of which containers arrive, after everything else that happens on it; figures count from it.</summary>
    /// <param name="added">The containers; empty: none.</param>
    /// <param name="lastDay">The last day walked.</param>
    public WalkResult Resume(ReadOnlySpan<WalkEvent> added, int lastDay)
    {
        _state.CopyStocks(_markedState);
        _days = _marked.Days;
        SetEvent(_marked.Event);
        SetDose(_marked.Stretch, _marked.Offset);
        _state.Day = _countFrom = _marked.Day;
        _notGiven = new NotGiven(-1, -1);
        foreach (ref readonly var containers in added)
            StockEvents.Arrive(_state, containers, _events.Length);
        return Finish(lastDay);
    }

    /// <summary>What the patient has of a lot where the walk stands.</summary>
    /// <param name="lot">The lot.</param>
    /// <param name="product">Place of the product; -1: every one.</param>
    public (int Sealed, bool HasOpen) CountOfLot(string lot, int product) => _state.CountOfLot(lot, product);

    private void Mark(int day)
    {
        _markedState.CopyStocks(_state);
        _marked = (day, _event, _stretch, _offset, _days);
    }

    private void Begin(ProductShelf shelf, StepDemand[] demands, WalkEvent[] events, in WalkRequest request, bool splitDraws)
    {
        (_shelf, _demands, _splitDraws, _days) = (shelf, demands, splitDraws, request.Days);
        (_asOf, _countFrom, _missedOn) = (request.AsOf, request.CountFrom, DayNumber.Never);
        _events = events;
        SetEvent(0);
        SetDose(0, 0);
        _state.Begin(shelf, events, request.AsOf, request.CountFrom, request.Journal);
        _notGiven = new NotGiven(request.Days.Present, request.Days.StepBefore);
        Given.Clear();
    }

    private WalkResult Finish(int horizon)
    {
        var lastDay = int.Min(_days.EndDay ?? DayNumber.Never, horizon);
        if (!WalkThrough(lastDay))
        {
            _state.Day = lastDay;
            End(_days.EndDay <= horizon ? Outcome.Ends : Outcome.BeyondHorizon);
        }

        return _result;
    }

    // Walks through a day; whether the walk ends by then.
    private bool WalkThrough(int lastDay)
    {
        while (true)
        {
            var happens = int.Min(_eventDay, _state.NextPastDate);
            var day = int.Min(happens, _dosingDay);
            if (day > lastDay)
                return false;
            _state.Day = day;
            if (day == happens)
                ApplyDay();
            if (day == _dosingDay && GiveDay(lastDay))
                return true;
        }
    }

    // What happens on the day before its doses.
    private void ApplyDay()
    {
        var hasEvents = _eventDay == _state.Day;
        if (hasEvents)
            ApplyEvents(WalkEventKind.Counted);
        if (_state.NextPastDate <= _state.Day)
            StockEvents.PassDates(_state);
        if (hasEvents)
            ApplyEvents(WalkEventKind.Missed);
    }

    // The day's events up to a kind, in order.
    private void ApplyEvents(WalkEventKind last)
    {
        for (; _eventDay == _state.Day && _events[_event].Kind <= last; SetEvent(_event + 1))
        {
            ref readonly var happened = ref _events[_event];
            switch (happened.Kind)
            {
                case WalkEventKind.Arrived:
                    StockEvents.Arrive(_state, happened, _event);
                    break;
                case WalkEventKind.Counted:
                    StockEvents.Count(_state, happened, _event);
                    break;
                case WalkEventKind.Opened:
                    StockEvents.Open(_state, happened, FindNextNeeded(_shelf[happened.Product].Family));
                    break;
                case WalkEventKind.Discarded:
                    StockEvents.Discard(_state, happened);
                    break;
                default:
                    _missedOn = _state.Day;
                    break;
            }
        }
    }

    // Gives the doses of the day, or of as many days from it on as nothing else happens in; whether the walk ends with it.
    private bool GiveDay(int lastDay)
    {
        ref readonly var stretch = ref _days.Stretches[_stretch];
        var demand = _demands[stretch.Step];
        if (stretch.IsPaused)
            return Skip(stretch, (int)uint.Min((uint)(stretch.Count - _offset), CountBefore(lastDay + 1, stretch.EveryDays)), WalkLineKind.Paused);
        if (_missedOn == _state.Day)
            return Skip(stretch, 1, WalkLineKind.Missed);
        if (demand.IsStopped)
            return End(Outcome.NotComputed, stretch.Step);
        if (!demand.DrawsManyFromOne)
            return GiveOneDay(stretch, demand, lastDay);

        var stock = _state.StockOf(demand.Family);
        if (!_splitDraws)
            DoseGiving.OpenForDays(_state, stock, demand);
        if (!stock.HasOpen || stock.Open.Left < demand.NeededPerDay)
            return GiveOneDay(stretch, demand, lastDay);
        GiveWholeDays(stretch, demand, stock, lastDay);
        return false;
    }

    private bool GiveOneDay(in Stretch stretch, StepDemand demand, int lastDay)
    {
        _givenToday = 0;
        var injections = _state.Injections;
        foreach (var dose in demand.Doses)
        {
            if (DoseGiving.Give(_state, demand, dose, _splitDraws))
            {
                _givenToday++;
                continue;
            }

            _state.Journal?.Add(_state.Day, WalkLineKind.NotCovered, demand.Product.Id, 1, _state.StockOf(demand.Family).Volume(_shelf), $"{DoseText.Volume(new Volume(dose.Needed[0]))} needed");
            if (_state.Day >= _asOf)
                return End(Outcome.RunsOut, stretch.Step, FindLimit(demand, dose));
        }

        if (_state.Day < _asOf && _state.Injections > injections)
            Given.Add(new GivenDays(stretch.Step, _state.Day, stretch.EveryDays, 1, _state.Injections - injections));

        // Until something else happens the days after one without any are without as well.
        var days = _givenToday > 0 || _state.Journal is not null ? 1 : CountAlike(stretch, int.Min(_asOf, lastDay + 1));
        _notGiven.AddWithoutStock(_state.Day, _state.Day + (days - 1) * stretch.EveryDays, days * (demand.Doses.Length - _givenToday));
        if (_givenToday > 0)
            _notGiven.Given();
        else
            _notGiven.Add(stretch.Step, _state.Day, stretch.EveryDays, days);
        Advance(stretch, days);
        return false;
    }

    // How many dosing days of a stretch from this one on come before a day, and before anything else happens.
    private int CountAlike(in Stretch stretch, int border)
    {
        var left = stretch.Count - _offset;
        border = int.Min(int.Min(_eventDay, _state.NextPastDate), border);
        return stretch.LastDay < border ? left : (int)uint.Min((uint)left, CountBefore(border, stretch.EveryDays));
    }

    // Gives as many dosing days from this one on as the open container serves whole, before anything else happens; at least one.
    private void GiveWholeDays(in Stretch stretch, StepDemand demand, Stock stock, int lastDay)
    {
        var border = lastDay + 1;
        if (_state.Day < _countFrom)
            border = int.Min(border, _countFrom);
        if (_state.Day < _asOf)
            border = int.Min(border, _asOf);
        var days = CountAlike(stretch, border);
        if (days * demand.NeededPerDay > stock.Open.Left)
            days = (int)(stock.Open.Left / demand.NeededPerDay);
        var used = days * demand.UsedPerDay;
        var needed = days * demand.NeededPerDay;
        var last = _state.Day + (days - 1) * stretch.EveryDays;
        stock.Draw(needed);
        _state.AddDrawn(used, needed - used);
        _state.AddDoses(days * demand.Doses.Length, last);
        _state.Journal?.Draw(_state.Day, last, _shelf[stock.Open.Product].Product.Id, days * demand.Doses.Length, used, needed - used, stock.Open.Left);
        if (_state.Day < _asOf)
            Given.Add(new GivenDays(stretch.Step, _state.Day, stretch.EveryDays, days, demand.InjectionsPerDay));
        _notGiven.Given();
        Advance(stretch, days);
    }

    private bool Skip(in Stretch stretch, int days, WalkLineKind why)
    {
        _notGiven.Add(stretch.Step, _state.Day, stretch.EveryDays, days);
        _state.Journal?.Add(_state.Day, why, _demands[stretch.Step].Product.Id, days, 0, string.Empty);
        Advance(stretch, days);
        return false;
    }

    private void Advance(in Stretch stretch, int days)
    {
        if (_offset + days < stretch.Count)
            SetDose(_stretch, _offset + days);
        else
            SetDose(_stretch + 1, 0);
    }

    private void SetEvent(int place)
    {
        _event = place;
        _eventDay = place < _events.Length ? _events[place].Day : DayNumber.Never;
    }

    private void SetDose(int stretch, int offset)
    {
        (_stretch, _offset) = (stretch, offset);
        var stretches = _days.Stretches;
        _dosingDay = stretch < stretches.Length ? stretches[stretch].FirstDay + offset * stretches[stretch].EveryDays : DayNumber.Never;
    }

    // How many of this day, this day + every, ... come before a border that is after this day.
    private uint CountBefore(int border, int every) => (uint)(border - _state.Day - 1) / (uint)every + 1;

    // What the first injection of the next dose takes, if that dose is of a family; null: it is not, or there is none.
    private long? FindNextNeeded(int family)
    {
        for (var index = _stretch; index < _days.Stretches.Length; index++)
        {
            var stretch = _days.Stretches[index];
            if (stretch.IsPaused)
                continue;
            for (var offset = index == _stretch ? _offset : 0; offset < stretch.Count; offset++)
            {
                if (IsMissed(stretch.FirstDay + offset * stretch.EveryDays))
                    continue;
                var demand = _demands[stretch.Step];
                return demand.Family == family && demand.Draws[0].Stop is null ? demand.Doses[0].Needed[0] : null;
            }
        }

        return null;
    }

    private bool IsMissed(int day)
    {
        for (var index = 0; index < _events.Length; index++)
        {
            if (_events[index].Kind == WalkEventKind.Missed && _events[index].Day == day)
                return true;
        }

        return false;
    }

    private BindingLimit FindLimit(StepDemand demand, DoseDemand dose)
    {
        var latest = int.MinValue;
        var isExpiry = false;
        foreach (var past in _state.StockOf(demand.Family).PastDates)
        {
            if (past.Left < dose.Needed[0] || past.On < latest)
                continue;
            isExpiry = past.IsExpiry || (past.On == latest && isExpiry);
            latest = past.On;
        }

        if (latest != int.MinValue)
            return isExpiry ? BindingLimit.Expiry : BindingLimit.InUse;
        for (var family = 0; family < _state.FamilyCount; family++)
        {
            if (family != demand.Family && _state.StockOf(family).HasAny)
                return BindingLimit.Product;
        }

        return BindingLimit.Volume;
    }

    private bool End(Outcome outcome, int step = -1, BindingLimit? limit = null)
    {
        _notGiven.Report(_state.Findings, goesOn: outcome == Outcome.BeyondHorizon);
        long leftOver = 0;
        for (var family = 0; family < _state.FamilyCount; family++)
            leftOver += _state.StockOf(family).Volume(_shelf);
        _result = new WalkResult(outcome, _state.Day, step, _state.Tally, leftOver, limit, _notGiven.FirstDay);
        return true;
    }
}
