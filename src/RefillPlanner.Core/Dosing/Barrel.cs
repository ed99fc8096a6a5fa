using System;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Dosing;

/// <summary>What is printed on a syringe: its lines, which of them carry a number, and the number.</summary>
/// <param name="Capacity">Volume of the last line; a whole number of graduations.</param>
/// <param name="Graduation">Volume from one line to the next; above zero.</param>
/// <param name="UnitsPerMl">Units per mL on a barrel marked in units; null on one marked in mL.</param>
/// <example>The 0.5 mL U-100 barrel with 0.01 mL lines has 50 lines, a number at every fifth: 0, 5, 10 to 50.</example>
public sealed record Barrel(Volume Capacity, Volume Graduation, decimal? UnitsPerMl)
{
    private const int MostNumbers = 12;

    /// <summary>The barrel of a syringe.</summary>
    public static Barrel Of(Device device) => new(device.Capacity, device.Graduation, device.UnitsPerMl);

    /// <summary>How many steps it has: the lines without the one at zero.</summary>
    public long Lines => Capacity.Nanolitres / Graduation.Nanolitres;

    /// <summary>The printed value of a volume: units on a barrel marked in units, else mL.</summary>
    public decimal Printed(Volume volume) => UnitsPerMl is decimal perMl ? volume.Ml * perMl : volume.Ml;

    /// <summary>The printed value of a line; 0 is the line at zero.</summary>
    public decimal PrintedAt(long line) => Printed(new Volume(line * Graduation.Nanolitres));

    /// <summary>
    /// Every how many lines a number is printed: the smallest step of 1, 2 or 5 times a power of ten that falls on lines and gives at most
    /// 12 numbers. Where no such step falls on lines, only the last line has its number.
    /// </summary>
    public long LinesPerNumber
    {
        get
        {
            var line = Printed(Graduation);
            var last = Printed(Capacity);
            for (var power = 0.000001m; power <= last; power *= 10)
            {
                foreach (var digit in (ReadOnlySpan<int>)[1, 2, 5])
                {
                    var step = power * digit;
                    if (step * MostNumbers >= last && step <= last && step % line == 0)
                        return (long)(step / line);
                }
            }

            return Lines;
        }
    }
}
