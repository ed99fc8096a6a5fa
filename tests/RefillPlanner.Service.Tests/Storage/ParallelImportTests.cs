using System;
using System.IO;
using System.Linq;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Service.Demo;
using RefillPlanner.Service.Import;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Storage;

/// <summary>Imports that come at once.</summary>
public sealed class ParallelImportTests : IDisposable
{
    private const int Imports = 8;
    private static readonly Instant Now = Instant.FromUtc(2026, 3, 2, 15, 0);
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-imports-");

    private string File => Path.Combine(_folder.FullName, "planner.db");

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task S6_One_roster_imported_eight_times_at_once_is_there_once(bool isOneDatabase)
    {
        using var shared = isOneDatabase ? PlannerDatabase.Open(File, Now) : null;
        var reports = await Task.WhenAll(Enumerable.Range(0, Imports).Select(_ => Task.Factory.StartNew(
            () =>
            {
                var database = shared ?? PlannerDatabase.Open(File, Now);
                try
                {
                    return RosterImport.Run(database, RosterFolder.Of(DemoRoster.Build(new(2026, 3, 2))), Now, "test");
                }
                finally
                {
                    if (shared is null)
                        database.Dispose();
                }
            },
            TestContext.Current.CancellationToken,
            TaskCreationOptions.LongRunning,
            TaskScheduler.Default)));
        Assert.All(reports, report => Assert.Equal(0, report.RefusalCount));
        using var after = PlannerDatabase.Open(File, Now);
        using var reading = after.Read();
        var facts = reading.Ledger.ListFacts();
        Assert.Equal(facts.Count, facts.Select(fact => fact.Id).Distinct().Count());
        Assert.Equal(facts.Count, reports.SelectMany(report => report.Counts).Where(count => count.File == "facts.csv").Sum(count => count.New));
        Assert.Empty(after.FindDamage().Complaints);
    }

    public void Dispose() => _folder.Delete(recursive: true);
}
