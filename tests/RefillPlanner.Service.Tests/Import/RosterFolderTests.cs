using System;
using System.IO;
using System.IO.Compression;
using System.Linq;
using System.Text;
using RefillPlanner.Service.Import;
using Xunit;

namespace RefillPlanner.Service.Tests.Import;

public sealed class RosterFolderTests
{
    [Theory]
    [InlineData("")]
    [InlineData("roster/")]
    public void A_zip_of_a_roster_is_a_roster(string prefix)
    {
        using var folder = new TestFolder();

        var judged = Imported.From(RosterFolder.Open(new TestRoster().WriteZip(folder, prefix)));

        Assert.Empty(judged.Refusals);
        Assert.Equal(3, judged.Facts.Count);
    }

    [Fact]
    public void An_unknown_csv_is_refused_by_name_and_other_files_are_passed_over()
    {
        using var folder = new TestFolder();
        File.WriteAllText(folder.In("patient.csv"), "x");
        File.WriteAllText(folder.In("readme.txt"), "x");
        File.WriteAllText(folder.In("._sites.csv"), "x");

        var refusal = Assert.Single(RosterFolder.Open(folder.Path).Refusals);

        Assert.Equal(("patient.csv", 1, "patient.csv"), (refusal.File, refusal.Line, refusal.Value));
    }

    [Fact]
    public void What_unpacks_to_more_than_a_file_may_hold_is_refused_without_reading_on()
    {
        using var folder = new TestFolder();
        using (var archive = ZipFile.Open(folder.In("bomb.zip"), ZipArchiveMode.Create))
        {
            using var entry = archive.CreateEntry("facts.csv", CompressionLevel.Fastest).Open();
            var lines = new byte[1024 * 1024];
            Array.Fill(lines, (byte)'\n');
            for (var i = 0; i <= 50; i++)
                entry.Write(lines);
        }

        var judged = Imported.From(RosterFolder.Open(folder.In("bomb.zip"), largestFile: 3 * 1024 * 1024));

        Assert.Contains("larger than 3 MB", Assert.Single(judged.Refusals).Reason, StringComparison.Ordinal);
        Assert.Empty(judged.Counts);
        using var stream = RosterFolder.Open(folder.In("bomb.zip"), largestFile: 3 * 1024 * 1024).Read("facts.csv");
        Assert.Throws<UnreadableFileException>(() => stream.CopyTo(Stream.Null));
        Assert.InRange(stream.Position, 3 * 1024 * 1024, 4 * 1024 * 1024);
    }

    [Fact]
    public void As_many_bytes_are_told_as_the_files_have()
    {
        using var folder = new TestFolder();
        var roster = RosterFolder.Open(new TestRoster().WriteZip(folder, ""));
        long told = 0;
        roster.OnRead = bytes => told += bytes;

        Imported.From(roster);

        Assert.True(told > 0);
        Assert.Equal(roster.Length, told);
    }

    [Fact]
    public void A_file_that_is_refused_whole_is_given_back_as_it_is()
    {
        using var folder = new TestFolder();
        byte[] bytes = [.. "device_id,name\nD-1,Jos"u8, 0xE9, (byte)'\n'];
        File.WriteAllBytes(folder.In("devices.csv"), bytes);

        Imported.From(RosterFolder.Open(folder.Path), refusedFolder: folder.In("refused"));

        Assert.Equal(bytes, File.ReadAllBytes(folder.In("refused/devices.csv")));
    }

    [Fact]
    public void A_file_that_is_no_zip_is_refused()
    {
        using var folder = new TestFolder();
        File.WriteAllText(folder.In("roster.zip"), "no archive");

        Assert.Contains("neither a folder nor a readable .zip", Assert.Single(RosterFolder.Open(folder.In("roster.zip")).Refusals).Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_roster_that_is_not_there_is_told_by_its_path()
    {
        Assert.Throws<FileNotFoundException>(() => RosterFolder.Open("nowhere-at-all"));
    }

    [Fact]
    public void Refused_rows_are_written_as_read_and_go_in_once_they_are_mended()
    {
        using var folder = new TestFolder();
        var roster = new TestRoster()
            .WithLine("sites.csv", "S-9,\"Zweite, Straße\",Nowhere/X,,,,,,,,,,,,")
            .With("patient", "site_id=S-9|email==cmd()@x");
        var refused = folder.In("refused");
        var judged = Imported.From(RosterFolder.Open(roster.Write(folder, "roster")), refusedFolder: refused);

        Assert.Equal(["patients.csv", "refusals.csv", "sites.csv"], Directory.GetFiles(refused).Select(Path.GetFileName).Order(StringComparer.Ordinal));
        Assert.Equal(TestRoster.Header("sites.csv") + "\r\nS-9,\"Zweite, Straße\",Nowhere/X,,,,,,,,,,,,\r\n", File.ReadAllText(Path.Combine(refused, "sites.csv")));
        Assert.Throws<IOException>(() => Imported.From(RosterFolder.Open(folder.In("roster")), refusedFolder: refused));

        foreach (var file in Directory.GetFiles(refused))
            File.WriteAllText(file, File.ReadAllText(file).Replace("Nowhere/X", "Europe/Berlin", StringComparison.Ordinal).Replace("=cmd()@x", "bo@example.org", StringComparison.Ordinal));
        var mended = Imported.From(RosterFolder.Open(refused), judged);
        Assert.Empty(mended.Refusals);
        Assert.Equal("S-9", Assert.Single(mended.Patients).SiteId);
    }

    [Fact]
    public void A_value_that_a_spreadsheet_would_run_gets_an_apostrophe_in_the_reasons_only()
    {
        using var folder = new TestFolder();

        var roster = new TestRoster().With("device", "marked_in==1+1|name=\u001Bx").With("sharps", "capacity_sharps=-5").Write(folder, "roster");
        Imported.From(RosterFolder.Open(roster), refusedFolder: folder.In("refused"));

        var reasons = File.ReadAllText(folder.In("refused/refusals.csv"));
        Assert.Contains("\"'-5\"", reasons, StringComparison.Ordinal);
        Assert.Contains("\\u001Bx", reasons, StringComparison.Ordinal);
        Assert.Contains(",=1+1,", File.ReadAllText(folder.In("refused/devices.csv"), Encoding.UTF8), StringComparison.Ordinal);
    }
}
