using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>What is on record, by id: in memory (<see cref="RosterLedger"/>) or in the store.</summary>
public interface IKnownLedger
{
    /// <summary>The site of an id.</summary>
    Site? FindSite(string id);

    /// <summary>The patient of an id.</summary>
    Patient? FindPatient(string id);

    /// <summary>The product of an id.</summary>
    Product? FindProduct(string id);

    /// <summary>The device of an id.</summary>
    Device? FindDevice(string id);

    /// <summary>The course of an id.</summary>
    Course? FindCourse(string id);

    /// <summary>The prescription of an id.</summary>
    Prescription? FindPrescription(string id);

    /// <summary>The sharps container of an id.</summary>
    SharpsContainer? FindSharps(string id);

    /// <summary>The fact of an id.</summary>
    Fact? FindFact(string id);

    /// <summary>The products that are sizes of a product.</summary>
    IReadOnlyList<Product> ListSizes(string productId);

    /// <summary>The steps of all ladders of a course.</summary>
    IReadOnlyList<Step> ListSteps(string courseId);

    /// <summary>The facts of a course.</summary>
    IReadOnlyList<Fact> ListFacts(string courseId);
}
