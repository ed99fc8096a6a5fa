using System;
using System.Linq;
using NodaTime;
using RefillPlanner.Service.Import;
using Xunit;

namespace RefillPlanner.Service.Tests.Import;

public sealed class RepeatedRosterTests
{
    private static readonly Imported OnRecord = new TestRoster().Judge();

    [Fact]
    public void Importing_twice_changes_nothing()
    {
        var judged = new TestRoster().Judge(OnRecord);

        Assert.Empty(judged.Refusals);
        Assert.Equal(0, judged.Counts.Sum(count => count.New + count.Updated));
        Assert.Equal(18, judged.Counts.Sum(count => count.Same));
        Assert.Equal(0, judged.Sites.Count + judged.Patients.Count + judged.Products.Count + judged.Devices.Count + judged.Sharps.Count);
        Assert.Equal(0, judged.Courses.Count + judged.Steps.Count + judged.Prescriptions.Count + judged.Facts.Count);
    }

    [Fact]
    public void Everything_that_was_ever_recorded_is_the_same_the_second_time_voids_and_counts_as_well()
    {
        var roster = new TestRoster().With("void").With("counted", "on=2026-03-09");
        var first = roster.Judge();

        var second = roster.Judge(first);

        Assert.Empty(first.Refusals);
        Assert.Empty(second.Refusals);
        Assert.Empty(second.Facts);
    }

    [Fact]
    public void A_known_site_with_other_content_is_updated()
    {
        var judged = new TestRoster().Without("sites.csv", "S-1").With("site", id: "S-1").Judge(OnRecord);

        Assert.Equal(new FileCounts("sites.csv", 0, 1, 0, 0), judged.Counts[0]);
        Assert.Equal("Second", Assert.Single(judged.Sites).Name);
    }

    [Theory]
    [InlineData("course", "course_id=C-1", "course_id", "on record with other content")]
    [InlineData("step", "ladder=1", "step", "on record with another ladder 1")]
    [InlineData("step", "ladder=1|step=3", "step", "on record with another ladder 1")]
    [InlineData("missed", "fact_id=F-1", "fact_id", "on record with other content")]
    [InlineData("counted", "on=2026-03-09", "on", "F-3 counts V-1")]
    [InlineData("vial", "product_id=V-1|unit=mcg", "unit", "doses are written in it")]
    [InlineData("syringe", "product_id=V-1", "kind", "takes another id")]
    public void What_is_on_record_is_not_overwritten_where_doses_or_facts_hang_on_it(string template, string change, string column, string reason)
    {
        var empty = new TestRoster();
        foreach (var schema in RosterSchema.All)
            empty.Without(schema.File, "");

        var refusal = Assert.Single(empty.With(template, change).Judge(OnRecord).Refusals);

        Assert.Equal(column, refusal.Column);
        Assert.Contains(reason, refusal.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void An_opt_out_on_record_survives_a_roster_that_does_not_know_it()
    {
        var known = OnRecord.With(ledger => ledger.Put(ledger.FindPatient("P-1")! with { EmailOptedOutOn = new LocalDate(2026, 2, 1) }));

        var same = new TestRoster().Judge(known);
        var updated = new TestRoster().Without("patients.csv", "P-1").With("patient", "email=a@example.org|email_agreed_on=2026-01-05", "P-1").Judge(known);
        var agreed = new TestRoster().Without("patients.csv", "P-1").With("patient", "email=a@example.org|email_agreed_on=2026-02-05", "P-1").Judge(known);

        Assert.Empty(same.Patients);
        Assert.False(Assert.Single(updated.Patients).MayBeMailed);
        Assert.True(Assert.Single(agreed.Patients).MayBeMailed);
    }

    [Fact]
    public void An_id_twice_in_one_file_is_taken_once_if_it_says_the_same_and_refused_if_not()
    {
        var same = new TestRoster().With("device").With("device").Judge();
        var other = new TestRoster().With("device").With("device", "capacity_ml=1").Judge();

        Assert.Empty(same.Refusals);
        Assert.Equal(2, same.Devices.Count);
        Assert.Equal((4, "device_id"), (Assert.Single(other.Refusals).Line, other.Refusals[0].Column));
    }

    [Fact]
    public void A_new_ladder_of_a_course_on_record_goes_in()
    {
        var judged = new TestRoster().With("step").Judge(OnRecord);

        Assert.Empty(judged.Refusals);
        Assert.Equal(2, Assert.Single(judged.Steps).Ladder);
    }

    [Fact]
    public void Strength_may_be_corrected_in_a_product_and_its_size_together()
    {
        var first = new TestRoster().With("size").Judge();
        var roster = new TestRoster().Without("products.csv", "V-1").With("vial", "product_id=V-1|amount_per_ml=2|amount_per_container=").With("size", "amount_per_ml=2");

        Assert.Empty(roster.Judge(first).Refusals);
        Assert.Single(new TestRoster().Without("products.csv", "V-1").With("vial", "product_id=V-1|amount_per_ml=2|amount_per_container=").Judge(first).Refusals);
    }
}
