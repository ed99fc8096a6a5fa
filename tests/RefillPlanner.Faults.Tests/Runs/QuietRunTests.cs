using System;
using System.Linq;
using System.Threading.Tasks;
using RefillPlanner.Faults.Tests.Checker;
using RefillPlanner.Faults.Tests.Harness;
using Xunit;

namespace RefillPlanner.Faults.Tests.Runs;

/// <summary>A run in which nothing goes wrong: what the others are held against.</summary>
public sealed class QuietRunTests(ImportedRoster rosters, ITestOutputHelper output)
{
    [Fact]
    public async Task In_a_week_without_a_fault_the_promise_is_kept_and_every_kind_of_patient_is_met()
    {
        using var pharmacy = await Pharmacy.OpenAsync(rosters);
        for (var day = 0; day < 7; day++)
        {
            await pharmacy.LiveAsync(Pharmacy.At(day, 15));
            await pharmacy.LiveAsync(Pharmacy.At(day, 20));
        }

        var evidence = await pharmacy.EvidenceAsync(Pharmacy.At(6, 21));
        foreach (var state in evidence.Record.Messages.CountBy(message => (message.Kind, message.State)))
            output.WriteLine($"{state.Key.Kind} {state.Key.State}: {state.Value}");
        Assert.Empty(PromiseChecker.Run(evidence));
        Assert.Contains(evidence.Mails, mail => mail.To == "canary@example.net");
        Assert.Contains(evidence.Record.Messages, message => message is { PatientId: "PT-LAPSED", State: "suppressed" });
        Assert.Equal(evidence.Mails.Count, evidence.Mails.Select(mail => mail.MessageId).Distinct(StringComparer.Ordinal).Count());
        Assert.True(evidence.Mails.Count > 20, $"only {evidence.Mails.Count} mails");
    }
}
