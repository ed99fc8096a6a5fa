using System;
using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using Xunit;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>The walks that every ruling is put to. A further walk is one further line.</summary>
public static class Walks
{
    private static readonly Dictionary<string, Func<CourseSnapshot, Policy, LocalDate, SupplyOutcome>> All = new(StringComparer.Ordinal)
    {
        ["literal"] = LiteralWalk.Of,
        ["program"] = SupplyComputation.Of,
    };

    public static TheoryData<string> Names => [.. All.Keys];

    public static SupplyOutcome Of(string name, CourseSnapshot course, Policy policy, LocalDate asOf) => All[name](course, policy, asOf);
}
