using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Text.Json;
using System.Threading.Tasks;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Faults.Tests.Checker;

namespace RefillPlanner.Faults.Tests.Harness;

/// <summary>
/// A pharmacy to try faults on: a state folder with a roster in it, a mail server, and the real service, which is started and ended at
/// will. It keeps everything that is needed to judge the promise afterwards.
/// </summary>
internal sealed class Pharmacy : IDisposable
{
    private const string DatabaseName = "refill-planner.db";
    private static readonly InstantPattern Minute = InstantPattern.CreateWithInvariantCulture("uuuu-MM-dd'T'HH:mm'Z'");
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-pharmacy-");
    private readonly List<ServiceRun> _lives = [];
    private readonly HashSet<(int Life, string MessageId)> _ambiguous = [];
    private readonly HashSet<string> _listed = new(StringComparer.Ordinal);
    private readonly List<string> _acknowledged = [];
    private readonly List<MailReader> _readers;

    private Pharmacy(string template)
    {
        State = Path.Combine(_folder.FullName, "state");
        Directory.CreateDirectory(State);
        foreach (var file in Directory.EnumerateFiles(Path.Combine(template, "state")))
            File.Copy(file, Path.Combine(State, Path.GetFileName(file)));
        _readers = [.. FaultRoster.ListReaders(Path.Combine(template, "roster"))];
        Mail = new MailPeer(Clock);
    }

    /// <summary>The state folder.</summary>
    public string State { get; }

    /// <summary>The database file.</summary>
    public string Database => Path.Combine(State, DatabaseName);

    /// <summary>The time as the service has it.</summary>
    public SimulatedClock Clock { get; } = new();

    /// <summary>The mail server.</summary>
    public MailPeer Mail { get; }

    /// <summary>How often the service was killed.</summary>
    public int Kills { get; private set; }

    /// <summary>The lives of the service so far.</summary>
    public IReadOnlyList<ServiceRun> Lives => _lives;

    /// <summary>Opens one with a roster of random courses of a seed.</summary>
    public static async Task<Pharmacy> OpenAsync(ImportedRoster rosters, int courses = 20, int seed = 1) => new(await rosters.FolderAsync(courses, seed));

    /// <summary>An instant of a day of the run: day 0 is the first Monday.</summary>
    public static Instant At(int day, int hour, int minute = 0) => (FaultRoster.Today.PlusDays(day) + new LocalTime(hour, minute)).InUtc().ToInstant();

    /// <summary>Starts the service.</summary>
    /// <param name="at">The instant at which its clock begins: a whole minute.</param>
    /// <param name="orders">What is to happen to it.</param>
    public ServiceRun Start(Instant at, params IReadOnlyCollection<FaultOrder> orders)
    {
        var number = _lives.Count + 1;
        Mail.BeginLife(number);
        Clock.Begin(at);
        var points = Path.Combine(_folder.FullName, $"points-{number}.txt");
        var run = new ServiceRun(number, RealProgram.Prepare(["run", "--data", State, "--config", WriteConfig(), "--today", Minute.Format(at)], orders, points), points);
        _lives.Add(run);
        return run;
    }

    /// <summary>A time without any fault: the service starts, does what is due, is asked to stop, and does.</summary>
    public async Task LiveAsync(Instant at)
    {
        var run = Start(at);
        await run.SentAsync();
        var code = await run.StopAsync();
        if (code != 0)
            throw new InvalidOperationException($"The service ended with {code} when it was asked to stop:\n{string.Join('\n', run.Lines)}");
    }

    /// <summary>Kills a life, and keeps of which letters nobody can know.</summary>
    public async Task KillAsync(ServiceRun run)
    {
        await run.KillAsync();
        NoteKill(run);
    }

    /// <summary>A life ended by a kill: what it was sending may have gone.</summary>
    public void NoteKill(ServiceRun run)
    {
        Kills++;
        foreach (var message in DatabaseRecord.Read(Database).Messages.Where(message => message.State == "sending"))
            _ambiguous.Add((run.Number, message.MessageId));
    }

