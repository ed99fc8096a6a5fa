using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using MimeKit;
using NodaTime;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Demo;
using RefillPlanner.Service.Import;
using RefillPlanner.Service.Jobs;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Settings;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>The service's work over a real SQLite file with a fake clock; can be thrown away and made again over the same file.</summary>
internal sealed class Bench : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-tests-");
    private readonly PlannerSettings _settings;
    private ServiceProvider _services;

    public Bench(DateTimeOffset start, PlannerSettings? settings = null)
    {
        _settings = settings ?? new PlannerSettings();
        Time = new FakeTimeProvider(start);
        (Desk, _services) = Start();
    }

    /// <summary>The demo around a day, after a first round in which the mail server answered every letter alike.</summary>
    public static async Task<Bench> LivedAsync(DateTimeOffset start, LocalDate today, Delivery answer, PlannerSettings? settings = null)
    {
        var bench = new Bench(start, settings);
        bench.Route.Answer = _ => answer;
        bench.ImportDemo(today);
        await bench.Rounds.CatchUpAsync(CancellationToken.None);
        return bench;
    }

    public FakeTimeProvider Time { get; }

    public Desk Desk { get; private set; }

    public RecordedRoute Route { get; } = new();

    public Rounds Rounds => _services.GetRequiredService<Rounds>();

    public PlanningOnChange Planning => _services.GetRequiredService<PlanningOnChange>();

    public MorningWork Morning => _services.GetRequiredService<MorningWork>();

    public OutboxDelivery Outbox => _services.GetRequiredService<OutboxDelivery>();

    public JudgedRoster ImportDemo(LocalDate today) => RosterImport.Run(Desk.Database, RosterFolder.Of(DemoRoster.Build(today)), Desk.Now, "test");

    public JudgedRoster Import(string facts) => RosterImport.Run(Desk.Database, RosterFolder.Of(new Dictionary<string, string> { ["facts.csv"] = facts }), Desk.Now, "test");

    /// <summary>Everything in memory is lost; the file is opened again.</summary>
    public async Task KillAndRestartAsync()
    {
        await _services.DisposeAsync();
        Desk.Database.Dispose();
        (Desk, _services) = Start();
        await Rounds.CatchUpAsync(CancellationToken.None);
    }

    /// <summary>Lets the clock go on alarm by alarm, as the alarm clock would wake the work, until an instant.</summary>
    public async Task LiveUntilAsync(Instant until, Func<Instant, Task>? atAlarm = null)
    {
        // An alarm that finds nothing it may do now is tried again at the next instant, as the alarm clock would set it again.
        var tried = new HashSet<string>();
        while (Rounds.ListAlarms().FirstOrDefault(alarm => alarm.At > Desk.Now || !tried.Contains($"{alarm.Kind} {alarm.Name}")) is Alarm next && next.At <= until)
        {
            if (next.At > Desk.Now)
            {
                Time.SetUtcNow(next.At.ToDateTimeOffset());
                tried.Clear();
            }

            tried.Add($"{next.Kind} {next.Name}");
            await Rounds.HandleAsync(next.Kind, next.SiteId, CancellationToken.None);
            if (atAlarm is not null)
                await atAlarm(next.At);
        }

        Time.SetUtcNow(until.ToDateTimeOffset());
    }

    /// <summary>The database is destroyed, and another file put in its place.</summary>
    public void PutBack(string file)
    {
        _services.Dispose();
        Desk.Database.Dispose();
        var own = Path.Combine(_folder.FullName, "planner.db");
        foreach (var end in new[] { string.Empty, "-wal", "-shm" })
            File.Delete(own + end);
        File.Copy(file, own);
        (Desk, _services) = Start();
    }

    /// <summary>Changes the file behind the program's back.</summary>
    public void Damage(string sql)
    {
        using var connection = new Microsoft.Data.Sqlite.SqliteConnection($"Data Source={Path.Combine(_folder.FullName, "planner.db")};Pooling=False");
        connection.Open();
        using var command = connection.CreateCommand();
        command.CommandText = sql;
        command.ExecuteNonQuery();
    }

    public IReadOnlyDictionary<string, TaskOnRecord> Tasks()
    {
        using var reading = Desk.Database.Read();
        return reading.Ledger.ListPatients().SelectMany(patient => reading.Tasks.ListOfPatient(patient.Id)).ToDictionary(task => task.Task.Key.Text);
    }

    public void Dispose()
    {
        _services.Dispose();
        Desk.Database.Dispose();
        _folder.Delete(recursive: true);
    }

    private (Desk Desk, ServiceProvider Services) Start()
    {
        var desk = new Desk(PlannerDatabase.Open(Path.Combine(_folder.FullName, "planner.db"), Instant.FromDateTimeOffset(Time.GetUtcNow())), _settings, Time);
        var services = new ServiceCollection();
        WorkerHost.AddWork(services, desk, new MailRoutes(1, () => Route), new MailTemplates());
        return (desk, services.BuildServiceProvider());
    }
}

/// <summary>Keeps every letter given to it, and answers as it is told.</summary>
internal sealed class RecordedRoute : IMailRoute
{
    public List<MimeMessage> Letters { get; } = [];

    public Func<MimeMessage, Delivery> Answer { get; set; } = _ => new Delivery(DeliveryOutcome.Accepted, "250 taken");

    public Task<Delivery> SendAsync(MimeMessage letter, CancellationToken cancellation)
    {
        Letters.Add(letter);
        return Task.FromResult(Answer(letter));
    }

    public ValueTask DisposeAsync() => ValueTask.CompletedTask;
}
