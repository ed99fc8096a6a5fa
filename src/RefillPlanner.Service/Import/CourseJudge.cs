using System;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>
/// Judges courses with their ladders, and prescriptions. A ladder goes in whole or not at all, and a course only with its first ladder; both
/// are never changed afterwards.
/// </summary>
internal sealed class CourseJudge(KnownRoster known, RosterReport report)
{
    /// <summary>The highest ladder number.</summary>
    public const int MostLadders = 99;

    private const int MostInjections = 20;

    /// <summary>Good courses that are new.</summary>
    public List<Course> Courses { get; } = [];

    /// <summary>Steps of good ladders that are new.</summary>
    public List<Step> Steps { get; } = [];

    /// <summary>Good prescriptions that are new or changed.</summary>
    public List<Prescription> Prescriptions { get; } = [];

    /// <summary>Ids of courses that were refused in this roster.</summary>
    public HashSet<string> RefusedCourses { get; } = [];

    /// <summary>Judges the rows of <c>courses.csv</c> and <c>steps.csv</c> together.</summary>
    public void JudgeCourses(IReadOnlyList<RosterRow> courseRows, IReadOnlyList<RosterRow> stepRows)
    {
        var courses = ReadCourses(courseRows);
        var ladders = stepRows.GroupBy(row => (Course: Field(row, "course_id"), Ladder: Field(row, "ladder") is { Length: > 0 } ladder ? ladder : "1"));
        foreach (var ladder in ladders)
            JudgeLadder(ladder.Key.Course, [.. ladder], courses);
        foreach (var (row, course) in courses.Values.Where(item => !known.Courses.ContainsKey(item.Course.Id)))
        {
            if (known.Ladders.ContainsKey((course.Id, 1)))
            {
                known.Courses.Add(course.Id, course);
                Courses.Add(course);
                report.Of(row.File).New++;
                continue;
            }

            RefusedCourses.Add(course.Id);
            report.Refuse(row, "course_id", "a course without steps: none of its first ladder stands in steps.csv and is good");
        }

        // Ladders of a course that was refused for want of its first one fall with it.
        foreach (var step in Steps.Where(step => !known.Courses.ContainsKey(step.CourseId)).ToArray())
        {
            Steps.Remove(step);
            known.Ladders.Remove((step.CourseId, step.Ladder));
        }
    }

    /// <summary>Judges the rows of <c>prescriptions.csv</c>.</summary>
    public void JudgePrescriptions(IReadOnlyList<RosterRow> rows)
    {
        foreach (var row in rows)
        {
            var reader = new RowReader(row);
            var prescription = new Prescription
            {
                Id = reader.RequiredId("rx_id"),
                CourseId = reader.RequiredId("course_id"),
                IssuedOn = reader.RequiredDate("issued_on"),
                RefillsAuthorized = reader.RequiredWhole("refills_authorized", 0, 99),
                ValidThrough = reader.Date("valid_through"),
                Schedule = reader.Word("schedule", "II", "III", "IV", "V") is string schedule ? Array.IndexOf(["II", "III", "IV", "V"], schedule) + 2 : null,
                Prescriber = reader.Text("prescriber"),
                PrescriberPhone = reader.Text("prescriber_phone"),
            };
            RefuseUnknownCourse(reader, prescription.CourseId);
            reader.RefuseIf(prescription.ValidThrough < prescription.IssuedOn, "valid_through", "before it was issued");
            if (reader.Fault is Refusal fault)
            {
                report.Refuse(fault, row.Raw);
                continue;
            }

            var count = report.Of(row.File);
            if (known.Prescriptions.TryGetValue(prescription.Id, out var before) && before == prescription)
            {
                count.Same++;
                continue;
            }

            if (before is null)
                count.New++;
            else
                count.Updated++;
            known.Prescriptions[prescription.Id] = prescription;
            Prescriptions.Add(prescription);
        }
    }

    /// <summary>Refuses a row about a course that is not on record, saying whether it was refused here.</summary>
    public void RefuseUnknownCourse(RowReader row, string courseId) => row.RefuseIf(
        !known.Courses.ContainsKey(courseId),
        "course_id",
        RefusedCourses.Contains(courseId) ? $"course {Printable.Of(courseId)} was refused" : "no such course");

    private Dictionary<string, (RosterRow Row, Course Course)> ReadCourses(IReadOnlyList<RosterRow> rows)
    {
        var courses = new Dictionary<string, (RosterRow Row, Course Course)>();
        foreach (var row in rows)
        {
            var reader = new RowReader(row);
            var course = new Course
            {
                Id = reader.RequiredId("course_id"),
                PatientId = reader.RequiredId("patient_id"),
                StartedOn = reader.RequiredDate("started_on"),
                DeviceId = reader.Id("device_id"),
                Expelled = reader.Volume("expelled_ml", mayBeZero: true) ?? Volume.Zero,
                FillDays = reader.Whole("fill_days", 1, 180),
                EarlyFillPercent = reader.Whole("early_fill_percent", 0, 100),
            };
            reader.RefuseIf(!known.Patients.ContainsKey(course.PatientId), "patient_id", "no such patient");
            reader.RefuseIf(course.DeviceId is string device && !known.Devices.ContainsKey(device), "device_id", "no such device");
            var before = known.Courses.GetValueOrDefault(course.Id) ?? courses.GetValueOrDefault(course.Id).Course;
            reader.RefuseIf(before is not null && before != course, "course_id", "on record with other content: record a fact, or a new ladder");
            if (reader.Fault is Refusal fault)
            {
                report.Refuse(fault, row.Raw);
                if (!known.Courses.ContainsKey(course.Id))
                    RefusedCourses.Add(course.Id);
            }
            else if (before is not null)
            {
                report.Of(row.File).Same++;
            }
            else
            {
                courses.Add(course.Id, (row, course));
            }
        }

        return courses;
    }

