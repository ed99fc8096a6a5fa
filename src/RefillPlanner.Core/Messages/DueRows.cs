using System.Collections.Generic;

namespace RefillPlanner.Core.Messages;

/// <summary>What the record has for the refill-due list of a site.</summary>
/// <param name="Tasks">The tasks, earliest first.</param>
/// <param name="Damaged">What should be among them and cannot be shown.</param>
public sealed record DueRows(IReadOnlyList<ListedTask> Tasks, IReadOnlyList<ListedDamage> Damaged);
