using System;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>
/// Judges courses and steps together: a ladder goes in whole or not at all, and a new course only with its first ladder. What is on
/// record of either is never changed.
/// </summary>
internal sealed class LadderJudge(References references, IKnownLedger known)
{
    private readonly FileJudgement _courses = references.Judgement(RosterSchema.Courses);
    private readonly FileJudgement _steps = references.Judgement(RosterSchema.Steps);
    private readonly Dictionary<string, (RosterRow Row, Course Course)> _newCourses = new(StringComparer.Ordinal);
    private readonly Dictionary<(string Course, int Ladder), Ladder> _ladders = [];
    private readonly Dictionary<string, IReadOnlyList<Step>> _recorded = new(StringComparer.Ordinal);
    private readonly Dictionary<string, List<int?>> _astray = new(StringComparer.Ordinal);
    private bool _swallowed;

    /// <summary>The new courses and the new steps.</summary>
    public (IReadOnlyList<Course> Courses, IReadOnlyList<Step> Steps) Judge()
    {
        foreach (var row in _courses.Sheet.Rows)
            JudgeCourse(new RowReading(row));
        foreach (var (row, _) in _steps.Sheet.BadRows)
        {
            _swallowed |= row.Raw.Span.Contains((byte)'\n');
            Astray(row).Add(null);
        }

        foreach (var row in _steps.Sheet.Rows)
            JudgeStep(new RowReading(row));
        foreach (var ladder in _ladders.Values)
            ladder.Judge(_steps, _swallowed, _astray.GetValueOrDefault(ladder.Course) ?? []);
        foreach (var (row, course) in _newCourses.Values)
        {
            if (!_ladders.TryGetValue((course.Id, 1), out var first))
                _courses.Refuse(row, "course_id", "steps.csv has no step of its ladder 1");
            else if (!first.IsGood)
                _courses.Refuse(row, "course_id", "its ladder 1 was refused");
        }

        return Take();
    }

    private void JudgeCourse(RowReading reading)
    {
        var course = CoursesFile.Parse(reading, references);
        var row = reading.Row;
        if (reading.Fault is Refusal fault)
        {
            _courses.Refuse(row, fault);
        }
        else if (known.FindCourse(course.Id) is Course recorded)
        {
            if (recorded == course)
                _courses.Same++;
            else
                _courses.Refuse(row, "course_id", $"{course.Id} is on record with other content: record a fact, or a new ladder");
        }
        else if (!_newCourses.TryGetValue(course.Id, out var earlier))
        {
            _newCourses.Add(course.Id, (row, course));
        }
        else if (earlier.Course == course)
        {
            _courses.Same++;
        }
        else
        {
            _courses.Refuse(row, "course_id", $"the id stands in line {earlier.Row.Line} with other content");
        }
    }

    private void JudgeStep(RowReading reading)
    {
        var row = reading.Row;
        var course = FindCourse(row["course_id"]);
        if (course is null && reading.Has("course_id"))
            reading.Refuse("course_id", _courses.WhyUnknown("course", row["course_id"]));
        var step = StepsFile.Parse(reading, references, course);
        if (reading.Fault is Refusal fault)
        {
            _steps.Refuse(row, fault);
            Break(row);
            return;
        }

        var recorded = ListRecorded(step.CourseId).Where(other => other.Ladder == step.Ladder).ToList();
        if (recorded.Count == 0)
            FindLadder(step.CourseId, step.Ladder).Add(row, step);
        else if (recorded.Find(other => other.Number == step.Number) is Step same && SameContent.Of(same, step))
            _steps.Same++;
        else
            _steps.Refuse(row, "step", $"{step.CourseId} is on record with another ladder {step.Ladder}: record a fact, or a new ladder");
    }

    private Course? FindCourse(string id) => _newCourses.TryGetValue(id, out var fresh) ? fresh.Course : known.FindCourse(id);

    private IReadOnlyList<Step> ListRecorded(string course)
    {
        if (!_recorded.TryGetValue(course, out var steps))
            _recorded.Add(course, steps = known.ListSteps(course));
        return steps;
    }

    private Ladder FindLadder(string course, int number)
    {
        if (!_ladders.TryGetValue((course, number), out var ladder))
            _ladders.Add((course, number), ladder = new Ladder(course));
        return ladder;
    }

