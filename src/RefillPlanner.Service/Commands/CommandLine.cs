using System;
using System.CommandLine;
using System.IO;
using System.Threading.Tasks;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Commands;

/// <summary>The program's commands, and how it ends.</summary>
public static class CommandLine
{
    /// <summary>Runs the program.</summary>
    /// <param name="args">What was typed; nothing: <c>run</c>.</param>
    /// <param name="output">Where results go.</param>
    /// <param name="errors">Where complaints go.</param>
    /// <param name="time">The one clock.</param>
    /// <returns>One of <see cref="ExitCode"/>.</returns>
    public static async Task<int> RunAsync(string[] args, TextWriter output, TextWriter errors, TimeProvider time)
    {
        var root = new RootCommand("""
            Computes when each patient's injectable supply runs out, plans refills and pharmacist checks, and writes the mails.
            Not medical advice: the label, the pharmacist, licensed practice and local law decide.

            Examples:
              refill-planner demo
              refill-planner run --data state
            """);
        string[] words = args.Length == 0 || IsOptionOfRun(args[0]) ? ["run", .. args] : args;
        foreach (var offer in ListOffers(words[0], output, time))
            root.Add(offer.Build());
        var result = root.Parse(words);
        if (result.Errors.Count > 0)
        {
            foreach (var error in result.Errors)
                await errors.WriteLineAsync(error.Message);
            await errors.WriteLineAsync("See refill-planner --help.");
            return ExitCode.Usage;
        }

        try
        {
            return await result.InvokeAsync(new InvocationConfiguration { EnableDefaultExceptionHandler = false, ProcessTerminationTimeout = null, Output = output, Error = errors });
        }
        catch (CommandException stopped)
        {
            await errors.WriteLineAsync(stopped.Message);
            return stopped.ExitCode;
        }
        catch (Exception away) when (FaultText.FindSqliteCode(away) is 5 or 6 or 10 or 14)
        {
            await errors.WriteLineAsync($"The database cannot be used: {away.Message}");
            return ExitCode.Away;
        }
        catch (Exception damage) when (DamagedRowException.IsDamage(damage))
        {
            await errors.WriteLineAsync(damage is DamagedRowException ? damage.Message
                : $"The database file is damaged ({damage.Message}): put a backup in its place; docs/how-to/restore.md says how.");
            return ExitCode.Away;
        }
        catch (Exception full) when (FaultText.FindSqliteCode(full) is 8 or 13)
        {
            await errors.WriteLineAsync($"The database cannot be written: {full.Message}");
            return ExitCode.CannotWrite;
        }
        catch (Exception fault) when (fault is not OutOfMemoryException)
        {
            // Its message is left out: that of a library may hold a patient's data.
            await errors.WriteLineAsync($"Internal error: {FaultText.Of(fault)}. Please report it with this line.");
            return ExitCode.Internal;
        }
    }

    // Only the command that is asked for is made, with its options: making all takes as long as a start of one. All, for help and where there is none
    // of that name.
    private static Offer[] ListOffers(string asked, TextWriter output, TimeProvider time)
    {
        Offer[] all =
        [
            new("run", () => RunCommand.Build(output, time)),
            new("demo", () => DemoCommand.Build(output, time)),
            new("import", () => ImportCommand.Build(output, time)),
            new("due", () => DueCommand.Build(output, time)),
            new("project", () => ProjectCommand.Build(output, time)),
            new("explain", () => ExplainCommand.Build(output, time)),
            new("record", () => RecordCommand.Build(output, time)),
            new("sign", () => SignCommand.Build(output, time)),
            new("recall", () => RecallCommand.Build(output, time)),
            new("preview", () => PreviewCommand.Build(output, time)),
            new("backup", () => BackupCommand.Build(output, time)),
            new("audit", () => AuditCommand.Build(output)),
            new("self-check", () => SelfCheckCommand.Build(output, time)),
            new("config", () => ConfigCommand.Build(output)),
        ];
        return Array.Find(all, offer => offer.Name == asked) is Offer one ? [one] : all;
    }

    // Options without a command are those of the service, but for the two of the program itself.
    private static bool IsOptionOfRun(string word) => word.StartsWith("--", StringComparison.Ordinal) && word is not ("--help" or "--version");

    private sealed record Offer(string Name, Func<Command> Build);
}