    private void JudgeLadder(string courseId, IReadOnlyList<RosterRow> rows, Dictionary<string, (RosterRow Row, Course Course)> courses)
    {
        var course = known.Courses.GetValueOrDefault(courseId) ?? courses.GetValueOrDefault(courseId).Course;
        var readers = rows.Select(row => new RowReader(row)).ToArray();
        var steps = readers.Select(reader => ReadStep(reader, course)).ToArray();
        for (var index = 0; index < steps.Length; index++)
        {
            RefuseUnknownCourse(readers[index], courseId, course);
            RefusePlace(readers[index], steps, index);
        }

        var onRecord = known.Ladders.GetValueOrDefault((courseId, steps[0].Ladder));
        if (onRecord is not null)
        {
            for (var index = 0; index < steps.Length; index++)
            {
                var same = onRecord.Any(step => Content(step) == Content(steps[index]));
                readers[index].RefuseIf(!same, "step", "the ladder is on record with other content: record a new ladder");
            }
        }

        var faulty = Array.FindIndex(readers, reader => reader.Fault is not null);
        for (var index = 0; index < steps.Length; index++)
        {
            if (readers[index].Fault is null && faulty >= 0 && onRecord is null)
                readers[index].Refuse("step", $"step {Field(rows[faulty], "step")} of this ladder was refused, and a ladder goes in whole");
            if (readers[index].Fault is Refusal fault)
                report.Refuse(fault, rows[index].Raw);
            else if (onRecord is not null)
                report.Of(rows[index].File).Same++;
        }

        if (faulty >= 0 || onRecord is not null)
            return;
        known.Ladders.Add((courseId, steps[0].Ladder), [.. steps.OrderBy(step => step.Number)]);
        Steps.AddRange(steps.OrderBy(step => step.Number));
        report.Of(rows[0].File).New += steps.Length;
    }

    private void RefuseUnknownCourse(RowReader row, string courseId, Course? course) => row.RefuseIf(
        course is null, "course_id", RefusedCourses.Contains(courseId) ? $"course {Printable.Of(courseId)} was refused" : "no such course");

    // Numbers 1, 2, 3 ... each once; only the last may be until further notice.
    private static void RefusePlace(RowReader row, Step[] steps, int index)
    {
        var step = steps[index];
        row.RefuseIf(steps.Count(other => other.Number == step.Number) > 1, "step", "stands in this ladder twice");
        row.RefuseIf(step.Number > steps.Length, "step", $"steps out of order: this ladder has {steps.Length} steps, numbered from 1 without a gap");
        row.RefuseIf(step.DoseDays is null && steps.Any(other => other.Number > step.Number), "dose_days", "only the last step may be until further notice");
        row.RefuseIf(index > 0 && step.Number < steps[index - 1].Number, "step", "steps out of order: they stand in the file in the order in which they are given");
    }

    private Step ReadStep(RowReader row, Course? course)
    {
        var productId = row.RequiredId("product_id");
        var product = known.Products.GetValueOrDefault(productId);
        var step = new Step
        {
            CourseId = row.RequiredId("course_id"),
            Ladder = row.Whole("ladder", 1, MostLadders) ?? 1,
            Number = row.RequiredWhole("step", 1, 99),
            ProductId = productId,
            Doses = product is null ? [] : row.Doses("doses", product.Unit),
            EveryDays = row.RequiredWhole("every_days", 1, 400),
            DoseDays = row.Whole("dose_days", 1, 1000),
            NeedsCheck = row.YesNo("needs_check") ?? true,
            DeviceId = row.Id("device_id"),
            Expelled = row.Volume("expelled_ml", mayBeZero: true),
        };
        row.RefuseIf(product is null, "product_id", "no such product");
        row.RefuseIf(step.DeviceId is string own && !known.Devices.ContainsKey(own), "device_id", "no such device");
        if (row.Fault is null && course is not null)
            RefuseDraws(row, step, product!, course);
        return step;
    }

    private void RefuseDraws(RowReader row, Step step, Product product, Course course)
    {
        row.RefuseIf(step.Doses.Count > 24, "doses", "more than 24 doses a day");
        long most;
        switch (product.Kind)
        {
            case ProductKind.PrefilledSyringe:
                return;
            case ProductKind.Pen:
                most = product.DialMax!.Value.Billionths;
                row.RefuseIf(step.Doses.Any(dose => dose.Billionths / most >= MostInjections), "doses", $"a dose takes more than {MostInjections} injections of the pen");
                return;
            default:
                var device = (step.DeviceId ?? course.DeviceId) is string id ? known.Devices.GetValueOrDefault(id) : null;
                row.RefuseIf(device is null, "device_id", "a vial is drawn with a syringe: neither the step nor the course names one");
                if (device is null)
                    return;
                var strength = product.Strength!.Value;
                var capacity = (Int128)device.Capacity.Nanolitres * strength.Amount.Billionths;
                row.RefuseIf(step.Doses.Any(dose => (Int128)dose.Billionths * strength.Per.Nanolitres / capacity >= MostInjections), "doses", $"a dose takes more than {MostInjections} injections with {device.Name}");
                return;
        }
    }

    private static string Field(RosterRow row, string column) => row.Fields.TryGetValue(column, out var text) ? text : string.Empty;

    private static (Step, string) Content(Step step) => (step with { Doses = [] }, string.Join(';', step.Doses)) is var (plain, doses) ? (plain with { Doses = NoDoses }, doses) : default;

    private static readonly IReadOnlyList<Amount> NoDoses = [];
}
