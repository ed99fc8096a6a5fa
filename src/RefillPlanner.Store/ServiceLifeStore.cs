using System.Linq;
using NodaTime;

namespace RefillPlanner.Store;

/// <summary>How often the service was started on this file, and when the file was last backed up.</summary>
public sealed class ServiceLifeStore
{
    private readonly Statements _statements;

    internal ServiceLifeStore(Statements statements) => _statements = statements;

    /// <summary>How often it was started.</summary>
    public long CountStarts() => _statements.For("SELECT starts FROM service_life;").FindNumber();

    /// <summary>Counts one more start; the new count.</summary>
    public long CountStart() => _statements.For("UPDATE service_life SET starts = starts + 1 RETURNING starts;").FindNumber();

    /// <summary>When the last backup was made; null: there was none.</summary>
    public Instant? FindLastBackup() =>
        _statements.For("SELECT backed_up_at FROM service_life WHERE backed_up_at IS NOT NULL;").List(row => (Instant?)row.Moment(0)).FirstOrDefault();

    /// <summary>A backup was made.</summary>
    public void SetLastBackup(Instant at) => _statements.For("UPDATE service_life SET backed_up_at = ?;").Bind(at).Run();
}
