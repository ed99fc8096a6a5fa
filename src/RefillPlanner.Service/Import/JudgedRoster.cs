using System;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>What became of the rows of one file.</summary>
/// <param name="File">Name of the file.</param>
/// <param name="New">Rows of ids not on record.</param>
/// <param name="Updated">Rows that replace what is on record.</param>
/// <param name="Same">Rows on record already, or there twice.</param>
/// <param name="Refused">Rows refused; 0 for a file that was refused as a whole.</param>
public sealed record FileCounts(string File, int New, int Updated, int Same, int Refused);

/// <summary>The refused part of one file, as read.</summary>
/// <param name="File">Name of the file.</param>
/// <param name="Header">The header row without line break; empty when the file is refused as a whole.</param>
/// <param name="Rows">The refused rows without line breaks; for a file refused as a whole, its bytes.</param>
public sealed record RefusedPart(string File, ReadOnlyMemory<byte> Header, IReadOnlyList<ReadOnlyMemory<byte>> Rows);

/// <summary>
/// A roster after judging: what is to be written, in the order sites to sharps, and what is refused. Rows that say what is on record
/// already are counted and not listed.
/// </summary>
public sealed record JudgedRoster
{
    /// <summary>New and changed sites.</summary>
    public required IReadOnlyList<Site> Sites { get; init; }

    /// <summary>New and changed patients, with every opt-out on record kept.</summary>
    public required IReadOnlyList<Patient> Patients { get; init; }

    /// <summary>New and changed products; one that others are sizes of comes before them.</summary>
    public required IReadOnlyList<Product> Products { get; init; }

    /// <summary>New and changed devices.</summary>
    public required IReadOnlyList<Device> Devices { get; init; }

    /// <summary>New courses.</summary>
    public required IReadOnlyList<Course> Courses { get; init; }

    /// <summary>New steps, whole ladders only.</summary>
    public required IReadOnlyList<Step> Steps { get; init; }

    /// <summary>New and changed prescriptions.</summary>
    public required IReadOnlyList<Prescription> Prescriptions { get; init; }

    /// <summary>New facts; one that others name comes before them.</summary>
    public required IReadOnlyList<Fact> Facts { get; init; }

    /// <summary>New and changed sharps containers.</summary>
    public required IReadOnlyList<SharpsContainer> Sharps { get; init; }

    /// <summary>What is refused and why, by file in order, then by line.</summary>
    public required IReadOnlyList<Refusal> Refusals { get; init; }

    /// <summary>The refused rows as read, for mending.</summary>
    public required IReadOnlyList<RefusedPart> RefusedParts { get; init; }

    /// <summary>Counts of each file that the roster has.</summary>
    public required IReadOnlyList<FileCounts> Counts { get; init; }

    /// <summary>The course ids touched by what is to be written to courses, steps, prescriptions and facts.</summary>
    public IEnumerable<string> ListTouchedCourses() =>
        Courses.Select(course => course.Id)
            .Concat(Steps.Select(step => step.CourseId))
            .Concat(Prescriptions.Select(prescription => prescription.CourseId))
            .Concat(Facts.Select(fact => fact.CourseId))
            .Distinct(StringComparer.Ordinal);
}
