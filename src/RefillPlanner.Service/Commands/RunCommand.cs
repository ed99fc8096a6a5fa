using System;
using System.CommandLine;
using System.IO;
using System.Threading;
using System.Threading.Tasks;
using Microsoft.Extensions.Hosting;
using RefillPlanner.Service.Jobs;
using RefillPlanner.Service.Mail;

namespace RefillPlanner.Service.Commands;

/// <summary><c>run</c>: the service.</summary>
internal static class RunCommand
{
    private const string LockFile = "run.lock";

    public static Command Build(TextWriter output, TimeProvider time)
    {
        var data = SharedOptions.Data();
        var config = SharedOptions.Config();
        var today = SharedOptions.Today("Begin as if it were this day, for trying out.");
        var command = new Command("run", """
            Runs the service until it is told to stop: plans every night, writes the morning lists, alerts and notices, sends what is due.

            Examples:
              refill-planner run
              refill-planner run --data state --config refill-planner.json
            """) { data, config, today };
        command.SetAction(async (result, cancellation) =>
        {
            using var premises = Premises.Open(result.GetValue(data), result.GetValue(config), ShiftedClock.From(result.GetValue(today), time));
            return await ServeAsync(premises, output, cancellation);
        });
        return command;
    }

    /// <summary>Serves until told to stop.</summary>
    public static async Task<int> ServeAsync(Premises premises, TextWriter output, CancellationToken cancellation)
    {
        using var mine = Lock(premises.Folder);
        using var host = WorkerHost.Build(premises.Desk, premises.OpenRoutes(), MailTemplates.Of(premises.Desk.Settings.TemplatesFolder));
        await output.WriteLineAsync($"State in {premises.Folder}; mail {(premises.Desk.Settings.Mail.Host is string server ? $"goes to {server}" : $"is dropped into {premises.DropFolder}")}");
        await host.RunAsync(cancellation);
        return ExitCode.Done;
    }

    private static FileStream Lock(string folder)
    {
        try
        {
            return new FileStream(Path.Combine(folder, LockFile), FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        }
        catch (IOException)
        {
            throw new CommandException(ExitCode.AlreadyRunning, $"The service is already running on {folder}.");
        }
    }
}
