using System;
using System.CommandLine;
using System.IO;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Service.Jobs;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Commands;

/// <summary><c>run</c>: the service.</summary>
internal static class RunCommand
{
    public static Command Build(TextWriter output, TimeProvider time)
    {
        var data = SharedOptions.Data();
        var config = SharedOptions.Config();
        var today = SharedOptions.Today("Begin as if it were this day, for trying out.");
        var goOn = new Option<bool>("--go-on") { Description = "A person has looked: mail goes out again after a restored backup, a clock jump, or refusals." };
        var command = new Command("run", """
            Runs the service until it is told to stop: plans every night, writes the morning lists, alerts and notices, sends what is due.
            With --go-on beside a service that is running already, it tells that one to go on, and ends.

            Examples:
              refill-planner run
              refill-planner run --data state --config refill-planner.json
            """) { data, config, today, goOn };
        command.SetAction(async result =>
        {
            using var premises = Premises.Open(result.GetValue(data), result.GetValue(config), result.GetValue(today) ?? time);
            return await ServeAsync(premises, output, result.GetValue(goOn));
        });
        return command;
    }

    /// <summary>Serves until told to stop.</summary>
    /// <param name="premises">State folder, settings, clock.</param>
    /// <param name="output">Where a person reads how it begins.</param>
    /// <param name="goOn">Whether a person says that mail may go on.</param>
    /// <returns>The exit code.</returns>
    public static async Task<int> ServeAsync(Premises premises, TextWriter output, bool goOn = false)
    {
        using var mine = RunLock.TryTake(premises.Folder);
        if (mine is null)
            return goOn ? await TellToGoOnAsync(premises, output) : throw new CommandException(ExitCode.AlreadyRunning, $"The service is already running on {premises.Folder}.");
        using var signals = new StopSignals(premises.Desk.Time);
        await BeginAsync(premises, output, goOn);
        var host = WorkerHost.Build(premises.Desk, premises.OpenRoutes(), MailTemplates.Of(premises.Desk.Settings.TemplatesFolder), premises.Folder);
        var check = Task.CompletedTask;
        host.Services.GetRequiredService<IHostApplicationLifetime>().ApplicationStarted.Register(() => check = Task.Run(() => CheckAsync(premises, output), CancellationToken.None));
        var exitCode = await WorkerHost.RunAsync(host, signals.Stopping);
        if (check.IsCompleted)
            await check;
        return exitCode;
    }

    // Beside the work, once it is ready, because a large file takes a while: each row is checked anyway when it is read.
    private static async Task CheckAsync(Premises premises, TextWriter output)
    {
        foreach (var complaint in premises.Desk.Database.Check())
            await output.WriteLineAsync($"{complaint} Run self-check; if it says the same, put a backup in its place: docs/how-to/restore.md says how. Meanwhile nothing that is damaged is used.");
    }

    private static async Task BeginAsync(Premises premises, TextWriter output, bool goOn)
    {
        try
        {
            var pauses = new ServiceStart(premises.Desk, new ClockGuard(premises.Desk), premises.Folder).Begin(goOn ? Environment.UserName : null);
            await output.WriteLineAsync($"State in {premises.Folder}; mail {(premises.Desk.Settings.Mail.Host is string server ? $"goes to {server}" : $"is dropped into {premises.DropFolder}")}");
            foreach (var pause in pauses)
                await output.WriteLineAsync(pause.Say(NodaTime.DateTimeZone.Utc));
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            throw new CommandException(ExitCode.CannotWrite, $"The folder {premises.Folder} cannot be written: {failure.Message}");
        }
    }

    private static async Task<int> TellToGoOnAsync(Premises premises, TextWriter output)
    {
        var ended = ServiceStart.GoOn(premises.Desk, Environment.UserName);
        await output.WriteLineAsync(ended.Count == 0
            ? $"Nothing waits for a person. The service runs on {premises.Folder}."
            : $"The service that runs on {premises.Folder} goes on; ended: {string.Join(", ", ended.Select(kind => Kebab.Of(kind)))}.");
        return ExitCode.Done;
    }
}
