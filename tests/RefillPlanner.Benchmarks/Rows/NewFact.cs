using System.Collections.Generic;
using Microsoft.Data.Sqlite;
using RefillPlanner.Benchmarks.Roster;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>A patient's first course and what it is given.</summary>
/// <param name="PatientId">The patient.</param>
/// <param name="CourseId">The course.</param>
/// <param name="ProductId">Product of its first step.</param>
/// <param name="Volume">What a container of it holds; null: a prefilled syringe.</param>
internal sealed record NewsSubject(string PatientId, string CourseId, string ProductId, Volume? Volume);

/// <summary>Facts that are new on the roster's day.</summary>
internal static class NewFact
{
    private const string Columns = """
        SELECT p.patient_id, c.course_id, s.product_id, m.volume FROM patients p
        JOIN courses c ON c.patient_id = p.patient_id AND c.rowid = (SELECT min(rowid) FROM courses WHERE patient_id = p.patient_id)
        JOIN steps s ON s.course_id = c.course_id AND s.ladder = 1 AND s.step = 1 JOIN products m ON m.product_id = s.product_id
        """;

    /// <summary>Patients, every so manieth from one on.</summary>
    public static IReadOnlyList<NewsSubject> ListEvery(string folder, int oneIn, int from) =>
        List(folder, $"{Columns} WHERE p.rowid % $number = $from ORDER BY p.rowid;", oneIn, from % oneIn);

    /// <summary>Some patients of a site, from all over it.</summary>
    public static IReadOnlyList<NewsSubject> ListOfSite(string folder, string siteId, int count) =>
        List(folder, $"{Columns} WHERE p.site_id = $from ORDER BY p.rowid * 7919 % 10007 LIMIT $number;", count, siteId);

    /// <summary>A count, or a fill in hand.</summary>
    /// <param name="subject">About whom.</param>
    /// <param name="number">Makes the id; every other fact is a fill.</param>
    public static Fact Make(NewsSubject subject, int number)
    {
        var fact = new Fact { Id = $"N-{subject.CourseId}-{number}", CourseId = subject.CourseId, Kind = FactKind.Counted, On = LargeRoster.Today, ProductId = subject.ProductId, Containers = 1 };
        return number % 2 == 0
            ? fact with { Volume = subject.Volume is Volume full ? new Volume(full.Nanolitres / 2) : null }
            : fact with { Kind = FactKind.Dispensed, ExpiresOn = LargeRoster.Today.PlusDays(90), Lot = "N-1", DaysSupply = 28 };
    }

    private static List<NewsSubject> List(string folder, string sql, int number, object from)
    {
        using var connection = RosterFile.Connect(folder);
        using var command = connection.CreateCommand();
        command.CommandText = sql;
        command.Parameters.AddWithValue("$number", number);
        command.Parameters.AddWithValue("$from", from);
        var subjects = new List<NewsSubject>();
        using var reader = command.ExecuteReader();
        while (reader.Read())
            subjects.Add(new NewsSubject(reader.GetString(0), reader.GetString(1), reader.GetString(2), reader.IsDBNull(3) ? null : new Volume(reader.GetInt64(3))));
        return subjects;
    }
}
