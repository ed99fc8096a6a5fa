using System;
using System.Collections.Generic;
using System.Diagnostics.Metrics;
using System.IO;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Work;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>How the service says that it is well.</summary>
public sealed class HealthTests : IDisposable
{
    private readonly Bench _bench = new(new DateTimeOffset(2026, 3, 2, 15, 0, 0, TimeSpan.Zero));

    [Theory]
    [InlineData(12, "ok")]
    [InlineData(180, "ok")]
    [InlineData(181, "late")]
    [InlineData(600, "late")]
    [InlineData(601, "bad")]
    public void P5_Health_is_the_age_of_the_last_progress(int seconds, string word)
    {
        var health = new Health(_bench.Desk, new Progress(_bench.Time));
        _bench.Time.Advance(TimeSpan.FromSeconds(seconds));
        Assert.Equal($"{word} {_bench.Time.GetUtcNow():yyyy-MM-ddTHH:mm:ssZ} progress={seconds}s queued=0 not-accepted=0 paused=no", health.Say());
    }

    [Fact]
    public void A_database_that_is_away_is_bad_and_leaves_question_marks()
    {
        var health = new Health(_bench.Desk, new Progress(_bench.Time)) { IsStorageAway = true };
        _bench.Damage("DROP TABLE pauses");
        Assert.Equal("bad 2026-03-02T15:00:00Z progress=0s queued=0 not-accepted=0 paused=?", health.Say());
    }

    [Fact]
    public void The_line_takes_the_place_of_the_last_and_a_folder_that_cannot_be_written_stops_nothing()
    {
        var folder = Directory.CreateTempSubdirectory("refill-planner-health-");
        Health.Write(folder.FullName, "ok first");
        Health.Write(folder.FullName, "ok second");
        Assert.Equal("ok second\n", File.ReadAllText(Path.Combine(folder.FullName, "health")));
        Assert.Single(folder.GetFiles());
        folder.Delete(recursive: true);
        Health.Write(folder.FullName, "ok third");
        Assert.False(folder.Exists && folder.GetFiles().Length > 0);
    }

    [Fact]
    public async Task Messages_tasks_and_failures_are_counted_without_naming_anybody()
    {
        _bench.ImportDemo(new LocalDate(2026, 3, 2));
        using var work = new BenchWork(_bench.Desk, _bench.Route);
        var counted = new Dictionary<string, long>();
        using var listener = new MeterListener { InstrumentPublished = (instrument, listener) => listener.EnableMeasurementEvents(instrument) };
        var meter = work.Meter;
        listener.SetMeasurementEventCallback<long>((instrument, value, tags, _) =>
        {
            // Other tests have meters of this name too.
            if (!meter.Owns(instrument))
                return;
            var name = instrument.Name;
            foreach (var tag in tags)
            {
                Assert.Equal("outcome", tag.Key);
                name += "/" + tag.Value;
            }

            lock (counted)
                counted[name] = counted.GetValueOrDefault(name) + value;
        });
        listener.Start();
        await work.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        listener.RecordObservableInstruments();
        Assert.Equal(_bench.Route.Letters.Count, counted["refill_planner.messages/accepted"]);
        Assert.True(counted["refill_planner.tasks_due"] > 5);
        Assert.Equal(0, counted["refill_planner.progress_age"]);
        Assert.True(counted.ContainsKey("refill_planner.queue_length"));
    }

    public void Dispose() => _bench.Dispose();
}
