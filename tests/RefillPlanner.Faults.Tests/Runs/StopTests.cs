using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Faults.Tests.Checker;
using RefillPlanner.Faults.Tests.Harness;
using RefillPlanner.Service.Commands;
using Xunit;

namespace RefillPlanner.Faults.Tests.Runs;

/// <summary>How the service ends, stands still, and comes back after a long time.</summary>
public sealed class StopTests(ImportedRoster rosters)
{
    // What a supervisor waits before it kills.
    private static readonly TimeSpan PatienceOfASupervisor = TimeSpan.FromSeconds(25);

    [Fact]
    public async Task P3_Asked_to_stop_while_the_server_holds_its_answer_it_is_out_in_25_seconds_and_the_rest_stays_queued()
    {
        using var pharmacy = await Pharmacy.OpenAsync(rosters);
        pharmacy.Mail.Mode = MailMode.SilentAfterTheDot;
        var run = pharmacy.Start(Pharmacy.At(0, 15));
        await pharmacy.Mail.HungAsync().WaitAsync(RealProgram.Patience);
        await run.TerminateAsync();
        Assert.Equal(ExitCode.Done, await run.EndAsync().WaitAsync(PatienceOfASupervisor));

        var held = pharmacy.Mail.Unanswered.Select(letter => letter.MessageId).ToHashSet(StringComparer.Ordinal);
        var messages = DatabaseRecord.Read(pharmacy.Database).Messages;
        Assert.All(messages.Where(message => held.Contains(message.MessageId)), message => Assert.Equal("unknown", message.State));
        Assert.All(messages.Where(message => !held.Contains(message.MessageId) && message.To is not null), message => Assert.Equal(("queued", 0L), (message.State, message.Attempts)));
        Assert.Contains(messages, message => message.State == "queued");

        pharmacy.Mail.Mode = MailMode.Normal;
        await pharmacy.LiveAsync(Pharmacy.At(0, 16));
        await pharmacy.LiveAsync(Pharmacy.At(0, 21));
        Assert.Empty(PromiseChecker.Run(await pharmacy.EvidenceAsync(Pharmacy.At(0, 22))));
    }

    [Fact]
    public async Task P4_After_three_rounds_in_a_row_that_throw_it_ends_with_70_and_a_new_start_makes_up_for_it()
    {
        using var pharmacy = await Pharmacy.OpenAsync(rosters);
        var run = pharmacy.Start(Pharmacy.At(0, 15), FaultOrder.ThrowAt("list-decided", 1, 1_000));
        Assert.Equal(ExitCode.Internal, await run.EndAsync());
        Assert.Equal(3, run.Points.Count(point => point == "list-decided"));

        await pharmacy.LiveAsync(Pharmacy.At(0, 20));
        Assert.Empty(PromiseChecker.Run(await pharmacy.EvidenceAsync(Pharmacy.At(0, 21))));
    }

    [Fact]
    public async Task P4_A_single_round_that_throws_does_not_end_it()
    {
        using var pharmacy = await Pharmacy.OpenAsync(rosters);
        var run = pharmacy.Start(Pharmacy.At(0, 15), FaultOrder.ThrowAt("list-decided", 1, 1));
        await run.SentAsync();
        Assert.Equal(ExitCode.Done, await run.StopAsync());
        await pharmacy.LiveAsync(Pharmacy.At(0, 20));
        Assert.Empty(PromiseChecker.Run(await pharmacy.EvidenceAsync(Pharmacy.At(0, 21))));
    }

    [Fact]
    public async Task P6_A_second_one_on_the_same_folder_ends_with_75_and_the_first_goes_on()
    {
        using var pharmacy = await Pharmacy.OpenAsync(rosters);
        var first = pharmacy.Start(Pharmacy.At(0, 15));
        await first.ReadyAsync();
        var second = pharmacy.Start(Pharmacy.At(0, 15, 1));
        Assert.Equal(ExitCode.AlreadyRunning, await second.EndAsync());
        Assert.Contains(second.Lines, line => line.Contains("already running", StringComparison.Ordinal));
        Assert.Equal(ExitCode.Done, await first.StopAsync());
        await pharmacy.LiveAsync(Pharmacy.At(0, 20));
        Assert.Empty(PromiseChecker.Run(await pharmacy.EvidenceAsync(Pharmacy.At(0, 21))));
    }

    [Theory]
    [InlineData("claimed")]
    [InlineData("handing-over")]
    [InlineData("answered")]
    [InlineData("due-decided")]
    public async Task S8_Frozen_in_the_middle_of_its_work_it_goes_on_afterwards_and_nothing_goes_twice(string point)
    {
        using var pharmacy = await Pharmacy.OpenAsync(rosters);
        var run = pharmacy.Start(Pharmacy.At(0, 15), FaultOrder.FreezeAt(point));
        await run.FrozenAsync();
        var second = pharmacy.Start(Pharmacy.At(0, 15, 1));
        Assert.Equal(ExitCode.AlreadyRunning, await second.EndAsync());
        await run.ThawAsync();
        await run.SentAsync();
        Assert.Equal(ExitCode.Done, await run.StopAsync());
        await pharmacy.LiveAsync(Pharmacy.At(0, 20));

        var evidence = await pharmacy.EvidenceAsync(Pharmacy.At(0, 21));
        Assert.Empty(evidence.Ambiguous);
        Assert.Empty(PromiseChecker.Run(evidence));
    }

    [Fact]
    public async Task P7_After_three_weeks_off_each_patient_gets_one_mail_a_day_and_what_is_too_late_is_on_the_list()
    {
        using var pharmacy = await Pharmacy.OpenAsync(rosters);
        pharmacy.Mail.Mode = MailMode.Bad.Single(mode => mode.Name == "450 at RCPT");
        await pharmacy.LiveAsync(Pharmacy.At(0, 15));
        pharmacy.Mail.Mode = MailMode.Normal;
        await pharmacy.LiveAsync(Pharmacy.At(21, 15));
        await pharmacy.LiveAsync(Pharmacy.At(21, 20));
        await pharmacy.LiveAsync(Pharmacy.At(22, 15));

        var evidence = await pharmacy.EvidenceAsync(Pharmacy.At(22, 16));
        Assert.Empty(PromiseChecker.Run(evidence));
        Assert.Contains(evidence.Record.Messages, message => message is { Kind: "patient-notice", State: "expired" } && evidence.Listed.Contains(message.Key));
        var notices = evidence.Record.Messages.Where(message => message.Kind == "patient-notice").Select(message => message.MessageId).ToHashSet(StringComparer.Ordinal);
        Assert.Contains(evidence.Mails, mail => notices.Contains(mail.MessageId));
        Assert.All(PerDay(evidence.Mails.Where(mail => notices.Contains(mail.MessageId)), evidence), day => Assert.Equal(1, day.Value));
    }

    private static IEnumerable<KeyValuePair<(string To, LocalDate On), int>> PerDay(IEnumerable<TakenMail> mails, Evidence evidence)
    {
        var zones = evidence.Readers.DistinctBy(reader => reader.Address).ToDictionary(reader => reader.Address, reader => DateTimeZoneProviders.Tzdb[reader.Zone]);
        return mails.CountBy(mail => (mail.To, mail.At.InZone(zones[mail.To]).Date));
    }
}
