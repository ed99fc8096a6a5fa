using System;
using System.Collections.Generic;

namespace RefillPlanner.Roster;

/// <summary>Throws from a seed: a small generator of its own, so that a seed means the same on every runtime.</summary>
internal sealed class Dice
{
    private ulong _state;

    public Dice(int seed, int number, int purpose)
    {
        _state = (ulong)(uint)seed * 0x9E3779B97F4A7C15 ^ (ulong)(uint)number * 0xC2B2AE3D27D4EB4F ^ (ulong)(uint)purpose << 56;
        Next();
    }

    /// <summary>0 to sides - 1.</summary>
    public int Below(int sides) => (int)(Next() % (ulong)sides);

    /// <summary>Both ends included.</summary>
    public int Between(int lowest, int highest) => lowest + Below(highest - lowest + 1);

    public bool Chance(int percent) => Below(100) < percent;

    public T Pick<T>(IReadOnlyList<T> from) => from[Below(from.Count)];

    // SplitMix64 (public domain, by its author's dedication).
    private ulong Next()
    {
        var mixed = _state += 0x9E3779B97F4A7C15;
        mixed = (mixed ^ mixed >> 30) * 0xBF58476D1CE4E5B9;
        mixed = (mixed ^ mixed >> 27) * 0x94D049BB133111EB;
        return mixed ^ mixed >> 31;
    }
}
