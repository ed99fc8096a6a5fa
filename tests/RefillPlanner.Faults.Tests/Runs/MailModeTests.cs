using System.Linq;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Faults.Tests.Checker;
using RefillPlanner.Faults.Tests.Harness;
using Xunit;

namespace RefillPlanner.Faults.Tests.Runs;

/// <summary>
/// A mail server that misbehaves in one way for some hours and is well again, and a person who looks, where one is called for: the promise is
/// kept.
/// </summary>
public sealed class MailModeTests(ImportedRoster rosters, ITestOutputHelper output)
{
    public static TheoryData<string> Names() => [.. MailMode.Bad.Select(mode => mode.Name)];

    [Theory]
    [MemberData(nameof(Names))]
    public async Task While_the_mail_server_misbehaves_and_after_it_the_promise_is_kept(string name)
    {
        var mode = MailMode.Bad.Single(mode => mode.Name == name);
        using var pharmacy = await Pharmacy.OpenAsync(rosters);
        pharmacy.Mail.Mode = mode;
        await LiveAsync(pharmacy, mode, Pharmacy.At(0, 15));
        await LiveAsync(pharmacy, mode, Pharmacy.At(0, 15, 45));
        pharmacy.Mail.Mode = MailMode.Normal;
        await pharmacy.LiveAfterALookAsync(Pharmacy.At(0, 18));
        await pharmacy.LiveAsync(Pharmacy.At(0, 21));
        await pharmacy.LiveAsync(Pharmacy.At(5, 16));

        var evidence = await pharmacy.EvidenceAsync(Pharmacy.At(5, 17));
        foreach (var state in evidence.Record.Messages.CountBy(message => (message.Kind, message.State)))
            output.WriteLine($"{state.Key.Kind} {state.Key.State}: {state.Value}");
        Assert.Empty(PromiseChecker.Run(evidence));
        Assert.NotEmpty(evidence.Mails);
    }

    // What keeps the program waiting without end is ended by a kill.
    private static async Task LiveAsync(Pharmacy pharmacy, MailMode mode, Instant at)
    {
        if (mode.HangsAt is null)
        {
            await pharmacy.LiveAsync(at);
            return;
        }

        var run = pharmacy.Start(at);
        await Task.WhenAny(pharmacy.Mail.HungAsync(), run.EndAsync()).WaitAsync(RealProgram.Patience);
        await pharmacy.KillAsync(run);
    }
}
