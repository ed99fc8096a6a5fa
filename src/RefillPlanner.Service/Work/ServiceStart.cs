using System;
using System.Collections.Generic;
using System.Globalization;
using System.IO;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Messages;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>
/// What is done once at each start, before any work: a person's word that mail may go on, the count of starts, and a look whether the database
/// file is an older one that was put in the place of the last.
/// </summary>
/// <param name="desk">Database, settings, clock.</param>
/// <param name="clock">Looks at the clock.</param>
/// <param name="folder">The state folder, which holds the count of starts a second time.</param>
public sealed class ServiceStart(Desk desk, ClockGuard clock, string folder)
{
    /// <summary>The file in the state folder with the count of starts.</summary>
    public const string FileName = "starts";

    /// <summary>Who acts when no person does.</summary>
    public const string By = "service";

    private static readonly PauseKind[] EndedByAPerson = [PauseKind.Restored, PauseKind.Clock, PauseKind.MailAccount, PauseKind.MailRefusals];

    /// <summary>Ends what waits for a person, or was brought about by refusals.</summary>
    /// <param name="desk">Database, settings, clock.</param>
    /// <param name="by">The person.</param>
    /// <returns>What was ended.</returns>
    public static IReadOnlyList<PauseKind> GoOn(Desk desk, string by)
    {
        using var transaction = desk.Database.Begin();
        PauseKind[] ended = [.. EndedByAPerson.Where(kind => transaction.Pauses.End(kind, desk.Now, by))];
        transaction.Commit();
        return ended;
    }

    /// <summary>Does it.</summary>
    /// <param name="confirmedBy">The person who has looked, and says that mail may go on; null: nobody.</param>
    /// <returns>What now keeps mail from being sent.</returns>
    public IReadOnlyList<Pause> Begin(string? confirmedBy)
    {
        if (confirmedBy is null)
            clock.IsTrustedAtStart();
        var kept = ReadCount();
        long count;
        using (var transaction = desk.Database.Begin())
        {
            var known = transaction.Life.CountStarts();
            count = transaction.Life.CountStart();
            var isOlder = kept is long more ? more > known : known > 0;
            if (isOlder && confirmedBy is null && transaction.Pauses.List().All(pause => pause.Kind != PauseKind.Restored))
                transaction.Pauses.Put(new Pause(PauseKind.Restored, desk.Now, Until: null, Tries: 1, Reason(kept, known)), desk.Now, By);
            transaction.Audit.Add(desk.Now, By, AuditSubject.Service, "start", null, count.ToString(CultureInfo.InvariantCulture));
            transaction.Commit();
        }

        WriteCount(count);
        if (confirmedBy is not null)
            GoOn(desk, confirmedBy);
        using var reading = desk.Database.Read();
        return [.. reading.Pauses.List().Where(pause => pause.IsInForce(desk.Now))];
    }

    private static string Reason(long? kept, long known) => kept is long more
        ? $"the database file has seen {known} starts of the service, and this folder {more}: it is an older file that was put back."
        : $"the database file has seen {known} starts of the service, and this folder none: it came from elsewhere, or was put back.";

    private long? ReadCount()
    {
        try
        {
            return long.TryParse(File.ReadAllText(Path.Combine(folder, FileName)), NumberStyles.AllowTrailingWhite, CultureInfo.InvariantCulture, out var count) ? count : null;
        }
        catch (FileNotFoundException)
        {
            return null;
        }
    }

    // Durable under a name of its own before it takes the place of the last.
    private void WriteCount(long count)
    {
        var file = Path.Combine(folder, FileName);
        using (var stream = new FileStream(file + ".new", FileMode.Create, FileAccess.Write, FileShare.None))
        {
            stream.Write(System.Text.Encoding.ASCII.GetBytes($"{count.ToString(CultureInfo.InvariantCulture)}\n"));
            stream.Flush(flushToDisk: true);
        }

        File.Move(file + ".new", file, overwrite: true);
    }
}
