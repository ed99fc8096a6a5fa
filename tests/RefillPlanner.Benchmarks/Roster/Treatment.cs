using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Benchmarks.Roster;

/// <summary>What may be prescribed of a product.</summary>
/// <param name="Product">The product.</param>
/// <param name="Doses">The doses of a dosing day for each step, rising.</param>
/// <param name="EveryDays">Days from one dosing day to the next.</param>
/// <param name="Devices">Syringes that suit; none: the product brings its own needle.</param>
internal sealed record Treatment(Product Product, decimal[][] Doses, int EveryDays, Device[] Devices)
{
    /// <summary>How many dosing days one container lasts.</summary>
    /// <param name="step">Index into <see cref="Doses"/>.</param>
    /// <param name="device">The syringe; null: none.</param>
    public int DosingDaysOfContainer(int step, Device? device)
    {
        var doses = Doses[step];
        if (Product.Kind == ProductKind.PrefilledSyringe || Product.Kind == ProductKind.SingleDoseVial)
            return 1;
        long needed = 0;
        foreach (var dose in doses)
            needed += Volume.FromMl(decimal.Round(dose * Product.Strength!.Value.Per.Ml / Product.Strength.Value.Amount.Value, 6)).Nanolitres + (device?.DeadSpace ?? Product.Prime).Nanolitres;
        var byVolume = (int)((Product.Volume!.Value.Nanolitres - Product.FirstPrime.Nanolitres) / needed);
        var byDate = Product.InUseDays is int days ? (days - 1) / EveryDays + 1 : byVolume;
        return int.Max(1, int.Min(byVolume, byDate));
    }
}
