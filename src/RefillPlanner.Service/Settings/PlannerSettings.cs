using System.Collections.Generic;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Service.Mail;

namespace RefillPlanner.Service.Settings;

/// <summary>What the one configuration file says, after its defaults.</summary>
public sealed record PlannerSettings
{
    /// <summary>Where mail goes.</summary>
    public MailSettings Mail { get; init; } = new();

    /// <summary>Where answers and delivery reports come.</summary>
    public MailboxSettings Mailbox { get; init; } = new();

    /// <summary>Folder of the pharmacy's own templates; null: only those that the program carries.</summary>
    public string? TemplatesFolder { get; init; }

    /// <summary>The settings of every site that has none of its own.</summary>
    public Policy Policy { get; init; } = Policy.Default;

    /// <summary>The settings of single sites, complete.</summary>
    public IReadOnlyDictionary<string, Policy> Sites { get; init; } = new Dictionary<string, Policy>();

    /// <summary>Where in the file each key stands, as <c>file:line</c>, by its full name such as <c>sites.S-1.fill_days</c>; the others have their defaults.</summary>
    public IReadOnlyDictionary<string, string> Sources { get; init; } = new Dictionary<string, string>();

    /// <summary>The settings of a site.</summary>
    public Policy PolicyOf(string siteId) => Sites.TryGetValue(siteId, out var policy) ? policy : Policy;
}

/// <summary>What is wrong with the configuration file.</summary>
/// <param name="File">The file.</param>
/// <param name="Line">The line; 0: the file as a whole.</param>
/// <param name="Reason">What, and what would be right.</param>
public sealed record SettingsFault(string File, int Line, string Reason)
{
    /// <summary>One line for a terminal.</summary>
    public override string ToString() => Line > 0 ? $"{File}:{Line}: {Reason}" : $"{File}: {Reason}";
}
