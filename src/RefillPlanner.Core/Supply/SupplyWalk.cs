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
    private WalkCourse _course = null!;
    private int _countFrom;
    private int _missedOn;
    private NotGiven _notGiven;
    private int _givenToday;
    private DosingPlace _next;
    private int _event;

    // The day of the next event; never, if there is none. Kept, because every step of the walk asks for it.
    private int _eventDay;
    private Outcome _outcome;
    private int _endStep;
    private BindingLimit? _limit;
    private (int Day, int Event, DosingPlace Next, WalkCourse Course) _marked;

    /// <summary>What the last walk found doubtful, in the order found.</summary>
    public IReadOnlyList<WalkFinding> Findings => _state.Findings;

    /// <summary>The days before the as-of date that were given in the last walk, in order.</summary>
    public List<GivenDays> Given { get; } = [];

    /// <summary>What passed its last day of use after the as-of date in the last walk with something in it, in order.</summary>
    public IReadOnlyList<PassedContainers> ListPassed() => _state.Passed.Count == 0 ? [] : _state.Passed.FindAll(passed => passed.Day > _course.AsOf && (passed.Left > 0 || !passed.IsOpen));

    /// <summary>Walks.</summary>
    /// <param name="course">The course.</param>
    /// <param name="countFrom">First day whose figures count.</param>
    /// <param name="lastDay">The last day walked.</param>
    /// <param name="journal">Where the working goes; null: nobody asked for it.</param>
    public WalkResult Run(WalkCourse course, int countFrom, int lastDay, WalkJournal? journal = null)
    {
        Begin(course, countFrom, journal);
        return Finish(lastDay);
    }

    /// <summary>Walks to a day, and remembers where the walk stands before a dose of that day is given: see <see cref="Resume"/>.</summary>
    /// <param name="course">The course.</param>
    /// <param name="day">The day; figures count from it.</param>
    /// <returns>False where the walk ends before the day: there is nothing to go on from.</returns>
    public bool WalkTo(WalkCourse course, int day)
    {
        Begin(course, day, journal: null);
        if (WalkThrough(int.Min(course.EndDay, day - 1)))
            return false;
        _state.Day = day;
        ApplyDay();
        Mark(day);
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
        (_course, _next) = (_marked.Course, _marked.Next);
        SetEvent(_marked.Event);
        _state.Day = _countFrom = _marked.Day;
        _notGiven = new NotGiven(-1, -1);
        foreach (ref readonly var containers in added)
            StockEvents.Arrive(_state, containers, _course.Events.Length);
        return Finish(lastDay);
    }

    /// <summary>What the patient has of a lot where the walk stands.</summary>
    /// <param name="lot">The lot.</param>
    /// <param name="product">Place of the product; -1: every one.</param>
    public (int Sealed, bool HasOpen) CountOfLot(string lot, int product) => _state.CountOfLot(lot, product);

    private void Mark(int day)
    {
        _markedState.CopyStocks(_state);
        _marked = (day, _event, _next, _course);
    }

    private void Begin(WalkCourse course, int countFrom, WalkJournal? journal)
    {
        (_course, _countFrom, _missedOn) = (course, countFrom, DayNumber.Never);
        SetEvent(0);
        _next = new DosingPlace(course.Stretches);
        _state.Begin(course, countFrom, journal);
        _notGiven = new NotGiven(course.Present, course.StepBefore);
        Given.Clear();
    }

    private WalkResult Finish(int horizon)
    {
        var lastDay = int.Min(_course.EndDay, horizon);
        if (!WalkThrough(lastDay))
        {
            _state.Day = lastDay;
            End(_course.EndDay <= horizon ? Outcome.Ends : Outcome.BeyondHorizon);
        }

        _notGiven.Report(_state.Findings, goesOn: _outcome == Outcome.BeyondHorizon);
        return new WalkResult(_outcome, _state.Day, _endStep, _state.Tally, _state.FindLeftOver(), _limit, _notGiven.FirstDay);
    }

    // Walks through a day; whether the walk ends by then.
    private bool WalkThrough(int lastDay)
    {
        while (true)
        {
            var happens = int.Min(_eventDay, _state.NextPastDate);
            var day = int.Min(happens, _next.Day);
            if (day > lastDay)
                return false;
            _state.Day = day;
            if (day == happens)
                ApplyDay();
            if (day == _next.Day && GiveDay(lastDay))
                return true;
        }
    }

    // What happens on the day before its doses.
    private void ApplyDay()
    {
        ApplyEvents(WalkEventKind.Counted);
        if (_state.NextPastDate <= _state.Day)
            StockEvents.PassDates(_state);
        ApplyEvents(WalkEventKind.Missed);
    }

    // The day's events up to a kind, in order.
    private void ApplyEvents(WalkEventKind last)
    {
        for (; _eventDay == _state.Day && _course.Events[_event].Kind <= last; SetEvent(_event + 1))
        {
            ref readonly var happened = ref _course.Events[_event];
            switch (happened.Kind)
            {
                case WalkEventKind.Arrived:
                    StockEvents.Arrive(_state, happened, _event);
                    break;
                case WalkEventKind.Counted:
                    StockEvents.Count(_state, happened, _event);
                    break;
                case WalkEventKind.Opened:
                    StockEvents.Open(_state, happened, _course.FindNextNeeded(_next, _course.Shelf[happened.Product].Family));
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

    private void SetEvent(int place)
    {
        _event = place;
        var events = _course.Events;
        _eventDay = place < events.Length ? events[place].Day : DayNumber.Never;
    }

    // Gives the doses of the day, or of as many days from it on as nothing else happens in; whether the walk ends with it.
    private bool GiveDay(int lastDay)
    {
        ref readonly var stretch = ref _next.Stretch;
        if (stretch.Giving == Giving.Paused)
            return Skip(stretch, CountBefore(_next.Day, _next.Count, stretch.EveryDays, lastDay + 1), WalkLineKind.Paused);
        if (_missedOn == _state.Day)
            return Skip(stretch, 1, WalkLineKind.Missed);
        if (stretch.Giving == Giving.Stopped)
            return End(Outcome.NotComputed, stretch.Step);
        var stock = _state.StockOf(stretch.Family);
        return stretch.Giving switch
        {
            Giving.ByDay when HoldsDay(stretch, stock) => GiveWholeDays(stretch, stock, lastDay),
            Giving.BySyringe when HoldsSyringes(stretch, stock) => GiveSyringes(stretch, stock, lastDay),
            _ when IsEmpty(stretch, stock) => GiveNone(stretch, lastDay),
            _ => GiveOneDay(stretch, lastDay),
        };
    }

    // Gives as many dosing days of the stretch from this one on as can be given whole, container after container, before anything else
    // happens; at least one.
    private bool GiveWholeDays(in WalkStretch stretch, Stock stock, int lastDay)
    {
        var border = int.Min(int.Min(FindTurn(lastDay), _eventDay), _state.FindNextPastDateBeside(stretch.Family));
        var (day, left) = (_next.Day, _next.Count);
        do
        {
            var days = (int)long.Min(CountBefore(day, left, stretch.EveryDays, int.Min(border, stock.NextPastDate)), stock.OpenLeft / stretch.NeededPerDay);
            stock.Draw(days * stretch.NeededPerDay);
            _state.Journal?.Draw(day, days, stretch, _course.Shelf[stock.Open.Product].Product.Id, stock.OpenLeft);
            day += days * stretch.EveryDays;
            left -= days;
        }
        while (left > 0 && OpenForNext(stretch, stock, day, border));

        var given = _next.Count - left;
        _state.AddDrawn(given * stretch.UsedPerDay, given * (stretch.NeededPerDay - stretch.UsedPerDay));
        _state.AddDoses(given * stretch.DosesPerDay, day - stretch.EveryDays);
        AddGiven(stretch, given, stretch.InjectionsPerDay);
        _next.Advance(given);
        return false;
    }

    // Throws away what passes its date until the next dosing day, and opens the next container for it; whether that day can be given whole.
    private bool OpenForNext(in WalkStretch stretch, Stock stock, int day, int border)
    {
        if (day >= border)
            return false;
        while (stock.NextPastDate <= day)
        {
            _state.Day = stock.NextPastDate;
            StockEvents.PassDates(_state, stock);
        }

        _state.Day = day;
        return HoldsDay(stretch, stock);
    }

    // Whether the open container holds all doses of the day, after the next one was opened if the first of them opens it.
    private bool HoldsDay(in WalkStretch stretch, Stock stock) =>
        stock.OpenLeft >= stretch.NeededPerDay || (!_course.SplitDraws && DoseGiving.OpenForDays(_state, stock, stretch));

    // Whether the first fill has the syringes of a day. The working has a line for each, and wants them one by one.
    private bool HoldsSyringes(in WalkStretch stretch, Stock stock) =>
        stock.FillCount > 0 && stock[0].Count >= stretch.DosesPerDay && _course.Shelf[stock[0].Product].IsPrefilled && _state.Journal is null;

    // Gives as many dosing days of the stretch from this one on as the first fill serves whole, before anything else happens; at least one.
    private bool GiveSyringes(in WalkStretch stretch, Stock stock, int lastDay)
    {
        var days = int.Min(CountAlike(stretch, FindTurn(lastDay)), stock[0].Count / stretch.DosesPerDay);
        _state.UseSyringes(stock, days * stretch.DosesPerDay);
        _state.AddDoses(days * stretch.DosesPerDay, _next.Day + (days - 1) * stretch.EveryDays);
        AddGiven(stretch, days, stretch.InjectionsPerDay);
        _next.Advance(days);
        return false;
    }

    private bool GiveOneDay(in WalkStretch stretch, int lastDay)
    {
        _givenToday = 0;
        var injections = _state.Injections;
        foreach (var dose in stretch.Demand.Doses)
        {
            if (DoseGiving.Give(_state, stretch.Demand, dose, _course.SplitDraws))
                _givenToday++;
            else if (Lack(stretch, dose.Needed[0]))
                return true;
        }

        if (_givenToday == 0)
            return SkipWithoutStock(stretch, lastDay);
        _notGiven.AddWithoutStock(_state.Day, _state.Day, stretch.DosesPerDay - _givenToday);
        AddGiven(stretch, 1, _state.Injections - injections);
        _next.Advance(1);
        return false;
    }

    // Whether there is plainly nothing for the one injection of a day.
    private static bool IsEmpty(in WalkStretch stretch, Stock stock) =>
        stretch.InjectionsPerDay == 1 && stock.FillCount == 0 && (stretch.Giving == Giving.BySyringe || stock.OpenLeft < stretch.FirstNeeded);

    // Gives none of the doses of the day, and of those after it until something else happens; whether the walk ends with it.
    private bool GiveNone(in WalkStretch stretch, int lastDay)
    {
        _givenToday = 0;
        return Lack(stretch, stretch.FirstNeeded) || SkipWithoutStock(stretch, lastDay);
    }

    // A dose is not covered; whether the walk ends with it.
    private bool Lack(in WalkStretch stretch, long needed)
    {
        _state.Journal?.Add(_state.Day, WalkLineKind.NotCovered, stretch.Demand.Product.Id, 1, _state.StockOf(stretch.Family).Volume(_course.Shelf), $"{DoseText.Volume(new Volume(needed))} needed");
        return _state.Day >= _course.AsOf && End(Outcome.RunsOut, stretch.Step, _state.FindLimit(stretch.Family, needed));
    }

    // Until something else happens the days after one without any dose are without as well. The working wants them one by one.
    private bool SkipWithoutStock(in WalkStretch stretch, int lastDay)
    {
        var days = _state.Journal is not null ? 1 : CountAlike(stretch, int.Min(_course.AsOf, lastDay + 1));
        _notGiven.AddWithoutStock(_state.Day, _state.Day + (days - 1) * stretch.EveryDays, days * stretch.DosesPerDay);
        return Skip(stretch, days, why: null);
    }

    // Dosing days on which no dose was given.
    private bool Skip(in WalkStretch stretch, int days, WalkLineKind? why)
    {
        _notGiven.Add(stretch.Step, _state.Day, stretch.EveryDays, days);
        if (why is WalkLineKind kind)
            _state.Journal?.Add(_state.Day, kind, stretch.Demand.Product.Id, days, 0, string.Empty);
        _next.Advance(days);
        return false;
    }

    // Dosing days of the step were given from the next one on.
    private void AddGiven(in WalkStretch stretch, int days, int injections)
    {
        _notGiven.Given();
        if (_next.Day < _course.AsOf)
            Given.Add(new GivenDays(stretch.Step, _next.Day, stretch.EveryDays, days, injections));
    }

    // The next day on which doses begin to count, or to matter otherwise than before; else the day after the last one.
    private int FindTurn(int lastDay)
    {
        var turn = lastDay + 1;
        if (_state.Day < _countFrom)
            turn = int.Min(turn, _countFrom);
        if (_state.Day < _course.AsOf)
            turn = int.Min(turn, _course.AsOf);
        return turn;
    }

    // How many dosing days of the stretch from the next one on come before a border, and before anything else happens.
    private int CountAlike(in WalkStretch stretch, int border) => CountBefore(_next.Day, _next.Count, stretch.EveryDays, int.Min(int.Min(_eventDay, _state.NextPastDate), border));

    // How many of some days from one on come before a border that is after it.
    private static int CountBefore(int day, int count, int everyDays, int border) => (int)uint.Min((uint)count, (uint)(border - day - 1) / (uint)everyDays + 1);

    private bool End(Outcome outcome, int step = -1, BindingLimit? limit = null)
    {
        (_outcome, _endStep, _limit) = (outcome, step, limit);
        return true;
    }
}
