using System;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tasks;

/// <summary>
/// A task's identity, made from its meaning: kind, the course or container it is about, and the cycle that it belongs to. The same
/// need is the same key, so planning twice plans once.
/// </summary>
/// <param name="Text">Such as <c>refill-contact/C-104/after F-12</c>.</param>
public readonly record struct TaskKey(string Text)
{
    // Without letters that are easily taken for a figure or another letter.
    private const string Letters = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
    private const int ReferenceLength = 4;

    /// <summary>The key of a need.</summary>
    /// <param name="kind">What is to be done.</param>
    /// <param name="subject">Id of the course, or of the sharps container.</param>
    /// <param name="cycle">What makes this turn of the need different from the next one, such as the fill that it follows.</param>
    public static TaskKey Of(TaskKind kind, string subject, string cycle) => new($"{Kebab.Of(kind)}/{subject}/{cycle}");

    /// <summary>Id of the course, or of the sharps container. Ids have no slash in them.</summary>
    public string Subject => Text.Split('/') is [_, var subject, ..] ? subject : string.Empty;

    /// <summary>What makes this turn of the need different from the next one.</summary>
    public string Cycle => Text[(Text.IndexOf('/', Text.IndexOf('/', StringComparison.Ordinal) + 1) + 1)..];

    /// <summary>
    /// A short name of the key, to be typed: the course or container, and four letters or figures that tell its tasks apart. Two tasks of one course may share
    /// it by chance, once in a million pairs.
    /// </summary>
    /// <example><c>C-104:7KQF</c>.</example>
    public string Reference
    {
        get
        {
            // Spread over all bits: keys that differ in one figure lie close together otherwise.
            var value = Stamp.Empty.With(Text).Value;
            value = unchecked((value ^ (value >> 33)) * 0xff51afd7ed558ccd);
            value ^= value >> 33;
            return $"{Subject}:{string.Create(ReferenceLength, value, static (letters, bits) =>
            {
                for (var place = 0; place < letters.Length; place++, bits >>= 5)
                    letters[place] = Letters[(int)(bits & 31)];
            })}";
        }
    }

    /// <summary>Whether a text names this key: in full, or by its <see cref="Reference"/>, in capitals or not.</summary>
    public bool IsNamed(string text) => text == Text || string.Equals(text, Reference, StringComparison.OrdinalIgnoreCase);

    /// <summary>The course or container that a reference speaks of; null: the text is none.</summary>
    public static string? SubjectOf(string reference) => reference.LastIndexOf(':') is > 0 and var colon && reference.Length - colon - 1 == ReferenceLength ? reference[..colon] : null;

    /// <inheritdoc/>
    public override string ToString() => Text;
}
