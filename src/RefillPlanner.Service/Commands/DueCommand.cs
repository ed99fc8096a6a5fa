using System;
using System.Collections.Generic;
using System.CommandLine;
using System.IO;
using System.Linq;
using System.Text.Json;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Commands;

/// <summary><c>due</c>: the refill-due list of the day.</summary>
internal static class DueCommand
{
    public static Command Build(TextWriter output, TimeProvider time)
    {
        var data = SharedOptions.Data();
        var config = SharedOptions.Config();
        var json = SharedOptions.Json();
        var today = SharedOptions.Today("The day. Default: today at the site.");
        var ticking = new TickingOptions();
        var command = new Command("due", """
            Plans those patients for whom a fact or a date calls, and prints the refill-due list of each site: what, for whom, by when, and why.
            With --done and the like it says instead what became of tasks, named by their key or by the short name on the list.

            Examples:
              refill-planner due --today 2026-03-02 --json
              refill-planner due --done C-104:7KQF --by "Ann Awl, RPh"
              refill-planner due --postpone C-104:7KQF --to 2026-03-06 --because "away until Thursday" --by "Bo Brace"
            """) { data, config, json, today };
        ticking.AddTo(command);
        command.SetAction(result =>
        {
            var asked = ticking.Find(result);
            using var premises = Premises.Open(result.GetValue(data), result.GetValue(config), result.GetValue(today) ?? time);
            if (asked is (var request, var named))
                return ticking.Do(result, request, named, premises.Desk, result.GetValue(json), output);
            var templates = MailTemplates.Of(premises.Desk.Settings.TemplatesFolder);
            var planning = new PatientPlanning(premises.Desk);
            var composer = new MailComposer(templates, premises.Desk.Settings.Mail);
            var morning = new MorningWork(premises.Desk, planning, new DueTasks(premises.Desk, planning, new PatientLetters(composer), composer), composer);
            var onChange = new PlanningOnChange(premises.Desk, planning);
            var isPlanned = true;
            try
            {
                ProgressBar.Show("Planning", onChange.CountCalledFor(), output, tell => onChange.Run(tell: tell));
            }
            catch (Exception fault) when (DamagedRowException.IsDamage(fault) || FaultText.IsStorageAway(fault))
            {
                isPlanned = false;
                result.InvocationConfiguration.Error.WriteLine($"Nothing was planned, the list is as it was before: {fault.Message}");
            }

            using var reading = premises.Desk.Database.Read();
            var lists = reading.Ledger.ListSites().Select(site => morning.List(reading, site, premises.Desk.Now)).ToArray();
            output.WriteLine(result.GetValue(json)
                ? JsonSerializer.Serialize(lists, CommandJson.Options)
                : string.Join("\n\n", lists.Select(list => templates.Render("morning-list.txt", "list", list).TrimEnd('\n'))));
            return isPlanned ? ExitCode.Done : ExitCode.Refused;
        });
        return command;
    }
}
