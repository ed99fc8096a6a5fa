using System;
using System.Collections.Generic;
using Microsoft.Data.Sqlite;

namespace RefillPlanner.Store;

/// <summary>The prepared statements of a connection: prepared once, and lent to one transaction after the other.</summary>
internal sealed class Statements(SqliteConnection connection) : IDisposable
{
    private readonly Dictionary<string, Stack<PreparedStatement>> _idle = new(StringComparer.Ordinal);
    private readonly List<PreparedStatement> _lent = [];
    private readonly Dictionary<string, List<PreparedStatement>> _shared = new(StringComparer.Ordinal);

    // The same by the object that a constant is: looking up a long text costs as much as running what it says.
    private readonly Dictionary<string, List<PreparedStatement>> _sharedConstants = new(ReferenceEqualityComparer.Instance);

    /// <summary>A statement that nobody else uses until the transaction ends.</summary>
    public PreparedStatement Prepare(string sql)
    {
        var statement = _idle.TryGetValue(sql, out var idle) && idle.TryPop(out var kept) ? kept : new PreparedStatement(connection, sql);
        _lent.Add(statement);
        return statement;
    }

    /// <summary>A statement to be bound and run at once: the same one each time, unless its rows are still being read.</summary>
    public PreparedStatement For(string sql)
    {
        if (!_sharedConstants.TryGetValue(sql, out var known))
            known = ListOf(sql);
        foreach (var statement in known)
        {
            if (!statement.IsBusy)
                return statement;
        }

        var further = new PreparedStatement(connection, sql);
        known.Add(further);
        return further;
    }

    private List<PreparedStatement> ListOf(string sql)
    {
        if (!_shared.TryGetValue(sql, out var known))
            _shared.Add(sql, known = []);
        if (ReferenceEquals(string.IsInterned(sql), sql))
            _sharedConstants.Add(sql, known);
        return known;
    }

    /// <summary>Takes all statements back at the end of a transaction.</summary>
    public void TakeBack()
    {
        foreach (var statement in _lent)
        {
            statement.Reset();
            if (!_idle.TryGetValue(statement.Sql, out var idle))
                _idle.Add(statement.Sql, idle = new Stack<PreparedStatement>());
            idle.Push(statement);
        }

        _lent.Clear();
        foreach (var known in _shared.Values)
            known.ForEach(statement => statement.Reset());
    }

    /// <summary>Lets all statements go, before the connection is let go.</summary>
    public void Dispose()
    {
        TakeBack();
        foreach (var idle in _idle.Values)
        {
            foreach (var statement in idle)
                statement.Dispose();
        }

        foreach (var known in _shared.Values)
            known.ForEach(statement => statement.Dispose());
    }
}
