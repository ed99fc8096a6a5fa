using System;
using System.Collections.Generic;
using System.Diagnostics.CodeAnalysis;
using CsCheck;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>Throws for the generator, all from one CsCheck source, so that a seed gives the same course again.</summary>
internal sealed class Dice(PCG source)
{
    /// <summary>0 to sides - 1.</summary>
    public int Below(int sides) => (int)source.Next((uint)sides);

    /// <summary>Both ends included.</summary>
    public int Between(int lowest, int highest) => lowest + Below(highest - lowest + 1);

    public bool Chance(int percent) => Below(100) < percent;

    public T Pick<T>(params ReadOnlySpan<T> from) => from[Below(from.Length)];

    public T PickOf<T>(IReadOnlyList<T> from) => from[Below(from.Count)];
}

/// <summary>A generator that is a function of throws; the size lets CsCheck look for the smallest failing case.</summary>
internal sealed class DiceGen<T>(Func<Dice, T> make, Func<T, int> size) : Gen<T>
{
    [SuppressMessage("Design", "MA0099", Justification = "The signature is CsCheck's.")]
    public override T Generate(PCG pcg, Size? min, out Size given)
    {
        var made = make(new Dice(pcg));
        given = new Size((ulong)size(made));
        return made;
    }
}
