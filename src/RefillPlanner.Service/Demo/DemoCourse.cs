using NodaTime;

namespace RefillPlanner.Service.Demo;

/// <summary>One course, told step by step and fact by fact. Days are counted from today.</summary>
internal sealed class DemoCourse(DemoTables tables, LocalDate today, int number, int start)
{
    private const string Pharmacist = "Quill Saltmarsh, pharmacist";

    private int _ladder = 1;
    private int _step;
    private int _fact;

    /// <summary>The next step of the ladder.</summary>
    /// <param name="product">The product that it calls for.</param>
    /// <param name="doses">Amounts of a dosing day, semicolon between.</param>
    /// <param name="every">Days from one dosing day to the next.</param>
    /// <param name="days">How many dosing days; null: until further notice.</param>
    /// <param name="check">Whether a pharmacist's check is wanted; null: not said, which means yes.</param>
    public DemoCourse Step(string product, string doses, int every = 7, int? days = null, bool? check = null)
    {
        tables.Steps.Add(
            ("course_id", $"C-{number}"),
            ("ladder", _ladder),
            ("step", ++_step),
            ("product_id", product),
            ("doses", doses),
            ("every_days", every),
            ("dose_days", days),
            ("needs_check", check));
        return this;
    }

    /// <summary>A new ladder from a day on; the steps told next belong to it.</summary>
    public DemoCourse Ladder(int on)
    {
        (_ladder, _step) = (_ladder + 1, 0);
        return Fact("ladder-started", on, ("step", _ladder));
    }

    /// <summary>A fill.</summary>
    /// <param name="on">Dispensed on.</param>
    /// <param name="product">What.</param>
    /// <param name="containers">How many.</param>
    /// <param name="supply">Billed days' supply.</param>
    /// <param name="keeps">Days from dispensing to the beyond-use date; null: none.</param>
    /// <param name="arrives">When it is due to arrive; null: the same day.</param>
    /// <param name="lot">The lot; null: one of its own.</param>
    public DemoCourse Fill(int on, string product, int containers, int supply, int? keeps = 120, int? arrives = null, string? lot = null) => Fact(
        "dispensed",
        on,
        ("product_id", product),
        ("containers", containers),
        ("expires_on", keeps is int days ? Date(on + days) : null),
        ("lot", lot ?? $"LOT-{number}-{_fact + 1}"),
        ("until", arrives is int day ? Date(day) : null),
        ("days_supply", supply));

    /// <summary>Equal fills in a rhythm: the first on the start day, each later one two days before it is needed.</summary>
    public DemoCourse Fills(string product, int containers, int every, int times)
    {
        for (var i = 0; i < times; i++)
            Fill(start + i * every - (i == 0 ? 0 : 2), product, containers, every);
        return this;
    }

    /// <summary>The fill told last arrived.</summary>
    public DemoCourse Received(int on) => Fact("received", on, ("note", FactId(_fact)));

    /// <summary>Stock as seen.</summary>
    public DemoCourse Counted(int on, string product, int containers, decimal volume) =>
        Fact("counted", on, ("product_id", product), ("containers", containers), ("volume_ml", volume));

    /// <summary>A pharmacist signed a step.</summary>
    public DemoCourse Approved(int on, int step) => Fact("approved", on, ("step", step), ("note", Pharmacist));

    /// <summary>A pharmacist keeps a step back.</summary>
    public DemoCourse Held(int on, int step, int until) => Fact("held", on, ("step", step), ("until", Date(until)), ("note", Pharmacist));

    /// <summary>No doses for a while; without an end, until resumed.</summary>
    public DemoCourse Paused(int on, int? until = null) => Fact("paused", on, ("until", until is int day ? Date(day) : null));

    /// <summary>Any other fact.</summary>
    public DemoCourse Fact(string kind, int on, params (string Column, object? Value)[] cells)
    {
        tables.Facts.Add([("fact_id", FactId(++_fact)), ("course_id", $"C-{number}"), ("kind", kind), ("on", Date(on)), .. cells]);
        return this;
    }

    private string FactId(int fact) => $"F-{number}-{fact:00}";

    private LocalDate Date(int day) => today.PlusDays(day);
}
