using System;
using System.IO;
using System.Linq;
using System.Runtime.CompilerServices;
using System.Text.RegularExpressions;
using Xunit;

namespace RefillPlanner.Faults.Tests;

/// <summary>The page of faults names tests, and they are there.</summary>
public sealed class FaultPageTests
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(5);
    private static readonly string Tests = Path.GetDirectoryName(Path.GetDirectoryName(Here()))!;

    [Fact]
    public void Every_test_that_the_page_of_faults_names_is_there()
    {
        var page = File.ReadAllText(Path.Combine(Tests, "..", "docs", "reference", "faults.md"));
        var sources = string.Concat(Directory.EnumerateFiles(Tests, "*.cs", SearchOption.AllDirectories).Where(file => !file.Contains("/obj/", StringComparison.Ordinal)).Select(File.ReadAllText));
        var named = Regex.Matches(page, "`[A-Z][A-Za-z0-9]*_[A-Za-z0-9_]+`", RegexOptions.None, Patience).Select(match => match.Value.Trim('`')).Where(name => name.Any(char.IsLower)).ToArray();
        Assert.True(named.Length > 50, $"only {named.Length} tests are named");
        Assert.All(named, name => Assert.Contains($" {name}(", sources, StringComparison.Ordinal));
    }

    private static string Here([CallerFilePath] string file = "") => file;
}
