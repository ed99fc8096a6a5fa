using System;
using System.Buffers.Binary;
using System.Collections.Generic;
using System.Globalization;
using System.IO;
using System.Linq;
using System.Threading.Tasks;
using Microsoft.Data.Sqlite;
using NodaTime;
using RefillPlanner.Service.Commands;
using RefillPlanner.Service.Tests.Acceptance;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Storage;

/// <summary>
/// One byte of the file is changed, anywhere. Whatever the commands then tell is the truth, or is said to be damaged, or is refused as a whole:
/// never another number. Half of the bytes are chosen at random in the file, half table by table and index by index. The variable
/// REFILL_PLANNER_FLIPS asks for more of them, REFILL_PLANNER_SEED for others.
/// </summary>
public sealed class ByteFlipTests : IDisposable
{
    private const int Flips = 60;
    private const int Seed = 20260302;
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-flips-");

    private string State => Path.Combine(_folder.FullName, "state");

    [Fact]
    public async Task S2_A_changed_byte_never_changes_a_number_that_is_told_of_the_demo()
    {
        Assert.Equal(ExitCode.Done, (await Answer.OfAsync("demo", "--today", Told.Day, "--data", State)).Code);
        await FlipAsync();
    }

    [Fact]
    public async Task S2_A_changed_byte_never_changes_a_number_that_is_told_of_a_generated_roster()
    {
        var roster = Path.Combine(_folder.FullName, "roster");
        GeneratedRosterTests.Generate("--courses", "200", "--seed", "11", "--today", Told.Day, "--out", roster);
        Assert.Equal(ExitCode.Done, (await Answer.OfAsync("import", roster, "--today", Told.Day, "--data", State)).Code);
        await FlipAsync();
    }

    public void Dispose() => _folder.Delete(recursive: true);

    private async Task FlipAsync()
    {
        var truth = await Told.OfAsync(State);
        Assert.Equal((ExitCode.Done, ExitCode.Done), (truth.Projection.Code, truth.List.Code));
        var file = Path.Combine(State, "refill-planner.db");
        Assert.False(File.Exists(file + "-wal"), "the file is whole");
        var patientOfCourse = PatientOfCourse(file);
        var bytes = await File.ReadAllBytesAsync(file, TestContext.Current.CancellationToken);
        var places = Places(file, bytes);
        var (flips, seed) = (Number("REFILL_PLANNER_FLIPS", Flips), Number("REFILL_PLANNER_SEED", Seed));
        var dice = new Random(seed);
        var (unchanged, named, refused) = (0, 0, 0);
        var wrong = new List<string>();
        for (var flip = 0; flip < flips; flip++)
        {
            var (place, from, length) = flip % 2 == 0 ? ("the file", 0, bytes.Length) : places[flip / 2 % places.Count].Pick(dice);
            var at = from + dice.Next(length);
            var by = (byte)dice.Next(1, 256);
            var told = await TellAsync(bytes, at, by);
            wrong.AddRange(told.ListWrong(truth, patientOfCourse).Select(what => $"seed {seed}, flip {flip}, byte {at} ({place}) {bytes[at]} to {bytes[at] ^ by}: {what}"));
            if (told == truth)
                unchanged++;
            else if (told.Projection.IsRefusal || told.List.IsRefusal)
                refused++;
            else
                named++;
        }

        TestContext.Current.TestOutputHelper?.WriteLine($"{flips} flips of seed {seed} over {bytes.Length} bytes and {places.Count} tables and indexes: {unchanged} changed nothing, {named} damage named, {refused} refused, {wrong.Count} wrong");
        Assert.True(wrong.Count == 0, string.Join("\n\n", wrong.Take(30)));
    }

    private async Task<Told> TellAsync(byte[] bytes, int at, byte by)
    {
        var folder = Path.Combine(_folder.FullName, "flipped");
        if (Directory.Exists(folder))
            Directory.Delete(folder, recursive: true);
        Directory.CreateDirectory(folder);
        var flipped = (byte[])bytes.Clone();
        flipped[at] ^= by;
        await File.WriteAllBytesAsync(Path.Combine(folder, "refill-planner.db"), flipped, TestContext.Current.CancellationToken);
        return await Told.OfAsync(folder);
    }

    private static int Number(string variable, int otherwise) =>
        int.TryParse(Environment.GetEnvironmentVariable(variable), NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? number : otherwise;

    private static Dictionary<string, string> PatientOfCourse(string file)
    {
        using var database = PlannerDatabase.Open(file, Instant.FromUtc(2026, 3, 2, 15, 0));
        using var reading = database.Read();
        return reading.Ledger.ListCourses().ToDictionary(course => course.Id, course => course.PatientId);
    }

    // The pages of each table and index.
    private static List<Pages> Places(string file, byte[] bytes)
    {
        using var connection = new SqliteConnection($"Data Source={file};Pooling=False");
        connection.Open();
        using var command = connection.CreateCommand();
        command.CommandText = "SELECT name, rootpage FROM sqlite_schema WHERE rootpage > 0 UNION ALL SELECT 'sqlite_schema', 1 ORDER BY 1;";
        using var reader = command.ExecuteReader();
        var size = BinaryPrimitives.ReadUInt16BigEndian(bytes.AsSpan(16));
        var places = new List<Pages>();
        while (reader.Read())
            places.Add(new Pages(reader.GetString(0), size, [.. ListPages(bytes, size, reader.GetInt32(1))]));
        return places;
    }

    // The SQLite file format, section 1.6: an interior page names its children in its cells, and the last one in its header.
    private static IEnumerable<int> ListPages(byte[] bytes, int size, int number)
    {
        const byte interiorIndex = 2;
        const byte interiorTable = 5;
        yield return number;
        var page = bytes.AsMemory((number - 1) * size, size);
        var header = number == 1 ? 100 : 0;
        if (page.Span[header] is not (interiorIndex or interiorTable))
            yield break;
        var children = new List<int> { (int)BinaryPrimitives.ReadUInt32BigEndian(page.Span[(header + 8)..]) };
        for (var cell = 0; cell < BinaryPrimitives.ReadUInt16BigEndian(page.Span[(header + 3)..]); cell++)
            children.Add((int)BinaryPrimitives.ReadUInt32BigEndian(page.Span[BinaryPrimitives.ReadUInt16BigEndian(page.Span[(header + 12 + 2 * cell)..])..]));
        foreach (var below in children.SelectMany(child => ListPages(bytes, size, child)))
            yield return below;
    }

    private sealed record Pages(string Name, int Size, int[] Numbers)
    {
        public (string Name, int From, int Length) Pick(Random dice) => (Name, (Numbers[dice.Next(Numbers.Length)] - 1) * Size, Size);
    }
}
