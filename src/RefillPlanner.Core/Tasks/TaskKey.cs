using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tasks;

/// <summary>
/// A task's identity, made from its meaning: kind, the course or container it is about, and the cycle that it belongs to. The same
/// need is the same key, so planning twice plans once.
/// </summary>
/// <param name="Text">Such as <c>refill-contact/C-104/after F-12</c>.</param>
public readonly record struct TaskKey(string Text)
{
    /// <summary>The key of a need.</summary>
    /// <param name="kind">What is to be done.</param>
    /// <param name="subject">Id of the course, or of the sharps container.</param>
    /// <param name="cycle">What makes this turn of the need different from the next one, such as the fill that it follows.</param>
    public static TaskKey Of(TaskKind kind, string subject, string cycle) => new($"{Kebab.Of(kind)}/{subject}/{cycle}");

    /// <inheritdoc/>
    public override string ToString() => Text;
}