    /// <summary>Records a fact as a person does; one that is acknowledged must never be lost.</summary>
    /// <returns>Whether it was acknowledged.</returns>
    public async Task<bool> RecordAsync(Instant at, string factId, string course, string kind, params IEnumerable<string> fields)
    {
        var (code, _, _) = await RealProgram.RunAsync(["record", course, kind, "--id", factId, "--data", State, "--today", Minute.Format(at), .. fields]);
        if (code == 0)
            _acknowledged.Add(factId);
        return code == 0;
    }

    /// <summary>The patient who changes her mind opts out.</summary>
    public async Task OptOutAsync(Instant at)
    {
        var roster = Path.Combine(_folder.FullName, "opt-out");
        FaultRoster.WriteOptOut(roster, at.InUtc().Date);
        var (code, output, errors) = await RealProgram.RunAsync("import", roster, "--data", State, "--today", Minute.Format(at));
        if (code != 0)
            throw new InvalidOperationException($"The opt-out was not taken in, {code}: {output}{errors}");
        _readers.Add(new MailReader("changes@example.net", "America/New_York", "opted out", at));
    }

    /// <summary>Looks at the list as staff does.</summary>
    public async Task LookAtListAsync(Instant at)
    {
        var (code, output, errors) = await RealProgram.RunAsync("due", "--json", "--data", State, "--today", Minute.Format(at));
        if (code != 0)
            throw new InvalidOperationException($"The list could not be read, {code}: {errors}");
        using var lists = JsonDocument.Parse(output);
        var notReached = from list in lists.RootElement.EnumerateArray()
                         from section in list.GetProperty("sections").EnumerateArray()
                         where section.GetProperty("title").GetString() == "Could not be reached"
                         from row in section.GetProperty("rows").EnumerateArray()
                         select row.GetProperty("key").GetString()!;
        _listed.UnionWith(notReached);
    }

    /// <summary>All that is known at the end of a run.</summary>
    public async Task<Evidence> EvidenceAsync(Instant endedAt)
    {
        await LookAtListAsync(endedAt);
        return new Evidence
        {
            Record = DatabaseRecord.Read(Database),
            Mails = Mail.Taken,
            Ambiguous = [.. _ambiguous.Union(Mail.Unanswered).Select(letter => letter.MessageId)],
            Listed = _listed,
            Acknowledged = _acknowledged,
            Readers = _readers,
            Said = [.. Said()],
            Secrets = [.. FaultRoster.Canary, .. _readers.Select(reader => reader.Address)],
            EndedAt = endedAt,
        };
    }

    public void Dispose()
    {
        foreach (var life in _lives)
            life.Dispose();
        Mail.Dispose();
        _folder.Delete(recursive: true);
    }

    // The log of the service, and what it leaves in its folder for a supervisor: not the database and its copies, not the refused rows.
    private IEnumerable<(string Where, string Text)> Said()
    {
        foreach (var life in _lives)
        {
            foreach (var line in life.Lines)
                yield return ($"the log of life {life.Number}", line);
        }

        foreach (var file in Directory.EnumerateFiles(State).Where(file => !Path.GetFileName(file).StartsWith(DatabaseName, StringComparison.Ordinal) && !file.EndsWith(".db", StringComparison.Ordinal)))
            yield return (Path.GetFileName(file), File.ReadAllText(file));
    }

    private string WriteConfig()
    {
        var password = Path.Combine(_folder.FullName, "password");
        File.WriteAllText(password, MailPeer.Password);
        File.SetUnixFileMode(password, UnixFileMode.UserRead | UnixFileMode.UserWrite);
        var mail = new Dictionary<string, object> { ["host"] = "127.0.0.1", ["port"] = Mail.Port, ["security"] = Mail.Mode.IsTlsWanted ? "StartTls" : "Plain" };
        if (Mail.Mode.IsLoginWanted)
            (mail["user"], mail["password_file"]) = (MailPeer.User, password);
        var file = Path.Combine(_folder.FullName, "config.json");
        File.WriteAllText(file, JsonSerializer.Serialize(new { mail }));
        return file;
    }
}
