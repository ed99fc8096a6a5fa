using System;

namespace RefillPlanner.Service.Import;

/// <summary>A roster file that must be refused as a whole while it is read.</summary>
/// <param name="refusal">Why.</param>
/// <param name="isWhole">Whether all its bytes can be had, to be given back for mending.</param>
internal sealed class UnreadableFileException(Refusal refusal, bool isWhole = true) : Exception(refusal.Reason)
{
    public Refusal Refusal => refusal;

    public bool IsWhole => isWhole;
}
