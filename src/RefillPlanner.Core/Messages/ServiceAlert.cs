namespace RefillPlanner.Core.Messages;

/// <summary>What the person who runs the service must mend. No patient is named.</summary>
/// <param name="What">What happened.</param>
/// <param name="Since">Since when, in words.</param>
/// <param name="WhatToDo">What to do.</param>
public sealed record ServiceAlert(string What, string Since, string WhatToDo)
{
    /// <summary>What staff must know meanwhile.</summary>
    public string Caution => "Until it is mended, messages may not reach their readers. The refill-due list in the terminal (due) stays right: work by it, and call.";
}
