using System;
using System.Collections.Generic;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Import;

/// <summary>
/// Judges courses and steps together, course by course, wherever their rows stand: a ladder goes in whole or not at all, and a new
/// course only with its first ladder. What is on record of either is never changed.
/// </summary>
internal sealed class LadderJudge(References references)
{
    private readonly FileJudgement _courses = references.Judgement(RosterSchema.Courses);
    private readonly FileJudgement _steps = references.Judgement(RosterSchema.Steps);

    /// <summary>Takes the new courses and steps. In memory are the rows of one course.</summary>
    public void Take()
    {
        foreach (var row in _courses.Sheet.Read())
            _courses.Keep(row);
        var swallowed = false;
        foreach (var row in _steps.Sheet.Read())
        {
            swallowed |= row.BadShape is not null && row.Bytes.AsSpan().Contains((byte)'\n');
            _steps.Keep(row);
        }

        var rows = new List<RosterRow>();
        foreach (var row in FileJudgement.ListKeptByCourse(_courses, _steps))
        {
            if (rows.Count > 0 && rows[0]["course_id"] != row["course_id"])
                Take(rows, swallowed);
            rows.Add(row);
        }

        if (rows.Count > 0)
            Take(rows, swallowed);
    }

    private void Take(List<RosterRow> rows, bool swallowed)
    {
        try
        {
            var course = new CourseJudge(references, rows[0]["course_id"]);
            foreach (var row in rows)
            {
                if (row.Schema == RosterSchema.Courses)
                    course.JudgeCourse(new RowReading(row));
                else
                    course.JudgeStep(new RowReading(row));
            }

            course.Take(swallowed);
        }
        catch (DamagedRowException damage)
        {
            foreach (var row in rows)
                (row.Schema == RosterSchema.Courses ? _courses : _steps).Refuse(row, "course_id", damage.Message);
        }

        rows.Clear();
    }
}
