using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Judges the rows of one course: first those of courses.csv, then those of steps.csv, then its ladders as a whole.</summary>
/// <param name="references">What ids mean.</param>
/// <param name="id">The course's id as written.</param>
internal sealed class CourseJudge(References references, string id)
{
    private readonly FileJudgement _courses = references.Judgement(RosterSchema.Courses);
    private readonly FileJudgement _steps = references.Judgement(RosterSchema.Steps);
    private readonly Course? _recorded = references.Ledger.FindCourse(id);
    private readonly IReadOnlyList<Step> _recordedSteps = references.Ledger.ListSteps(id);
    private readonly Dictionary<int, Ladder> _ladders = [];

    // Steps whose ladder cannot be told; null: of which the number cannot be told either.
    private readonly List<int?> _astray = [];
    private (RosterRow Row, Course Course)? _new;

    public void JudgeCourse(RowReading reading)
    {
        var course = CoursesFile.Parse(reading, references);
        var row = reading.Row;
        if (reading.Fault is Refusal fault)
        {
            _courses.Refuse(row, fault);
        }
        else if (_recorded is not null)
        {
            if (_recorded == course)
                _courses.Same++;
            else
                _courses.Refuse(row, "course_id", $"{course.Id} is on record with other content: record a fact, or a new ladder");
        }
        else if (_new is not var (earlier, first))
        {
            _new = (row, course);
        }
        else if (first == course)
        {
            _courses.Same++;
        }
        else
        {
            _courses.Refuse(row, "course_id", $"the id stands in line {earlier.Line} with other content");
        }
    }

    public void JudgeStep(RowReading reading)
    {
        var row = reading.Row;
        var course = _new?.Course ?? _recorded;
        if (course is null && reading.Has("course_id"))
            reading.Refuse("course_id", _courses.WhyUnknown("course", id));
        var step = StepsFile.Parse(reading, references, course);
        if (reading.Fault is Refusal fault)
        {
            _steps.Refuse(row, fault);
            Break(row);
            return;
        }

        var recorded = _recordedSteps.Where(other => other.Ladder == step.Ladder).ToList();
        if (recorded.Count == 0)
            FindLadder(step.Ladder).Add(row, step);
        else if (recorded.Find(other => other.Number == step.Number) is Step same && SameContent.Of(same, step))
            _steps.Same++;
        else
            _steps.Refuse(row, "step", $"{step.CourseId} is on record with another ladder {step.Ladder}: record a fact, or a new ladder");
    }

    /// <summary>Takes what is good.</summary>
    /// <param name="swallowed">Whether some refused row of steps.csv may have held rows of any ladder.</param>
    public void Take(bool swallowed)
    {
        foreach (var ladder in _ladders.Values)
            ladder.Judge(_steps, swallowed, _astray);
        var isOnRecord = _recorded is not null || TakeCourse();
        foreach (var ladder in _ladders.Values.Where(ladder => ladder.IsGood))
        {
            if (isOnRecord)
                Take(ladder);
            else
                ladder.Refuse(_steps, "course_id", _courses.WhyUnknown("course", id));
        }
    }

    private bool TakeCourse()
    {
        if (_new is not var (row, course))
            return false;
        if (!_ladders.TryGetValue(1, out var first))
            _courses.Refuse(row, "course_id", "steps.csv has no step of its ladder 1");
        else if (!first.IsGood)
            _courses.Refuse(row, "course_id", "its ladder 1 was refused");
        else
            references.Ledger.Add(course);
        _courses.New += first is { IsGood: true } ? 1 : 0;
        return first is { IsGood: true };
    }

    private void Take(Ladder ladder)
    {
        foreach (var step in ladder.ListSteps())
        {
            references.Ledger.Add(step);
            _steps.New++;
        }
    }

    private Ladder FindLadder(int number)
    {
        if (!_ladders.TryGetValue(number, out var ladder))
            _ladders.Add(number, ladder = new Ladder());
        return ladder;
    }

    /// <summary>Marks the ladder of a refused row, which is then refused whole; when its ladder cannot be read, it may be any that lacks it.</summary>
    private void Break(RosterRow row)
    {
        if (row.BadShape is not null)
            _astray.Add(null);
        else if (StepsFile.FindLadder(row) is int ladder)
            FindLadder(ladder).BrokenAt ??= row["step"];
        else
            _astray.Add(FieldValue.Whole(1, StepsFile.Most)(row["step"], out var step, out _) ? step : null);
    }
}
