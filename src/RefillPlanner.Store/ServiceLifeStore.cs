namespace RefillPlanner.Store;

/// <summary>How often the service was started on this file.</summary>
public sealed class ServiceLifeStore
{
    private readonly Statements _statements;

    internal ServiceLifeStore(Statements statements) => _statements = statements;

    /// <summary>How often it was started.</summary>
    public long CountStarts() => _statements.For("SELECT starts FROM service_life;").FindNumber();

    /// <summary>Counts one more start; the new count.</summary>
    public long CountStart() => _statements.For("UPDATE service_life SET starts = starts + 1 RETURNING starts;").FindNumber();
}
