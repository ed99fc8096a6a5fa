using System;
using System.IO;
using Microsoft.Extensions.Time.Testing;
using NodaTime;
using RefillPlanner.Service.Import;
using RefillPlanner.Service.Settings;
using RefillPlanner.Service.Tests.Acceptance;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>A generated roster in a file of its own.</summary>
internal sealed class GeneratedStock : IDisposable
{
    private static readonly DateTimeOffset Start = new(2026, 3, 2, 13, 0, 0, TimeSpan.Zero);

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-tests-");

    public GeneratedStock(int courses)
    {
        var roster = Path.Combine(_folder.FullName, "roster");
        GeneratedRosterTests.Generate("--courses", $"{courses}", "--seed", "11", "--today", "2026-03-02", "--out", roster);
        Desk = new Desk(PlannerDatabase.Open(Path.Combine(_folder.FullName, "planner.db"), Instant.FromDateTimeOffset(Start)), new PlannerSettings(), new FakeTimeProvider(Start));
        Assert.Equal(0, RosterImport.Run(Desk.Database, RosterFolder.Open(roster), Desk.Now, "test").RefusalCount);
    }

    public Desk Desk { get; }

    public void Dispose()
    {
        Desk.Database.Dispose();
        _folder.Delete(recursive: true);
    }
}
