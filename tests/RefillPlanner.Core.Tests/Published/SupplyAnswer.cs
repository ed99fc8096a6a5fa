using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using Xunit;

namespace RefillPlanner.Core.Tests.Published;

/// <summary>What a computation said about a ruling.</summary>
/// <param name="StartedOn">Day 0.</param>
/// <param name="Outcome">The outcome.</param>
/// <param name="Days">Dosing days in order: the day, the step, the day's total.</param>
internal sealed record SupplyAnswer(LocalDate StartedOn, SupplyOutcome Outcome, IReadOnlyList<(LocalDate On, int Step, decimal Total)> Days)
{
    private static readonly Phrases<SupplyAnswer> Grammar = new Phrases<SupplyAnswer>()
        .Add("{n} doses?", (said, word) => Assert.Equal(Word.Count(word[0]), said.Outcome.DosesCovered))
        .Add("run-out day {n}", (said, word) => Assert.Equal(said.Day(word[0]), said.Outcome.RunOutOn))
        .Add("run-out {date}", (said, word) => Assert.Equal(Word.Date(word[0]), said.Outcome.RunOutOn))
        .Add("ends day {n}", (said, word) => Assert.Equal(said.Day(word[0]), said.Outcome.EndsOn))
        .Add("last covered day {n}", (said, word) => Assert.Equal(said.Day(word[0]), said.Outcome.LastCoveredOn))
        .Add("last day of use {date}", (said, word) => Assert.Equal(Word.Date(word[0]), said.Outcome.LastCoveredOn))
        .Add("discard on {date}", (said, word) =>
        {
            Assert.Equal(Word.Date(word[0]), said.Outcome.RunOutOn);
            Assert.Contains(said.Outcome.BindingLimit, new BindingLimit?[] { BindingLimit.InUse, BindingLimit.Expiry });
        })
        .Add("{n} opened", (said, word) => Assert.Equal(Word.Count(word[0]), said.Outcome.ContainersOpened))
        .Add("used {d} mL", (said, word) => Assert.Equal(Word.Number(word[0]), said.Outcome.Used.Ml))
        .Add("discarded {d} mL", (said, word) => Assert.Equal(Word.Number(word[0]), said.Outcome.Discarded.Ml))
        .Add("the (volume|in-use limit|expiry) binds", (said, word) => Assert.Equal(word[0], Limit(said.Outcome.BindingLimit)))
        .Add("mark {d} mL(?: [(]{d} units[)])?", (said, word) => said.Marks(word))
        .Add("delivered {d} {unit}", (said, word) => Assert.Equal(Word.Number(word[0]), said.Outcome.Draws.Single().Delivered))
        .Add("off by {d} %", (said, word) => Assert.Equal(Word.Number(word[0]), said.Outcome.Draws.Single().ErrorPercent))
        .Add("finding ([a-z-]+)", (said, word) => Assert.Contains(word[0], said.Outcome.Findings.Select(finding => finding.Code)))
        .Add("no finding", (said, _) => Assert.DoesNotContain(said.Outcome.Findings, finding => finding.Code != FindingCode.CheckWaived))
        .Add("step {n} on {date}", (said, word) => Assert.Equal(Word.Date(word[1]), said.Days.First(day => day.Step == Word.Count(word[0])).On))
        .Add("{d} {unit} given through day {n}", (said, word) =>
            Assert.Equal(Word.Number(word[0]), said.Days.Where(day => day.On <= said.Day(word[2])).Sum(day => day.Total)));

    /// <summary>Fails unless everything in an answer is so.</summary>
    public void Check(string answer) => Grammar.Read(this, answer);

    private LocalDate Day(string word) => StartedOn.PlusDays(Word.Count(word));

    private void Marks(string[] word)
    {
        var draw = Outcome.Draws.Single();
        Assert.Equal(Word.Number(word[0]), draw.Marks.Single().Ml);
        if (word[1].Length > 0)
            Assert.Equal(Word.Number(word[1]), draw.MarksUnits!.Single());
    }

    private static string Limit(BindingLimit? limit) => limit switch
    {
        BindingLimit.Volume => "volume",
        BindingLimit.InUse => "in-use limit",
        BindingLimit.Expiry => "expiry",
        _ => "none",
    };
}
