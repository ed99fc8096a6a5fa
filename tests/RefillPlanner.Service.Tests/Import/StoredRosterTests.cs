using System.IO;
using System.Linq;
using System.Text;
using NodaTime;
using RefillPlanner.Service.Import;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Import;

public sealed class StoredRosterTests
{
    [Fact]
    public void A_roster_written_to_the_store_is_all_the_same_the_second_time()
    {
        using var folder = new TestFolder();
        using var state = new TestFolder();
        foreach (var schema in RosterSchema.All)
            File.WriteAllText(folder.In(schema.File), new TestRoster().With("size").With("void").With("counted", "on=2026-03-09").Text(schema.File), Encoding.UTF8);
        using var database = PlannerDatabase.Open(state.In("planner.db"), Instant.FromUtc(2026, 3, 2, 8, 0));

        var first = Import();
        var second = Import();

        Assert.Empty(first.Refusals);
        Assert.Equal(21, first.Counts.Sum(count => count.New));
        Assert.Empty(second.Refusals);
        Assert.Equal((0, 21), (second.Counts.Sum(count => count.New + count.Updated), second.Counts.Sum(count => count.Same)));

        JudgedRoster Import() => RosterImport.Run(database, RosterFolder.Open(folder.Path), Instant.FromUtc(2026, 3, 2, 8, 0), "test");
    }
}
