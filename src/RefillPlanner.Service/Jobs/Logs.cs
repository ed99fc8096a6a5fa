using Microsoft.Extensions.Hosting.Systemd;
using Microsoft.Extensions.Logging;

namespace RefillPlanner.Service.Jobs;

/// <summary>What is logged, and how: one line each, to the journal with its levels under systemd.</summary>
internal static class Logs
{
    // These log exceptions with their messages, which may hold a patient's data; what they catch is logged by this program itself.
    private static readonly string[] WithForeignMessages = ["Microsoft.Extensions.Hosting.Internal.Host", "Quartz.Core.JobRunShell", "Quartz.Core.ErrorLogger"];

    /// <summary>Sets it.</summary>
    public static void Set(ILoggingBuilder logging)
    {
        logging.ClearProviders();
        if (SystemdHelpers.IsSystemdService())
            logging.AddSystemdConsole();
        else
            logging.AddSimpleConsole(console => console.SingleLine = true);
        logging.AddFilter("Quartz", LogLevel.Warning);
        foreach (var category in WithForeignMessages)
            logging.AddFilter(category, LogLevel.None);
    }
}
