using System;
using System.CommandLine;
using System.IO;
using RefillPlanner.Service.Settings;

namespace RefillPlanner.Service.Commands;

/// <summary><c>config</c>: checks the configuration and shows what holds.</summary>
internal static class ConfigCommand
{
    public static Command Build(TextWriter output)
    {
        var config = SharedOptions.Config();
        var site = new Option<string?>("--site") { Description = "Show what holds at this site.", HelpName = "ID" };
        var sources = new Option<bool>("--sources") { Description = "Say of each value where it comes from: the file with its line, or the default." };
        var show = new Command("show", """
            Checks the configuration file and shows every setting that holds; secrets are never shown.

            Examples:
              refill-planner config show --config refill-planner.json
              refill-planner config show --config refill-planner.json --site S-1 --sources
            """) { config, site, sources };
        show.SetAction(result =>
        {
            var settings = Premises.ReadSettings(result.GetValue(config));
            var id = result.GetValue(site);
            string Source(params string?[] names)
            {
                if (!result.GetValue(sources))
                    return string.Empty;
                var name = Array.Find(names, name => name is not null && settings.Sources.ContainsKey(name));
                return "  <- " + (name is null ? "default" : settings.Sources[name]);
            }

            foreach (var key in MailKeys.All.Values)
                output.WriteLine($"mail.{key.Key} = {key.Show(settings.Mail)}{Source("mail." + key.Key)}");
            foreach (var key in MailboxKeys.All.Values)
                output.WriteLine($"mailbox.{key.Key} = {key.Show(settings.Mailbox)}{Source("mailbox." + key.Key)}");
            var policy = id is not null ? settings.PolicyOf(id) : settings.Policy;
            foreach (var key in PolicyKeys.All.Values)
                output.WriteLine($"policy.{key.Key} = {key.Show(policy)}  ({key.Range}){Source(id is null ? null : $"sites.{id}.{key.Key}", "policy." + key.Key)}");
            return ExitCode.Done;
        });
        return new Command("config", """
            The configuration file: JSON with the sections mail, mailbox, policy and sites.

            Examples:
              refill-planner config show
              refill-planner config show --config refill-planner.json
            """) { show };
    }
}
