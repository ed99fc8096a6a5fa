using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>The working, line by line. Doses drawn from one container in a row are one line.</summary>
internal sealed class WalkJournal
{
    private readonly List<WalkLine> _lines = [];

    /// <summary>The lines so far.</summary>
    public IReadOnlyList<WalkLine> Lines => _lines;

    /// <summary>How many lines there are, and the last of them, to which more may be added: see <see cref="Restore"/>.</summary>
    public (int Lines, WalkLine? Last) Mark => (_lines.Count, _lines.Count > 0 ? _lines[^1] : null);

    /// <summary>Adds what happened on one day.</summary>
    public void Add(int day, WalkLineKind kind, string productId, int count, long left, string note, ClosedBy? closedBy = null) => _lines.Add(new WalkLine
    {
        On = DayNumber.Date(day),
        Through = DayNumber.Date(day),
        Kind = kind,
        ProductId = productId,
        Count = count,
        Left = new Volume(left),
        ClosedBy = closedBy,
        Note = note,
    });

    /// <summary>Adds containers thrown away, each on its line.</summary>
    public void Discard(int day, string productId, long left, int count, ClosedBy why, Fact? fact)
    {
        var note = why == ClosedBy.Record && fact!.Lot is not null ? $"{fact.Id}, lot {fact.Lot}" : fact?.Id ?? string.Empty;
        for (var number = 0; number < count; number++)
            Add(day, WalkLineKind.Discarded, productId, 1, left, note, why);
    }

    /// <summary>Adds a count.</summary>
    public void Count(int day, Fact count, int containers, long left, CountedStock known, CountedStock found)
    {
        Add(day, WalkLineKind.Counted, count.ProductId!, containers, left, count.Id);
        _lines[^1] = _lines[^1] with { Known = known, Found = found };
    }

    /// <summary>Adds doses drawn, to the line before if that speaks of the same container.</summary>
    public void Draw(int firstDay, int lastDay, string productId, int doses, long used, long lost, long left)
    {
        var line = new WalkLine
        {
            On = DayNumber.Date(firstDay),
            Through = DayNumber.Date(lastDay),
            Kind = WalkLineKind.Drawn,
            ProductId = productId,
            Count = doses,
            Used = new Volume(used),
            Lost = new Volume(lost),
            Left = new Volume(left),
            Note = string.Empty,
        };
        if (_lines.Count > 0 && _lines[^1] is { Kind: WalkLineKind.Drawn } last && last.ProductId == productId)
            _lines[^1] = line with { On = last.On, Count = last.Count + doses, Used = last.Used + line.Used, Lost = last.Lost + line.Lost };
        else
            _lines.Add(line);
    }

    /// <summary>Adds whole dosing days of a stretch drawn from one container.</summary>
    public void Draw(int firstDay, int days, in WalkStretch stretch, string productId, long left) =>
        Draw(firstDay, firstDay + (days - 1) * stretch.EveryDays, productId, days * stretch.DosesPerDay, days * stretch.UsedPerDay, days * (stretch.NeededPerDay - stretch.UsedPerDay), left);

    /// <summary>Says that the injections just drawn made one whole dose.</summary>
    public void CountDose()
    {
        if (_lines.Count > 0)
            _lines[^1] = _lines[^1] with { Count = _lines[^1].Kind == WalkLineKind.Drawn ? _lines[^1].Count + 1 : _lines[^1].Count };
    }

    /// <summary>Takes back all that was added after a mark: the dose that it speaks of could not be given.</summary>
    public void Restore((int Lines, WalkLine? Last) mark)
    {
        _lines.RemoveRange(mark.Lines, _lines.Count - mark.Lines);
        if (mark.Last is not null)
            _lines[^1] = mark.Last;
    }
}
