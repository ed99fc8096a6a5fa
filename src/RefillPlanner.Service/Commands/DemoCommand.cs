using System;
using System.CommandLine;
using System.IO;
using System.Linq;
using System.Threading.Tasks;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Service.Demo;
using RefillPlanner.Service.Import;
using RefillPlanner.Service.Jobs;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Commands;

/// <summary><c>demo</c>: an invented pharmacy, one full cycle, the list and the mails.</summary>
internal static class DemoCommand
{
    public static Command Build(TextWriter output, TimeProvider time)
    {
        var data = SharedOptions.Data();
        data.Description = "Folder of the state. Default: a new temporary one, which is printed.";
        var config = SharedOptions.Config();
        var today = SharedOptions.Date("--today", "The day around which the demo is built. Default: today.");
        var stay = new Option<bool>("--stay") { Description = "Go on as the service." };
        var command = new Command("demo", """
            Builds an invented pharmacy around a day, runs one full cycle - import, plan, due, mail - prints the refill-due list, and names the folder of mails.

            Examples:
              refill-planner demo
              refill-planner demo --today 2026-03-02 --stay
            """) { data, config, today, stay };
        command.SetAction(async (result, cancellation) =>
        {
            var date = result.GetValue(today) ?? Instant.FromDateTimeOffset(time.GetUtcNow()).InZone(DateTimeZoneProviders.Tzdb["America/New_York"]).Date;
            var clock = new ShiftedClock((date + new LocalTime(9, 30)).InZoneLeniently(DateTimeZoneProviders.Tzdb["America/New_York"]).ToDateTimeOffset());
            using var premises = Premises.Open(result.GetValue(data) ?? Directory.CreateTempSubdirectory("refill-planner-demo-").FullName, result.GetValue(config), clock);
            var report = RosterImport.Run(premises.Desk.Database, RosterFolder.Of(DemoRoster.Build(date)), premises.Desk.Now, "demo");
            foreach (var refusal in report.Refusals)
                await output.WriteLineAsync($"refused {refusal}");
            await CycleAsync(premises.Desk, premises.OpenRoutes(), output, cancellation);
            await output.WriteLineAsync();
            await output.WriteLineAsync(premises.Desk.Settings.Mail.Host is string server ? $"Mail went to {server}" : $"Mail: {premises.DropFolder} ({Directory.EnumerateFiles(premises.DropFolder).Count()} letters)");
            await output.WriteLineAsync($"State: {premises.Folder}");
            return result.GetValue(stay) ? await RunCommand.ServeAsync(premises, output)
                : report.Refusals.Count > 0 ? ExitCode.Refused : ExitCode.Done;
        });
        return command;
    }

    private static async Task CycleAsync(Desk desk, MailRoutes routes, TextWriter output, System.Threading.CancellationToken cancellation)
    {
        var templates = MailTemplates.Of(desk.Settings.TemplatesFolder);
        var services = new ServiceCollection();
        WorkerHost.AddWork(services, desk, routes, templates);
        await using var work = services.BuildServiceProvider();
        var rounds = work.GetRequiredService<Rounds>();
        rounds.CatchUp(cancellation);
        await rounds.SendAsync(cancellation);
        using var reading = desk.Database.Read();
        foreach (var site in reading.Ledger.ListSites())
            await output.WriteLineAsync(templates.Render("morning-list.txt", "list", work.GetRequiredService<MorningWork>().List(reading, site, desk.Now)));
    }
}
