using System.Collections.Generic;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using Xunit;

namespace RefillPlanner.Core.Tests.Published;

/// <summary>What is given in a ruling about a prescription, a fill, or the fills of a period.</summary>
internal sealed class RefillRuling
{
    private static readonly Phrases<RefillRuling> Given = new Phrases<RefillRuling>()
        .Add("schedule {n}", (ruling, word) => ruling.Prescription = ruling.Prescription with { Schedule = Word.Count(word[0]) })
        .Add("issued {date}", (ruling, word) => ruling.Prescription = ruling.Prescription with { IssuedOn = Word.Date(word[0]) })
        .Add("valid through {date}", (ruling, word) => ruling.Prescription = ruling.Prescription with { ValidThrough = Word.Date(word[0]) })
        .Add("{n} refills authorized", (ruling, word) => ruling.Prescription = ruling.Prescription with { RefillsAuthorized = Word.Count(word[0]) })
        .Add("{n} fills?", (ruling, word) => ruling.FillsUnderIt = Word.Count(word[0]))
        .Add("filled {date}", (ruling, word) => ruling.FilledOn = Word.Date(word[0]))
        .Add("{n} days", (ruling, word) => ruling.DaysSupply = Word.Count(word[0]))
        .Add("{n} %", (ruling, word) => ruling.Percent = Word.Count(word[0]))
        .Add("fill {date} for {n} days", (ruling, word) => ruling.Fills.Add((Word.Date(word[0]), Word.Count(word[1]))))
        .Add("period {date} through {date}", (ruling, word) => (ruling.From, ruling.Through) = (Word.Date(word[0]), Word.Date(word[1])))
        .Add("end of supply {date}", (ruling, word) => ruling.EndOn = Word.Date(word[0]))
        .Add("weekends closed", (ruling, _) => ruling.ClosedWeekdays = [IsoDayOfWeek.Saturday, IsoDayOfWeek.Sunday]);

    private static readonly Phrases<RefillRuling> Answer = new Phrases<RefillRuling>()
        .Add("{n} refills left", (ruling, word) => Assert.Equal(Word.Count(word[0]), RefillRules.RefillsLeft(ruling.Prescription, ruling.FillsUnderIt)))
        .Add("last valid {date}", (ruling, word) => Assert.Equal(Word.Date(word[0]), RefillRules.LastValidOn(ruling.Prescription)))
        .Add("no last valid day", (ruling, _) => Assert.Null(RefillRules.LastValidOn(ruling.Prescription)))
        .Add("earliest {date}", (ruling, word) => Assert.Equal(Word.Date(word[0]), RefillRules.EarliestFillOn(ruling.FilledOn, ruling.DaysSupply, ruling.Percent)))
        .Add("{n} of {n} dates covered", (ruling, word) => Assert.Equal(new DaysCovered(Word.Count(word[0]), Word.Count(word[1])), ruling.Covered()))
        .Add("no fill in the period", (ruling, _) => Assert.Null(ruling.Covered()))
        .Add("contact from {date}", (ruling, word) => ruling.IsWithin(word[0], -30, plan => plan.ContactOn))
        .Add("deliver from {date}", (ruling, word) => ruling.IsWithin(word[0], -10, plan => plan.ReadyOn));

    public Prescription Prescription { get; private set; } = new() { Id = "R", CourseId = "C", IssuedOn = new(2026, 1, 1), RefillsAuthorized = 0 };

    public int FillsUnderIt { get; private set; }

    public LocalDate FilledOn { get; private set; }

    public int DaysSupply { get; private set; }

    public int Percent { get; private set; }

    public List<(LocalDate On, int DaysSupply)> Fills { get; } = [];

    public LocalDate From { get; private set; }

    public LocalDate Through { get; private set; }

    public LocalDate EndOn { get; private set; }

    public IReadOnlyList<IsoDayOfWeek> ClosedWeekdays { get; private set; } = [];

    /// <summary>Fails unless the answer is so.</summary>
    public static void Check(string ruling)
    {
        var (given, answer) = Phrases<RefillRuling>.Split(ruling);
        Answer.Read(Given.Read(new RefillRuling(), given), answer);
    }

    private DaysCovered? Covered() => ProportionOfDaysCovered.Of(Fills, From, Through);

    // The written day is the first that the rule allows; the planned one is not before it.
    private void IsWithin(string first, int days, System.Func<RefillPlan, LocalDate> planned)
    {
        Assert.Equal(EndOn.PlusDays(days), LocalDatePattern.Iso.Parse(first).Value);
        foreach (var handover in new[] { Handover.Pickup, Handover.Ship })
            Assert.InRange(planned(PlannedRefill.EndingOn(EndOn, handover, ClosedWeekdays)), EndOn.PlusDays(days), EndOn);
    }
}
