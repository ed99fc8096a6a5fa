using System;
using System.IO;
using System.Linq;
using Microsoft.Data.Sqlite;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Work;

/// <summary>
/// How the service is, in one line that names no patient, such as
/// <c>ok 2026-03-02T15:00:00Z progress=12s queued=3 not-accepted=1 paused=no</c>. The first word comes from the age of the last progress.
/// </summary>
/// <param name="desk">Database, settings, clock.</param>
/// <param name="progress">The last progress.</param>
public sealed class Health(Desk desk, Progress progress)
{
    /// <summary>The file in the state folder that holds the line.</summary>
    public const string FileName = "health";

    /// <summary>Progress older than this is late.</summary>
    public static readonly TimeSpan LateAfter = TimeSpan.FromMinutes(3);

    /// <summary>Progress older than this is bad.</summary>
    public static readonly TimeSpan BadAfter = TimeSpan.FromMinutes(10);

    /// <summary>For how long a message that did not reach its reader counts.</summary>
    public static readonly Duration NotAcceptedFor = Duration.FromDays(30);

    private const string Unknown = "?";
    private volatile bool _isStorageAway;

    /// <summary>How many messages wait to be sent, as last counted; null: not known.</summary>
    public long? Queued { get; private set; }

    /// <summary>Whether the database cannot be used at present, which is bad whatever the age of the progress.</summary>
    public bool IsStorageAway
    {
        get => _isStorageAway;
        set => _isStorageAway = value;
    }

    /// <summary>The line at the present instant. A database that cannot be read leaves question marks.</summary>
    public string Say()
    {
        var (notAccepted, paused) = (Unknown, Unknown);
        Queued = null;
        try
        {
            using var reading = desk.Database.Read();
            Queued = reading.Outbox.CountQueued(Instant.MaxValue);
            notAccepted = reading.Outbox.CountNotAccepted(desk.Now - NotAcceptedFor).ToString();
            var kinds = reading.Pauses.List().Where(pause => pause.IsInForce(desk.Now)).Select(pause => Kebab.Of(pause.Kind)).ToArray();
            paused = kinds.Length == 0 ? "no" : string.Join(',', kinds);
        }
        catch (SqliteException)
        {
            // The line is written all the same: that it cannot be read is what it then says.
        }

        var age = progress.Age;
        var word = _isStorageAway || age > BadAfter ? "bad" : age > LateAfter ? "late" : "ok";
        return $"{word} {desk.Now.ToDateTimeOffset():yyyy-MM-dd'T'HH:mm:ss'Z'} progress={(long)age.TotalSeconds}s queued={Queued?.ToString() ?? Unknown} not-accepted={notAccepted} paused={paused}";
    }

    /// <summary>Writes a line in place of the last one: a reader sees the one or the other, never half of one. On a full disk the old one stays.</summary>
    public static void Write(string folder, string line)
    {
        var file = Path.Combine(folder, FileName);
        try
        {
            File.WriteAllText(file + ".new", line + "\n");
            File.Move(file + ".new", file, overwrite: true);
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            // Who reads it sees by its instant that it is old.
        }
    }
}
