using System;
using Microsoft.Data.Sqlite;

namespace RefillPlanner.Store;

/// <summary>One transaction with everything that can be read and written in it. Without <see cref="Commit"/> nothing happened.</summary>
public sealed class StoreTransaction : IDisposable
{
    private readonly SqliteConnection _connection;
    private readonly SqliteTransaction _transaction;
    private readonly Statements _statements;

    internal StoreTransaction(SqliteConnection connection, SqliteTransaction transaction)
    {
        _connection = connection;
        _transaction = transaction;
        _statements = new Statements(connection);
        Ledger = new LedgerStore(connection, transaction, _statements);
        Roster = new RosterStore(_statements);
        Snapshots = new SnapshotStore(connection, transaction, Ledger);
        Plans = new PlanStore(connection, transaction);
        Tasks = new TaskStore(connection, transaction);
        DueList = new DueListStore(connection, transaction);
        Outbox = new OutboxStore(connection, transaction);
        Runs = new RunStore(connection, transaction);
    }

    /// <summary>What is on record.</summary>
    public LedgerStore Ledger { get; }

    /// <summary>What an import remembers of its own rows.</summary>
    public RosterStore Roster { get; }

    /// <summary>What is on record, course by course.</summary>
    public SnapshotStore Snapshots { get; }

    /// <summary>What was last worked out.</summary>
    public PlanStore Plans { get; }

    /// <summary>What somebody must see to.</summary>
    public TaskStore Tasks { get; }

    /// <summary>What of it is on the list of a site.</summary>
    public DueListStore DueList { get; }

    /// <summary>What is to be sent, and what was.</summary>
    public OutboxStore Outbox { get; }

    /// <summary>When what ran.</summary>
    public RunStore Runs { get; }

    /// <summary>Makes everything of this transaction durable at once.</summary>
    public void Commit() => _transaction.Commit();

    /// <summary>Ends the transaction; what was not committed is undone.</summary>
    public void Dispose()
    {
        _statements.Dispose();
        _transaction.Dispose();
        _connection.Dispose();
    }
}
