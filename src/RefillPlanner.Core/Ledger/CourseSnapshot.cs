using System.Collections.Generic;
using System.Linq;

namespace RefillPlanner.Core.Ledger;

/// <summary>
/// Everything on record about one course, read together: the one input of its computation. What a snapshot refers to is in it;
/// the import refuses what would dangle.
/// </summary>
public sealed record CourseSnapshot
{
    /// <summary>The course.</summary>
    public required Course Course { get; init; }

    /// <summary>Its patient.</summary>
    public required Patient Patient { get; init; }

    /// <summary>The patient's pharmacy.</summary>
    public required Site Site { get; init; }

    /// <summary>The steps of all its ladders.</summary>
    public required IReadOnlyList<Step> Steps { get; init; }

    /// <summary>The products of its steps and of its facts, with all sizes of their families, by id.</summary>
    public required IReadOnlyDictionary<string, Product> Products { get; init; }

    /// <summary>The devices of the course and of its steps, by id.</summary>
    public required IReadOnlyDictionary<string, Device> Devices { get; init; }

    /// <summary>Its prescriptions.</summary>
    public IReadOnlyList<Prescription> Prescriptions { get; init; } = [];

    /// <summary>Its facts, in any order: the order in which they were recorded does not matter.</summary>
    public IReadOnlyList<Fact> Facts { get; init; } = [];

    /// <summary>The steps of one ladder, in order.</summary>
    public IReadOnlyList<Step> ListLadder(int ladder)
    {
        for (var index = 0; index < Steps.Count; index++)
        {
            if (Steps[index].Ladder != ladder || Steps[index].Number != index + 1)
                return [.. Steps.Where(step => step.Ladder == ladder).OrderBy(step => step.Number)];
        }

        return Steps;
    }

    /// <summary>The syringe of a step: its own, else the course's; null: none (pens and prefilled syringes need none).</summary>
    public Device? FindDevice(Step step) => (step.DeviceId ?? Course.DeviceId) is string id ? Devices[id] : null;
}
