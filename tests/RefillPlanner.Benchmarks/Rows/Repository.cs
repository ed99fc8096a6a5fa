using System;
using System.IO;
using System.Linq;
using System.Xml.Linq;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>The source from which this program was built.</summary>
internal static class Repository
{
    private static readonly string[] Skipped = ["bin", "obj"];

    /// <summary>Its folder; null: this program no longer lies in it.</summary>
    public static string? FindRoot()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (folder is not null && !File.Exists(Path.Combine(folder.FullName, "RefillPlanner.sln")))
            folder = folder.Parent;
        return folder?.FullName;
    }

    /// <summary>Version of a package that all projects use.</summary>
    public static string PackageVersion(string root, string package) => XDocument.Load(Path.Combine(root, "config", "build", "Packages.props"))
        .Descendants("PackageVersion")
        .Single(element => (string?)element.Attribute("Include") == package)
        .Attribute("Version")!.Value;

    /// <summary>Copies what the service is built from, without lock files: a build for one platform would write to them.</summary>
    public static void CopySources(string root, string to)
    {
        foreach (var part in new[] { "src", "config", "sql" })
            CopyFolder(Path.Combine(root, part), Path.Combine(to, part));
        File.Copy(Path.Combine(root, "global.json"), Path.Combine(to, "global.json"), overwrite: true);
    }

    private static void CopyFolder(string from, string to)
    {
        Directory.CreateDirectory(to);
        foreach (var file in Directory.EnumerateFiles(from).Where(file => Path.GetFileName(file) != "packages.lock.json"))
            File.Copy(file, Path.Combine(to, Path.GetFileName(file)), overwrite: true);
        foreach (var folder in Directory.EnumerateDirectories(from).Where(folder => !Skipped.Contains(Path.GetFileName(folder))))
            CopyFolder(folder, Path.Combine(to, Path.GetFileName(folder)));
    }
}
