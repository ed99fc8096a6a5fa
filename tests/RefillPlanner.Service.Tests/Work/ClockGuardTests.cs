using System;
using System.Linq;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>A clock that jumps, while the service runs and while it is off.</summary>
public sealed class ClockGuardTests : IDisposable
{
    private static readonly DateTimeOffset Start = new(2026, 3, 2, 14, 30, 0, TimeSpan.Zero);

    private readonly Bench _bench = new(Start);
    private readonly JumpingClock _clock;
    private readonly Desk _desk;

    public ClockGuardTests()
    {
        _clock = new JumpingClock(_bench.Time);
        _desk = _bench.Desk with { Time = _clock };
    }

    [Theory]
    [InlineData(365 * 24 * 60, "jumped forward by 365 days")]
    [InlineData(-365 * 24 * 60, "jumped back by 365 days")]
    [InlineData(11, "jumped forward by 11 minutes")]
    [InlineData(-180, "jumped back by 3 hours")]
    public void T1_A_jump_while_it_runs_waits_for_a_person(int minutes, string words)
    {
        var guard = new ClockGuard(_desk);
        Assert.True(guard.IsTrusted());
        _bench.Time.Advance(TimeSpan.FromMinutes(1));
        Assert.True(guard.IsTrusted());
        _clock.Jump = TimeSpan.FromMinutes(minutes);
        Assert.False(guard.IsTrusted());
        var pause = Assert.Single(Pauses());
        Assert.Equal((PauseKind.Clock, null), (pause.Kind, pause.Until));
        Assert.Contains(words, pause.Reason, StringComparison.Ordinal);

        // Setting the clock right is a second jump: it still waits, and says what it said first.
        _clock.Jump = TimeSpan.Zero;
        _bench.Time.Advance(TimeSpan.FromMinutes(1));
        Assert.False(guard.IsTrusted());
        Assert.Equal(pause, Assert.Single(Pauses()));
        Assert.Equal([PauseKind.Clock], ServiceStart.GoOn(_desk, "rph"));
        Assert.True(guard.IsTrusted());
        using var reading = _desk.Database.Read();
        Assert.Equal(["clock", "rph"], reading.Audit.ListAbout(AuditSubject.Service, "clock").Select(row => row.By));
    }

    [Theory]
    [InlineData(9)]
    [InlineData(-9)]
    public void T1_A_small_correction_is_let_pass(int minutes)
    {
        var guard = new ClockGuard(_desk);
        guard.IsTrusted();
        _clock.Jump = TimeSpan.FromMinutes(minutes);
        Assert.True(guard.IsTrusted());
        Assert.Empty(Pauses());
    }

    [Fact]
    public void T1_A_long_night_is_no_jump_while_both_clocks_go_on()
    {
        var guard = new ClockGuard(_desk);
        guard.IsTrusted();
        _bench.Time.Advance(TimeSpan.FromDays(3));
        Assert.True(guard.IsTrusted());
    }

    [Theory]
    [InlineData(-11, false)]
    [InlineData(-9, true)]
    [InlineData(60 * 24 * 399, true)]
    [InlineData(60 * 24 * 401, false)]
    public void T1_At_start_the_clock_is_held_against_the_record(int minutes, bool isTrusted)
    {
        using (var transaction = _desk.Database.Begin())
        {
            transaction.Audit.Add(_desk.Now, "test", AuditSubject.Service, "start", null, "1");
            transaction.Commit();
        }

        _clock.Jump = TimeSpan.FromMinutes(minutes);
        Assert.Equal(isTrusted, new ClockGuard(_desk).IsTrustedAtStart());
        Assert.Equal(isTrusted, Pauses().Length == 0);
    }

    [Fact]
    public void T1_An_empty_record_believes_any_clock() => Assert.True(new ClockGuard(_desk).IsTrustedAtStart());

    [Fact]
    public async Task T1_While_the_clock_is_in_doubt_nothing_comes_due_expires_or_is_sent()
    {
        _bench.ImportDemo(new LocalDate(2026, 3, 2));
        using var work = new BenchWork(_desk, _bench.Route);
        await work.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        var (sent, tasks) = (_bench.Route.Letters.Count, _bench.Tasks());
        _clock.Jump = TimeSpan.FromDays(366);
        await work.Rounds.SweepAsync(TestContext.Current.CancellationToken);
        await work.Rounds.HandleAsync(AlarmKind.SitePlanning, "S-1", TestContext.Current.CancellationToken);
        await work.Rounds.HandleAsync(AlarmKind.SiteMorning, "S-1", TestContext.Current.CancellationToken);
        Assert.Equal(sent, _bench.Route.Letters.Count);
        Assert.Equal(tasks, _bench.Tasks());
        using var reading = _desk.Database.Read();
        Assert.Equal(0, reading.Outbox.Count(MessageState.Expired));
        Assert.Contains("paused=clock", work.Health.Say(), StringComparison.Ordinal);
        var site = reading.Ledger.ListSites()[0];
        Assert.Contains("the clock jumped forward by 366 days", Assert.Single(_bench.Morning.List(reading, site, _bench.Desk.Now).Notes), StringComparison.Ordinal);
    }

    [Fact]
    public void What_keeps_mail_from_being_sent_stands_on_top_of_the_list_in_both_forms()
    {
        _bench.ImportDemo(new LocalDate(2026, 3, 2));
        using (var transaction = _desk.Database.Begin())
        {
            transaction.Pauses.Put(new Pause(PauseKind.Restored, _desk.Now, null, 1, "an older file was put back."), _desk.Now, "test");
            transaction.Commit();
        }

        using var reading = _desk.Database.Read();
        var list = _bench.Morning.List(reading, reading.Ledger.ListSites()[0], _desk.Now);
        foreach (var name in new[] { "morning-list.txt", "morning-list.html" })
        {
            var text = new MailTemplates().Render(name, "list", list);
            var at = text.IndexOf("an older file was put back.", StringComparison.Ordinal);
            Assert.InRange(at, 1, text.IndexOf("Could not be reached", StringComparison.Ordinal) is var row && row > 0 ? row : text.Length);
            Assert.Contains("--go-on", text, StringComparison.Ordinal);
        }
    }

    public void Dispose() => _bench.Dispose();

    private Pause[] Pauses()
    {
        using var reading = _desk.Database.Read();
        return [.. reading.Pauses.List()];
    }
}
