using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Sharps;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Planning;

/// <summary>All that follows for one course on one as-of date. It can be thrown away and worked out again from facts and policy.</summary>
public sealed record CoursePlan
{
    /// <summary>The course.</summary>
    public required string CourseId { get; init; }

    /// <summary>The date; as of D means before D's doses.</summary>
    public required LocalDate AsOf { get; init; }

    /// <summary>What the walk reports.</summary>
    public required SupplyOutcome Supply { get; init; }

    /// <summary>The next refill; null: the course ends, is covered beyond the horizon, or is not computed.</summary>
    public RefillPlan? Refill { get; init; }

    /// <summary>The check of each coming step that asks one, in order.</summary>
    public IReadOnlyList<StepUpPlan> StepUps { get; init; } = [];

    /// <summary>The check of the earliest of them; null: none is asked.</summary>
    public StepUpPlan? StepUp => StepUps.Count > 0 ? StepUps[0] : null;

    /// <summary>The check of a step that is held back and begins on no known day; null: there is none.</summary>
    public StepUpPlan? HeldBack { get; init; }

    /// <summary>First dosing day of the present step; null: it has not begun.</summary>
    public LocalDate? PresentSince { get; init; }

    /// <summary>Containers that will pass their last day of use with something in them.</summary>
    public IReadOnlyList<DiscardPlan> Discards { get; init; } = [];

    /// <summary>First day of a row of dosing days not given that a pharmacist must ask about; null: none.</summary>
    public LocalDate? MissedFrom { get; init; }

    /// <summary>Counts that found more than the record: doses may not have been given, which a person asks about.</summary>
    public IReadOnlyList<CountSurplus> Surpluses { get; init; } = [];

    /// <summary>Date of the last dose given before the as-of date, by the walk; null: none.</summary>
    public LocalDate? LastGivenOn { get; init; }

    /// <summary>Dates covered by billed fills, looking back; null: no billed fill in the last year.</summary>
    public DaysCovered? DaysCovered { get; init; }

    /// <summary>Fills of that time without a billed days' supply, which it does not count.</summary>
    public int UnbilledFills { get; init; }

    /// <summary>The proportion of days covered in words, with its variant; or that it is not known, and why.</summary>
    public string DaysCoveredText => ProportionOfDaysCovered.Say(DaysCovered, UnbilledFills);

    /// <summary>Fills on their way whose arrival nobody confirmed in time.</summary>
    public IReadOnlyList<Fact> UnconfirmedFills { get; init; } = [];

    /// <summary>Fills made up that nobody fetched in time.</summary>
    public IReadOnlyList<Fact> UncollectedFills { get; init; } = [];

    /// <summary>Approvals of a step still to come that count no longer: what was signed has changed. Planning takes them back, with the date.</summary>
    public IReadOnlyList<Fact> OutdatedApprovals { get; init; } = [];

    /// <summary>The next step of the ladder in force that has not begun; null: none is to come.</summary>
    public int? NextCheckStep { get; init; }

    /// <summary>First dosing day of the step before it, from which on an approval counts; null: none is to come, or that is not known.</summary>
    public LocalDate? NextCheckFrom { get; init; }

    /// <summary>All that is doubtful, of the walk and of the plan.</summary>
    public required IReadOnlyList<Finding> Findings { get; init; }
}

/// <summary>All that follows for one patient: the plan of each course, and the sharps.</summary>
/// <param name="Courses">The plans, in the order of the courses given.</param>
/// <param name="Sharps">The forecasts, in order of issue.</param>
public sealed record PatientPlan(IReadOnlyList<CoursePlan> Courses, IReadOnlyList<SharpsForecast> Sharps);
