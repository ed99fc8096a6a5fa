using System.Collections.Generic;
using System.Linq;
using BenchmarkDotNet.Attributes;
using NodaTime;
using RefillPlanner.Benchmarks.Roster;
using RefillPlanner.Benchmarks.Rows;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Benchmarks.Kernels;

/// <summary>What is done for one course or patient, over some courses of a large roster in turn.</summary>
[MemoryDiagnoser]
public class CourseKernels
{
    private const int Courses = 256;
    private const int FarAhead = 1_200;

    private readonly List<CourseSnapshot> _courses = [.. RosterSnapshots.List(new LargeRoster(Courses, 1))];
    private readonly ResolvedWalk[] _walks;
    private readonly IReadOnlyList<Fact>[] _facts;
    private readonly SharpsContainer[] _sharps = [new() { Id = "SH", PatientId = "PT", Capacity = 100, IssuedOn = LargeRoster.Today.PlusDays(-20) }];
    private readonly int _lastDay = DayNumber.Of(LargeRoster.Today) + FarAhead;
    private readonly Workbench _bench = new();
    private int _next;

    /// <summary>Makes the courses.</summary>
    public CourseKernels()
    {
        var bench = new Workbench();
        _walks = [.. _courses.Select(course => ResolvedWalk.Of(course, Policy.Default, LargeRoster.Today, bench))];
        _facts = [.. _courses.Select(course => KnownFacts.List(course.Facts, LargeRoster.Today))];
    }

    private int Next => _next = (_next + 1) % Courses;

    /// <summary>The walk of one course from resolved inputs.</summary>
    [Benchmark(Description = "walk of one course")]
    public int Walk() => _walks[Next].Run();

    /// <summary>The dosing days of one course from its known facts.</summary>
    [Benchmark(Description = "dosing days of one course")]
    public object ResolveDosingDays()
    {
        var index = Next;
        return DosingDays.Resolve(_courses[index], _facts[index], LargeRoster.Today, _lastDay);
    }

    /// <summary>The draws of the first step's first dose.</summary>
    [Benchmark(Description = "draw of one dose")]
    public object DrawOneDose()
    {
        var course = _courses[Next];
        var step = course.Steps[0];
        return Draws.Of(course.Products[step.ProductId], course.FindDevice(step), course.Course.Expelled, step.Doses[0], Policy.Default.OffMarksPercent);
    }

    /// <summary>The figures of a patient with one course, as a planning of all works them out.</summary>
    [Benchmark(Description = "figures of one patient")]
    public int MeasurePatient() => PlanningPipeline.Measure([_courses[Next]], _sharps, Policy.Default, LargeRoster.Today, _bench).Bytes.Length;

    /// <summary>The plan of a patient with one course, in words.</summary>
    [Benchmark(Description = "plan of one patient")]
    public object PlanPatient() => PlanningPipeline.Plan([_courses[Next]], _sharps, Policy.Default, LargeRoster.Today);
}
