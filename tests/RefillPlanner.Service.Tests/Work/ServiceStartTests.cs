using System;
using System.IO;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>The count of starts, and an older database file that was put in the place of the last.</summary>
public sealed class ServiceStartTests : IDisposable
{
    private readonly Bench _bench = new(new DateTimeOffset(2026, 3, 2, 14, 30, 0, TimeSpan.Zero));
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-start-");

    private string CountFile => Path.Combine(_folder.FullName, ServiceStart.FileName);

    [Fact]
    public void Each_start_is_counted_in_the_database_and_beside_it_and_audited()
    {
        Assert.Empty(Begin());
        Assert.Empty(Begin());
        Assert.Equal("2\n", File.ReadAllText(CountFile));
        using var reading = _bench.Desk.Database.Read();
        Assert.Equal(2, reading.Life.CountStarts());
        Assert.Equal(["1", "2"], reading.Audit.ListAbout(AuditSubject.Service, "start").Select(row => row.After));
    }

    [Theory]
    [InlineData("9\n")]
    [InlineData("no number")]
    [InlineData(null)]
    public void S5_A_file_that_has_seen_fewer_starts_than_its_folder_sends_nothing_until_a_person_confirms(string? kept)
    {
        Begin();
        if (kept is null)
            File.Delete(CountFile);
        else
            File.WriteAllText(CountFile, kept);
        var pause = Assert.Single(Begin());
        Assert.Equal((PauseKind.Restored, null), (pause.Kind, pause.Until));

        // It stays so over further starts, and ends with a person's word.
        Assert.Equal([pause], Begin());
        Assert.Empty(Begin("rph"));
        Assert.Empty(Begin());
        using var reading = _bench.Desk.Database.Read();
        Assert.Equal("rph", reading.Audit.ListAbout(AuditSubject.Service, "restored")[^1].By);
    }

    [Fact]
    public void A_new_folder_is_no_restored_one() => Assert.Empty(Begin());

    [Fact]
    public void A_kill_between_the_database_and_the_file_is_no_restored_one()
    {
        Begin();
        Begin();
        File.WriteAllText(CountFile, "1\n");
        Assert.Empty(Begin());
    }

    [Fact]
    public void A_persons_word_ends_what_waits_for_one_and_leaves_what_mends_itself()
    {
        using (var transaction = _bench.Desk.Database.Begin())
        {
            foreach (var kind in Enum.GetValues<PauseKind>())
                transaction.Pauses.Put(new Pause(kind, _bench.Desk.Now, _bench.Desk.Now + Duration.FromHours(1), 1, "a reason."), _bench.Desk.Now, "test");
            transaction.Commit();
        }

        Assert.Equal([PauseKind.MailServer], Begin("rph").Select(pause => pause.Kind));
    }

    public void Dispose()
    {
        _bench.Dispose();
        _folder.Delete(recursive: true);
    }

    private System.Collections.Generic.IReadOnlyList<Pause> Begin(string? confirmedBy = null) =>
        new ServiceStart(_bench.Desk, new ClockGuard(_bench.Desk), _folder.FullName).Begin(confirmedBy);
}
