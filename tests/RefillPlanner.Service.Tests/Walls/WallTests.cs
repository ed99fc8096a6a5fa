using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Runtime.CompilerServices;
using System.Text.RegularExpressions;
using Xunit;

namespace RefillPlanner.Service.Tests.Walls;

/// <summary>The walls that are not projects: read from the source.</summary>
public sealed class WallTests
{
    private static readonly string[] CoreFolders = ["Ledger", "Dosing", "Pictures", "Supply", "Sharps", "Planning", "Tasks", "Messages"];
    private static readonly string Root = FindRoot();

    [Fact]
    public void A_folder_of_the_core_uses_only_the_folders_before_it()
    {
        var wrong = from folder in CoreFolders
                    from file in Sources($"src/RefillPlanner.Core/{folder}")
                    from later in CoreFolders.SkipWhile(other => other != folder).Skip(1)
                    where Regex.IsMatch(File.ReadAllText(file), $@"\bRefillPlanner\.Core\.{later}\b", RegexOptions.None, TimeSpan.FromSeconds(5))
                    select $"{Path.GetFileName(file)} in {folder} uses {later}";
        Assert.Empty(wrong);
    }

    [Fact]
    public void The_core_references_NodaTime_and_nothing_else() => Assert.Equal(["NodaTime"], PackagesOf("Core"));

    [Fact]
    public void The_store_references_the_core_but_not_the_service() =>
        Assert.DoesNotContain("RefillPlanner.Service.csproj", File.ReadAllText(Path.Combine(Root, "src/RefillPlanner.Store/RefillPlanner.Store.csproj")), StringComparison.Ordinal);

    [Theory]
    [InlineData("MailKit", "Mail")]
    [InlineData("Quartz", "Jobs")]
    [InlineData("CsvHelper", "Import", "Demo")]
    [InlineData("System.CommandLine", "Commands")]
    [InlineData("Spectre.Console", "Commands")]
    [InlineData("Fluid", "Mail")]
    [InlineData("OpenTelemetry", "Jobs")]
    [InlineData("Microsoft.Extensions.Hosting.Systemd", "Jobs")]
    [InlineData("SkiaSharp", "Mail")]
    [InlineData("Ical.Net", "Mail")]
    public void A_library_is_used_only_in_its_room(string library, params string[] rooms)
    {
        var wrong = Sources("src/RefillPlanner.Service")
            .Where(file => !rooms.Contains(Path.GetFileName(Path.GetDirectoryName(file))))
            .Where(file => Regex.IsMatch(File.ReadAllText(file), $@"^using {Regex.Escape(library)}\b", RegexOptions.Multiline, TimeSpan.FromSeconds(5)));
        Assert.Empty(wrong.Select(Path.GetFileName));
    }

    [Fact]
    public void The_service_has_no_SQL()
    {
        var wrong = Sources("src/RefillPlanner.Service")
            .Where(file => Regex.IsMatch(File.ReadAllText(file), @"\b(SELECT .* FROM|INSERT INTO|UPDATE \w+ SET|DELETE FROM)\b|using Dapper", RegexOptions.ExplicitCapture, TimeSpan.FromSeconds(5)));
        Assert.Empty(wrong.Select(Path.GetFileName));
    }

    [Fact]
    public void No_source_reads_an_ambient_clock()
    {
        var wrong = Sources("src")
            .Where(file => Regex.IsMatch(File.ReadAllText(file), @"DateTime(Offset)?\.(Utc)?Now|SystemClock\.Instance", RegexOptions.ExplicitCapture, TimeSpan.FromSeconds(5)));
        Assert.Empty(wrong.Select(Path.GetFileName));
    }

    [Fact]
    public void The_files_read_are_there() => Assert.True(Sources("src").Count() > 100);

    private static List<string> PackagesOf(string project) =>
        [.. Regex.Matches(File.ReadAllText(Path.Combine(Root, $"src/RefillPlanner.{project}/RefillPlanner.{project}.csproj")), "<PackageReference Include=\"[^\"]+\" />", RegexOptions.None, TimeSpan.FromSeconds(5))
            .Select(match => match.Value.Split('"')[1])];

    private static IEnumerable<string> Sources(string folder) => Directory
        .EnumerateFiles(Path.Combine(Root, folder), "*.cs", SearchOption.AllDirectories)
        .Where(file => !file.Contains($"{Path.DirectorySeparatorChar}obj{Path.DirectorySeparatorChar}", StringComparison.Ordinal));

    private static string FindRoot([CallerFilePath] string here = "")
    {
        var folder = new DirectoryInfo(Path.GetDirectoryName(here)!);
        while (!File.Exists(Path.Combine(folder.FullName, "RefillPlanner.sln")))
            folder = folder.Parent!;
        return folder.FullName;
    }
}
