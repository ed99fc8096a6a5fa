using System;
using System.Collections.Generic;
using System.Linq;
using System.Text.RegularExpressions;
using RefillPlanner.Core.Ledger;
using Xunit;

namespace RefillPlanner.Core.Tests.Published;

/// <summary>The rules of refills against the texts that make them.</summary>
public sealed partial class RefillRulesTests
{
    private const string File = "refill-rules.cases.txt";

    public static IEnumerable<TheoryDataRow<string, string>> Rules() => CaseFile.List(File).Where(row => !IsBilled(row));

    public static IEnumerable<TheoryDataRow<string, string>> BilledSupplies() => CaseFile.List(File).Where(IsBilled);

    [Theory]
    [MemberData(nameof(Rules))]
    public void A_refill_keeps_the_rule(string ruling, string source)
    {
        Assert.NotEmpty(source);
        RefillRuling.Check(ruling);
    }

    [Theory]
    [MemberData(nameof(BilledSupplies))]
    public void A_billed_supply_is_checked_against_the_walk(string ruling, string source)
    {
        Assert.NotEmpty(source);
        var match = BilledLine().Match(ruling);
        Assert.True(match.Success, ruling);
        var plan = PlannedRefill.Billed(match.Groups["supply"].Value, Word.Count(match.Groups["days"].Value));
        Assert.Equal(match.Groups["answer"].Value == "finding days-supply-disagrees", plan.Findings.Any(finding => finding.Code == FindingCode.DaysSupplyDisagrees));
    }

    private static bool IsBilled(TheoryDataRow<string, string> row) => row.Data.Item1.StartsWith("billed ", StringComparison.Ordinal);

    [GeneratedRegex("^billed (?<days>[0-9]+) days; (?<supply>.+) -> (?<answer>finding days-supply-disagrees|no such finding)$", RegexOptions.ExplicitCapture, matchTimeoutMilliseconds: 1000)]
    private static partial Regex BilledLine();
}
