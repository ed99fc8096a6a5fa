using System;
using System.Linq;
using System.Threading.Tasks;
using Microsoft.Data.Sqlite;
using RefillPlanner.Faults.Tests.Checker;
using RefillPlanner.Faults.Tests.Harness;
using RefillPlanner.Service.Commands;
using Xunit;

namespace RefillPlanner.Faults.Tests.Runs;

/// <summary>The disk, the database file and the clock of the machine misbehave.</summary>
public sealed class StorageTests(ImportedRoster rosters)
{
    [Theory]
    [InlineData("planned")]
    [InlineData("claiming")]
    [InlineData("answered")]
    public async Task S1_On_a_full_disk_no_mail_goes_that_is_not_on_record_and_the_list_can_be_read(string point)
    {
        var mounted = await SmallDisk.TryMountAsync();
        Assert.SkipWhen(mounted is null, "no disk can be mounted here: this is not root, or not allowed to");
        await using var disk = mounted;
        using var pharmacy = await Pharmacy.OpenAsync(rosters, folderOfState: disk.Folder);
        var run = pharmacy.Start(Pharmacy.At(0, 15), FaultOrder.FreezeAt(point));
        await run.FrozenAsync();
        disk.Fill();
        await run.ThawAsync();
        await Task.WhenAny(run.SaysAsync("cannot be used"), run.SentAsync(), run.EndAsync());

        var known = DatabaseRecord.Read(pharmacy.Database).Messages.ToDictionary(message => message.MessageId);
        Assert.All(pharmacy.Mail.Taken, mail => Assert.Contains(mail.MessageId, known));
        await pharmacy.LookAtListAsync(Pharmacy.At(0, 15, 2));

        disk.Free();
        await run.StopAsync();
        pharmacy.NoteUnmarked(run);
        await pharmacy.LiveAsync(Pharmacy.At(0, 16));
        await pharmacy.LiveAsync(Pharmacy.At(0, 20));
        var evidence = await pharmacy.EvidenceAsync(Pharmacy.At(0, 21));
        Assert.Empty(PromiseChecker.Run(evidence));
        Assert.NotEmpty(evidence.Mails);
    }

    [Theory]
    [InlineData("alarms-set")]
    [InlineData("answered")]
    public async Task S3_While_somebody_else_holds_the_database_the_work_waits_and_then_goes_on(string point)
    {
        using var pharmacy = await Pharmacy.OpenAsync(rosters);
        var run = pharmacy.Start(Pharmacy.At(0, 15), FaultOrder.FreezeAt(point));
        await run.FrozenAsync();
        await using (var other = new SqliteConnection($"Data Source={pharmacy.Database};Pooling=False"))
        {
            await other.OpenAsync();
            await using var holding = other.CreateCommand();
            holding.CommandText = "BEGIN EXCLUSIVE;";
            await holding.ExecuteNonQueryAsync();
            await run.ThawAsync();
            await Task.WhenAny(run.SaysAsync("cannot be used"), run.EndAsync());
        }

        await run.StopAsync();
        pharmacy.NoteUnmarked(run);
        await pharmacy.LiveAsync(Pharmacy.At(0, 16));
        await pharmacy.LiveAsync(Pharmacy.At(0, 20));
        Assert.Empty(PromiseChecker.Run(await pharmacy.EvidenceAsync(Pharmacy.At(0, 21))));
    }

    [Fact]
    public async Task S3_Somebody_else_holds_the_database_when_it_starts_it_ends_with_69_and_the_next_start_works()
    {
        using var pharmacy = await Pharmacy.OpenAsync(rosters);
        await using (var other = new SqliteConnection($"Data Source={pharmacy.Database};Pooling=False"))
        {
            await other.OpenAsync();
            await using var holding = other.CreateCommand();
            holding.CommandText = "BEGIN EXCLUSIVE;";
            await holding.ExecuteNonQueryAsync();
            Assert.Equal(ExitCode.Away, await pharmacy.Start(Pharmacy.At(0, 15)).EndAsync());
        }

        await pharmacy.LiveAsync(Pharmacy.At(0, 16));
        Assert.Empty(PromiseChecker.Run(await pharmacy.EvidenceAsync(Pharmacy.At(0, 17))));
    }

    [Fact]
    public async Task S5_When_an_old_backup_is_put_back_nothing_is_sent_until_a_person_has_looked()
    {
        using var pharmacy = await Pharmacy.OpenAsync(rosters);
        await pharmacy.LiveAsync(Pharmacy.At(0, 15));
        var backup = await pharmacy.BackUpAsync("monday.db");
        await pharmacy.LiveAsync(Pharmacy.At(1, 15));
        pharmacy.Restore(backup);
        var sent = pharmacy.Mail.Taken.Count;

        await pharmacy.LiveAsync(Pharmacy.At(2, 15));
        await pharmacy.LiveAsync(Pharmacy.At(2, 20));
        Assert.Equal(sent, pharmacy.Mail.Taken.Count);

        await pharmacy.LiveAfterALookAsync(Pharmacy.At(3, 15));
        Assert.True(pharmacy.Mail.Taken.Count > sent, "nothing was sent after a person had looked");
        Assert.Empty(AuditCheck.Run(DatabaseRecord.Read(pharmacy.Database)));
    }

    [Theory]
    [InlineData(-3)]
    [InlineData(500)]
    public async Task T1_When_the_clock_starts_far_from_the_record_nothing_is_sent_until_a_person_has_looked(int days)
    {
        using var pharmacy = await Pharmacy.OpenAsync(rosters);
        await pharmacy.LiveAsync(Pharmacy.At(4, 15));
        var sent = pharmacy.Mail.Taken.Count;

        await pharmacy.LiveAsync(Pharmacy.At(4 + days, 15));
        Assert.Equal(sent, pharmacy.Mail.Taken.Count);

        await pharmacy.LiveAfterALookAsync(Pharmacy.At(7, 15));
        var evidence = await pharmacy.EvidenceAsync(Pharmacy.At(7, 16));
        Assert.Empty(PromiseChecker.Run(evidence));
        Assert.True(evidence.Mails.Count > sent, "nothing was sent after a person had looked");
    }
}
