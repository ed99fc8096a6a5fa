using System;
using System.IO;
using System.Threading.Tasks;
using RefillPlanner.Service.Commands;

namespace RefillPlanner.Service.Tests.Commands;

/// <summary>The program as a user types it, in a folder of its own.</summary>
internal sealed class Typed(TimeProvider time) : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-typed-");

    public string Folder => _folder.FullName;

    public string State => Path.Combine(Folder, "state");

    public string Database => Path.Combine(State, Premises.DatabaseFile);

    public async Task<(int Code, string Text)> RunAsync(params string[] args)
    {
        await using var output = new StringWriter();
        var code = await CommandLine.RunAsync(args, output, output, time);
        return (code, output.ToString());
    }

    /// <summary>Changes the database behind the program's back.</summary>
    public void Damage(string sql)
    {
        using var connection = new Microsoft.Data.Sqlite.SqliteConnection($"Data Source={Database};Pooling=False");
        connection.Open();
        using var command = connection.CreateCommand();
        command.CommandText = sql;
        command.ExecuteNonQuery();
    }

    public void Dispose() => _folder.Delete(recursive: true);
}
