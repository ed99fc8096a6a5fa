using System;
using System.Linq;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Service.Import;
using Xunit;

namespace RefillPlanner.Service.Tests.Import;

public sealed class RelatedRowTests
{
    [Fact]
    public void A_ladder_of_which_one_step_is_refused_is_refused_whole()
    {
        var judged = new TestRoster().With("step", "dose_days=4").With("step", "step=2|doses=x|dose_days=4").With("step", "step=3").Judge();

        Assert.Equal([6, 7, 8], judged.Refusals.Select(refusal => refusal.Line));
        Assert.Equal("step 2 of this ladder was refused", judged.Refusals[0].Reason);
        Assert.Equal(4, judged.Steps.Count);
    }

    [Fact]
    public void Only_the_last_step_may_last_until_further_notice()
    {
        var judged = new TestRoster().With("step").With("step", "step=2").Judge();

        Assert.Equal(("dose_days", 6), (judged.Refusals[0].Column, judged.Refusals[0].Line));
        Assert.Equal(2, judged.Refusals.Count);
    }

    [Fact]
    public void A_refused_course_takes_its_steps_and_facts_with_it()
    {
        var judged = new TestRoster().Without("courses.csv", "C-1").With("course", "fill_days=x", "C-1").Judge();

        Assert.All(judged.Refusals.Skip(1), refusal => Assert.Equal("course C-1 was refused", refusal.Reason));
        Assert.Equal(1 + 2 + 1 + 3, judged.Refusals.Count);
        Assert.Equal(2, judged.Courses.Count);
    }

    [Fact]
    public void A_course_without_a_good_first_ladder_is_refused_and_its_other_ladders_too()
    {
        var judged = new TestRoster().With("course").With("step", "course_id=C-9|ladder=1|doses=x").With("step", "course_id=C-9").Judge();

        Assert.Equal(
            ["its ladder 1 was refused", "is no plain number such as 0.5", "course C-9 was refused"],
            judged.Refusals.Select(refusal => refusal.Reason));
    }

    [Fact]
    public void A_step_row_that_swallowed_lines_refuses_every_new_ladder_because_it_may_have_held_their_steps()
    {
        var judged = new TestRoster().WithLine("steps.csv", "C-3,2,\"SYR-1,40,14,,,,,").WithLine("steps.csv", "C-3,3,SYR-1,40,14,,,,,").Judge();

        Assert.Empty(judged.Steps);
        Assert.Empty(judged.Courses);
    }

    [Fact]
    public void Doses_in_another_mass_unit_convert_exactly()
    {
        var judged = new TestRoster().With("step", "doses=0.000001 mcg; 500mcg;1 mg").Judge();

        Assert.Equal([new Amount(1), Amount.From(0.5m), Amount.From(1m)], judged.Steps.Single(step => step.Ladder == 2).Doses);
    }

    [Fact]
    public void A_fill_may_stand_below_the_row_that_received_it()
    {
        var judged = new TestRoster().Judge();

        Assert.Empty(judged.Refusals);
        Assert.Equal(["F-1", "F-2", "F-3"], judged.Facts.Select(fact => fact.Id));
    }

    [Fact]
    public void A_void_frees_the_day_for_another_count_wherever_it_stands()
    {
        Assert.Empty(new TestRoster().With("counted", "on=2026-03-09").With("void").Judge().Refusals);
        Assert.Empty(new TestRoster().With("counted", "on=2026-03-09").With("void", "note=X-4").Judge().Refusals);
    }

    [Theory]
    [InlineData("X-17", "a void cannot be voided")]
    [InlineData("F-3", "voided already")]
    [InlineData("bad", "fact bad was refused")]
    public void A_void_takes_back_one_fact_once_and_never_a_void(string note, string reason)
    {
        var judged = new TestRoster().With("void", id: "X-17").With("missed", "step=1", "bad").With("void", $"note={note}").Judge();

        Assert.Contains(reason, judged.Refusals.Single(refusal => refusal.Column == "note").Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Two_sizes_of_one_family_may_be_counted_on_one_day()
    {
        var judged = new TestRoster().With("size").With("counted", "product_id=V-8|on=2026-03-09").Judge();

        Assert.Empty(judged.Refusals);
    }

    [Fact]
    public void A_lot_may_be_discarded_without_naming_a_product()
    {
        Assert.Empty(new TestRoster().With("discarded", "product_id=|lot=L7").Judge().Refusals);
    }

    [Fact]
    public void A_size_may_stand_above_the_product_that_it_names()
    {
        var roster = new TestRoster().With("size", "size_of=V-9|amount_per_ml=|amount_per_container=4|volume_ml=3").With("vial");

        var judged = roster.Judge();

        Assert.Empty(judged.Refusals);
        Assert.Equal(["PEN-1", "SYR-1", "V-1", "V-8", "V-9"], judged.Products.Select(product => product.Id));
        Assert.Equal("V-9", judged.Products[3].SizeOf);
    }

    [Fact]
    public void A_size_of_a_size_is_refused()
    {
        var refusal = Assert.Single(new TestRoster().With("size").With("size", "size_of=V-8", "V-7").Judge().Refusals);

        Assert.Contains("is a size of V-1 itself", refusal.Reason, StringComparison.Ordinal);
    }
}
