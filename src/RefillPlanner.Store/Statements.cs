using System;
using System.Collections.Generic;
using Microsoft.Data.Sqlite;

namespace RefillPlanner.Store;

/// <summary>The prepared statements of one transaction; they are let go with it, before its connection is.</summary>
internal sealed class Statements(SqliteConnection connection) : IDisposable
{
    private readonly List<PreparedStatement> _prepared = [];

    public PreparedStatement Prepare(string sql)
    {
        var statement = new PreparedStatement(connection, sql);
        _prepared.Add(statement);
        return statement;
    }

    public void Dispose() => _prepared.ForEach(statement => statement.Dispose());
}
