using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Service.Tests.Demo;

/// <summary>
/// What each course of the demo must come to, on whatever day it is looked at: course, outcome, step (with its ladder, where it is not
/// the first), days from today to the run-out or the end, the same if the coming step is held back ("open" where they hang on open days),
/// what binds, findings.
/// </summary>
internal static class DemoExpectation
{
    public static readonly IReadOnlyList<string> All =
    [
        "C-101 runs-out step 1 2 - in-use",
        "C-102 runs-out step 1 open - in-use",
        "C-103 runs-out step 1 open - in-use",
        "C-104 runs-out step 1 20 - volume",
        "C-105 runs-out step 1 12 - in-use",
        "C-106 runs-out step 1 11 - volume",
        "C-107 runs-out step 1 16 - volume",
        "C-108 runs-out step 1 6 - volume",
        "C-109 runs-out step 1 16 - volume dose-split",
        "C-110 runs-out step 1 11 - volume",
        "C-111 runs-out step 1 28 - volume",
        "C-112 runs-out step 1 2 - in-use",
        "C-201 runs-out step 1 open open in-use",
        "C-202 runs-out step 2 34 34 in-use",
        "C-203 runs-out step 1 31 - in-use",
        "C-204 runs-out step 1 20 - in-use",
        "C-205 runs-out step 2 32 - in-use check-waived",
        "C-206 runs-out step 3 34 34 in-use approval-not-current",
        "C-207 runs-out ladder 2 step 1 40 - in-use",
        "C-208 runs-out step 1 22 36 in-use dose-jump",
        "C-209 runs-out step 1 14 42 product",
        "C-301 runs-out step 1 30 - in-use dose-rounded",
        "C-302 runs-out step 1 23 - in-use dose-off-marks",
        "C-303 not-computed step 1 - - - strength-barrel-mismatch",
        "C-304 not-computed step 1 - - - interval-too-short",
        "C-305 not-computed step 1 - - - dose-not-in-syringe",
        "C-306 runs-out step 1 18 - volume dose-off-dial",
        "C-307 not-computed step 1 - - - dose-below-first-mark",
        "C-401 runs-out step 1 10 - in-use",
        "C-402 beyond-horizon step 1 - - - doses-missed paused-open",
        "C-403 runs-out step 1 11 - in-use doses-missed",
        "C-404 runs-out step 1 33 - in-use",
        "C-405 runs-out step 1 44 - in-use count-below-record",
        "C-406 runs-out step 1 37 - volume count-exceeds-record opening-date-unknown",
        "C-407 runs-out step 1 26 - in-use",
        "C-408 runs-out step 1 26 - in-use",
        "C-409 ends step 1 16 - -",
        "C-410 ends step 1 -4 - -",
        "C-411 runs-out step 1 27 - in-use dose-without-stock",
        "C-412 runs-out step 1 22 - in-use opening-disagrees",
        "C-501 runs-out step 1 16 - in-use",
        "C-502 runs-out step 1 18 - volume",
        "C-503 runs-out ladder 2 step 1 36 - in-use",
        "C-504 runs-out step 1 8 - in-use",
        "C-505 runs-out step 1 14 - expiry",
        "C-506 runs-out step 1 18 - in-use",
        "C-507 beyond-horizon step 1 - - -",
        "C-508 runs-out step 1 12 - volume",
        "C-509 runs-out step 1 15 - volume",
    ];

    // Their dates follow the site's open days.
    private static readonly string[] OnOpenDays = ["C-102", "C-103", "C-201"];

    public static string Tell(string course, SupplyOutcome outcome, LocalDate today)
    {
        string[] words =
        [
            course,
            Kebab.Of(outcome.Outcome),
            outcome.Ladder == 1 ? $"step {outcome.Step}" : $"ladder {outcome.Ladder} step {outcome.Step}",
            (outcome.RunOutOn ?? outcome.EndsOn) is not LocalDate day ? "-" : OnOpenDays.Contains(course) ? "open" : $"{Period.DaysBetween(today, day)}",
            outcome.RunOutIfHeldOn is not LocalDate held ? "-" : OnOpenDays.Contains(course) ? "open" : $"{Period.DaysBetween(today, held)}",
            outcome.BindingLimit is BindingLimit limit ? Kebab.Of(limit) : "-",
            .. outcome.Findings.Select(finding => finding.Code).Distinct().Order(),
        ];
        return string.Join(' ', words);
    }
}
