using System.Collections.Generic;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Sharps;

namespace RefillPlanner.Core.Planning;

/// <summary>All that follows for one patient, in numbers: the courses and the sharps.</summary>
public sealed class PatientFigures
{
    internal PatientFigures(IReadOnlyList<CourseFigures> courses, IReadOnlyList<SharpsForecast> sharps, IReadOnlyList<SharpsContainer> containers)
    {
        Courses = courses;
        Sharps = sharps;
        Containers = containers;
    }

    /// <summary>The courses, in the order given.</summary>
    internal IReadOnlyList<CourseFigures> Courses { get; }

    /// <summary>The forecasts, in order of issue.</summary>
    internal IReadOnlyList<SharpsForecast> Sharps { get; }

    /// <summary>All sharps containers of the patient.</summary>
    internal IReadOnlyList<SharpsContainer> Containers { get; }

    /// <summary>The same in words.</summary>
    public PatientPlan Say()
    {
        var plans = new CoursePlan[Courses.Count];
        for (var index = 0; index < plans.Length; index++)
            plans[index] = Courses[index].Say(Sharps);
        return new PatientPlan(plans, Sharps);
    }
}