    /// <summary>Marks the ladder of a refused row, which is then refused whole; when its ladder cannot be read, it may be any that lacks it.</summary>
    private void Break(RosterRow row)
    {
        if (StepsFile.FindLadder(row) is int ladder)
            FindLadder(row["course_id"], ladder).BrokenAt ??= row["step"];
        else
            Astray(row).Add(FieldValue.Whole(1, StepsFile.Most)(row["step"], out var step, out _) ? step : null);
    }

    /// <summary>Steps of a course whose ladder cannot be told; null: of which the number cannot be told either.</summary>
    private List<int?> Astray(RosterRow row)
    {
        if (!_astray.TryGetValue(row["course_id"], out var steps))
            _astray.Add(row["course_id"], steps = []);
        return steps;
    }

    private (IReadOnlyList<Course> Courses, IReadOnlyList<Step> Steps) Take()
    {
        var courses = _newCourses.Values.Where(fresh => !_courses.IsRefused(fresh.Row)).Select(fresh => fresh.Course).ToList();
        foreach (var course in courses)
            references.Ledger.Add(course);
        _courses.New = courses.Count;
        var steps = new List<Step>();
        foreach (var ladder in _ladders.Values.Where(ladder => ladder.IsGood))
        {
            if (references.Ledger.FindCourse(ladder.Course) is null)
                ladder.Refuse(_steps, "course_id", _courses.WhyUnknown("course", ladder.Course));
            else
                steps.AddRange(ladder.ListSteps());
        }

        foreach (var step in steps)
            references.Ledger.Add(step);
        _steps.New = steps.Count;
        return (courses, steps);
    }

    /// <summary>The rows of a ladder that is not on record.</summary>
    private sealed class Ladder(string course)
    {
        private readonly List<(RosterRow Row, Step Step)> _rows = [];

        public string Course => course;

        /// <summary>The step of a refused row, as written; null: none was refused.</summary>
        public string? BrokenAt { get; set; }

        public bool IsGood => BrokenAt is null && _rows.Count > 0;

        public void Add(RosterRow row, Step step) => _rows.Add((row, step));

        public IEnumerable<Step> ListSteps() => _rows.Select(pair => pair.Step);

        /// <summary>Judges the rows as a whole: doubles, order, and whether a refused row may have been the next step of this ladder.</summary>
        public void Judge(FileJudgement steps, bool swallowed, List<int?> astray)
        {
            DropDoubles(steps);
            if (BrokenAt is null)
                JudgeOrder(steps);
            if (BrokenAt is null && (swallowed || astray.Exists(step => step is null || step == _rows.Count + 1)))
                BrokenAt = "";
            if (BrokenAt is not null)
                Refuse(steps, "step", BrokenAt.Length > 0 ? $"step {BrokenAt} of this ladder was refused" : "a refused row may be a step of this ladder");
        }

        public void Refuse(FileJudgement steps, string column, string reason)
        {
            foreach (var (row, _) in _rows)
                steps.Refuse(row, column, reason);
        }

        private void DropDoubles(FileJudgement steps)
        {
            var first = new Dictionary<int, (RosterRow Row, Step Step)>();
            foreach (var (row, step) in _rows)
            {
                if (first.TryAdd(step.Number, (row, step)))
                    continue;
                if (SameContent.Of(first[step.Number].Step, step))
                    steps.Same++;
                else
                    Break(steps, row, "step", $"the step stands in line {first[step.Number].Row.Line} with other content");
            }

            _rows.Clear();
            _rows.AddRange(first.Values);
            _rows.Sort((one, other) => one.Step.Number.CompareTo(other.Step.Number));
        }

        private void JudgeOrder(FileJudgement steps)
        {
            for (var i = 0; i < _rows.Count && BrokenAt is null; i++)
            {
                var (row, step) = _rows[i];
                if (step.Number != i + 1)
                    Break(steps, row, "step", $"steps out of order: step {i + 1} of ladder {step.Ladder} is missing");
                else if (step.DoseDays is null && i + 1 < _rows.Count)
                    Break(steps, row, "dose_days", "is missing: only the last step may leave it blank");
            }
        }

        private void Break(FileJudgement steps, RosterRow row, string column, string reason)
        {
            steps.Refuse(row, column, reason);
            BrokenAt ??= row["step"];
        }
    }
}
