using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>What one dosing day of a step takes out of the patient's containers, in nanolitres, worked out once.</summary>
internal sealed class StepDemand
{
    private StepDemand(ProductShelf shelf, Step step, Device? device, IReadOnlyList<Draw> draws, IReadOnlyList<Finding> stops)
    {
        Place = shelf.PlaceOf(step.ProductId);
        Shelf = shelf[Place];
        Family = Shelf.Family;
        Draws = draws;
        Stops = stops;
        Doses = [.. draws.Select(draw => new DoseDemand(draw))];
        FirstNeeded = draws[0].Stop is null ? Doses[0].Needed[0] : -1;
        NeededPerDay = Doses.Sum(dose => dose.Needed.Sum());
        UsedPerDay = Doses.Sum(dose => dose.Marks.Sum());
        InjectionsPerDay = draws.Sum(draw => draw.Injections);
        Stamp = Stamp.Empty.With(Product.ToString()).With(device?.ToString());
        Giving = stops.Count > 0 ? Giving.Stopped
            : Product.Kind is ProductKind.MultiDoseVial or ProductKind.Pen && NeededPerDay > 0 ? Giving.ByDay
            : Product.Kind == ProductKind.PrefilledSyringe ? Giving.BySyringe
            : Giving.ByDose;
    }

    /// <summary>The product called for.</summary>
    public Product Product => Shelf.Product;

    /// <summary>The same on the shelf.</summary>
    public ShelfProduct Shelf { get; }

    /// <summary>Its place on the shelf.</summary>
    public int Place { get; }

    /// <summary>Place of its family.</summary>
    public int Family { get; }

    /// <summary>The draw of each dose.</summary>
    public IReadOnlyList<Draw> Draws { get; }

    /// <summary>The findings for which no dose of this step can be computed; empty: it can.</summary>
    public IReadOnlyList<Finding> Stops { get; }

    /// <summary>The doses of a dosing day, in order.</summary>
    public DoseDemand[] Doses { get; }

    /// <summary>What the first injection of a dosing day takes; -1 where the first dose cannot be drawn.</summary>
    public long FirstNeeded { get; }

    /// <summary>All that a dosing day takes.</summary>
    public long NeededPerDay { get; }

    /// <summary>All that a dosing day gives.</summary>
    public long UsedPerDay { get; }

    /// <summary>How its doses are given.</summary>
    public Giving Giving { get; }

    /// <summary>Of product and syringe, with their names and labels.</summary>
    public Stamp Stamp { get; }

    /// <summary>Injections of one dosing day.</summary>
    public int InjectionsPerDay { get; }

    /// <summary>Works out a step.</summary>
    public static StepDemand Of(CourseSnapshot course, ProductShelf shelf, Step step, Policy policy)
    {
        var product = course.Products[step.ProductId];
        var device = course.FindDevice(step);
        var expelled = step.Expelled ?? course.Course.Expelled;
        IReadOnlyList<Draw> draws = [.. step.Doses.Select(dose => Dosing.Draws.Of(product, device, expelled, dose, policy.OffMarksPercent))];
        Finding?[] stops =
        [
            TooShort(product, step),
            .. draws.Select(draw => draw.Stop),
            policy.SplitDraws ? null : ExceedsContainer(shelf, product, draws),
        ];
        return new StepDemand(shelf, step, device, draws, [.. stops.OfType<Finding>().Distinct()]);
    }

    /// <summary>The finding of a step given more often than its product allows; null: it is not.</summary>
    public static Finding? TooShort(Product product, Step step) => step.EveryDays < product.MinEveryDays
        ? new Finding(FindingCode.IntervalTooShort, $"Step {step.Number} gives {product.Drug} every {step.EveryDays} days; the product allows no less than {product.MinEveryDays}. A weekly medicine given daily is a known fatal error.")
        : null;

    private static Finding? ExceedsContainer(ProductShelf shelf, Product product, IReadOnlyList<Draw> draws)
    {
        if (product.Kind == ProductKind.PrefilledSyringe || draws.All(draw => draw.Stop is not null))
            return null;
        var largest = shelf.Largest(shelf[shelf.PlaceOf(product.Id)].Family).Product;
        var needed = draws.Where(draw => draw.Stop is null).SelectMany(draw => draw.Needed).Max();
        return needed + largest.FirstPrime > largest.Volume!.Value
            ? new Finding(FindingCode.DoseExceedsContainer, $"One injection takes {DoseText.Volume(needed + largest.FirstPrime)} with what is lost; a fresh container of {product.Drug} holds {DoseText.Volume(largest.Volume.Value)}.")
            : null;
    }
}

/// <summary>One dose's injections, in nanolitres.</summary>
/// <param name="draw">How it is drawn.</param>
internal sealed class DoseDemand(Draw draw)
{
    /// <summary>What each injection takes from one container.</summary>
    public long[] Needed { get; } = [.. draw.Needed.Select(volume => volume.Nanolitres)];

    /// <summary>What each injection gives; the rest of <see cref="Needed"/> is lost. A draw without marks gives nothing.</summary>
    public long[] Marks { get; } = draw.Marks.Count == draw.Needed.Count
        ? [.. draw.Marks.Select(volume => volume.Nanolitres)]
        : [.. draw.Needed.Select(_ => 0L)];
}
