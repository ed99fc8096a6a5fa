using System;
using System.Collections.Generic;
using System.Linq;
using System.Text;
using System.Threading.Tasks;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Import;
using RefillPlanner.Service.Tests.Work;
using Xunit;

namespace RefillPlanner.Service.Tests.Stories;

/// <summary>What is given in a story, and what happens in it that the tasks do not ask for.</summary>
internal sealed class StoryScript
{
    public static readonly DateTimeZone Zone = DateTimeZoneProviders.Tzdb["America/New_York"];
    private static readonly LocalTime Morning = new(6, 0);
    private static readonly LocalTime Noon = new(12, 0);
    private static readonly LocalTime Evening = new(18, 0);

    private readonly Dictionary<LocalDate, List<Action<StoryPharmacy, LocalDate>>> _happens = [];

    /// <summary>The roster, by file.</summary>
    public required IReadOnlyDictionary<string, string> Roster { get; init; }

    /// <summary>The first day.</summary>
    public required LocalDate From { get; init; }

    /// <summary>The day after the last.</summary>
    public required LocalDate Until { get; init; }

    /// <summary>Columns of each new prescription, beside id, course and date of issue; null: the prescriber gives none.</summary>
    public (string Column, string Value)[]? Renewal { get; init; } = [("refills_authorized", "11")];

    /// <summary>What the pharmacist decides about a check: approved or held until a date; null: nobody decides.</summary>
    public Func<string, StepUpPlan, LocalDate, (bool IsApproval, LocalDate? Until)?> Decide { get; init; } = (_, _, _) => (true, null);

    /// <summary>What is looked at at noon of every open day; null: nothing.</summary>
    public Action<StoryPharmacy, LocalDate>? Daily { get; init; }

    /// <summary>Something happens at noon of a day.</summary>
    public StoryScript On(string date, Action<StoryPharmacy, LocalDate> what)
    {
        var on = LocalDatePattern.Iso.Parse(date).Value;
        if (!_happens.TryGetValue(on, out var day))
            _happens.Add(on, day = []);
        day.Add(what);
        return this;
    }

    /// <summary>Lives through the story and writes down, day by day, what came out: tasks that became due, with why, and mails; and what people did.</summary>
    public async Task<string> LiveAsync()
    {
        using var bench = new Bench(At(From, Morning).ToDateTimeOffset());
        var report = RosterImport.Run(bench.Desk.Database, RosterFolder.Of(Roster), bench.Desk.Now, "test");
        Assert.True(report.RefusalCount == 0, string.Join('\n', report.Refusals));
        var log = new StoryLog(bench);
        var pharmacy = new StoryPharmacy(bench, this, log.Tell);
        var openDays = new OpenDays(bench.Desk.Database.Read() is var reading ? First(reading) : null!);
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        for (var day = From; day < Until; day = day.PlusDays(1))
        {
            await bench.LiveUntilAsync(At(day, Noon), _ => log.NoteAsync());
            await log.NoteAsync();
            foreach (var happens in _happens.GetValueOrDefault(day) ?? [])
                happens(pharmacy, day);
            if (openDays.IsOpen(day))
                Daily?.Invoke(pharmacy, day);
            bench.Planning.Run();
            await bench.Rounds.SweepAsync(TestContext.Current.CancellationToken);
            await log.NoteAsync();
            if (openDays.IsOpen(day))
                pharmacy.Work(day);
            await bench.Rounds.SweepAsync(TestContext.Current.CancellationToken);
            await bench.LiveUntilAsync(At(day, Evening), _ => log.NoteAsync());
            await log.NoteAsync();
            await bench.LiveUntilAsync(At(day.PlusDays(1), Morning), _ => log.NoteAsync());
        }

        return log.Text;
    }

    private static Site First(Store.StoreTransaction reading)
    {
        using (reading)
            return reading.Ledger.ListSites()[0];
    }

    private static Instant At(LocalDate day, LocalTime time) => (day + time).InZoneLeniently(Zone).ToInstant();
}

/// <summary>Writes down what came out since it was last asked.</summary>
internal sealed class StoryLog(Bench bench)
{
    private readonly StringBuilder _text = new();
    private readonly Dictionary<string, TaskState> _seen = new(StringComparer.Ordinal);
    private readonly List<string> _lines = [];
    private LocalDate _day;
    private int _letters;

    public string Text
    {
        get
        {
            Flush();
            return _text.ToString();
        }
    }

    public void Tell(string line)
    {
        var today = bench.Desk.Now.InZone(StoryScript.Zone).Date;
        if (today != _day)
            Flush();
        _day = today;
        _lines.Add(line);
    }

    public Task NoteAsync()
    {
        foreach (var task in bench.Tasks().Values.OrderBy(task => task.Task.Kind).ThenBy(task => task.Task.Key.Text, StringComparer.Ordinal))
        {
            var (key, state) = (task.Task.Key.Text, task.State);
            if (_seen.TryGetValue(key, out var before) && before == state)
                continue;
            _seen[key] = state;
            if (state is TaskState.Due or TaskState.Waiting && before is TaskState.Planned)
                Tell($"due       {TaskWords.Of(task.Task.Kind)}: {task.Task.CourseId ?? task.Task.SharpsId}{(state == TaskState.Waiting ? " (written to)" : string.Empty)}. {task.Task.Reason}");
            else if (state is TaskState.Overdue or TaskState.Withdrawn && before is not TaskState.Planned)
                Tell($"{Kebab.Of(state),-9} {key}");
        }

        foreach (var letter in bench.Route.Letters.Skip(_letters))
        {
            var to = letter.To.Mailboxes.First().Address.Split('@')[0];
            if (to != "staff" && to != "ops")
                Tell($"mail      to {to}: {letter.Subject}");
        }

        _letters = bench.Route.Letters.Count;
        return Task.CompletedTask;
    }

    private void Flush()
    {
        if (_lines.Count == 0)
            return;
        _text.Append(DateText.Full(_day)).Append('\n');
        foreach (var line in _lines)
            _text.Append("  ").Append(line).Append('\n');
        _lines.Clear();
    }
}
