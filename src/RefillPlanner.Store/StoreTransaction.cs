using System;
using Microsoft.Data.Sqlite;

namespace RefillPlanner.Store;

/// <summary>One transaction with everything that can be read and written in it. Without <see cref="Commit"/> nothing happened.</summary>
public sealed class StoreTransaction : IDisposable
{
    private readonly PlannerDatabase _database;
    private readonly StoreConnection _connection;
    private readonly SqliteTransaction _transaction;
    private readonly TaskDays _taskDays;
    private readonly bool _isWriter;
    private bool _isWriting;
    private bool _isDisposed;

    internal StoreTransaction(PlannerDatabase database, StoreConnection stored, SqliteTransaction transaction, bool isWriting)
    {
        (_database, _connection, _transaction, _isWriter, _isWriting) = (database, stored, transaction, isWriting, isWriting);
        var statements = stored.Statements;
        Ledger = new LedgerStore(statements);
        Roster = new RosterStore(statements);
        Signatures = new SignatureStore(statements);
        Snapshots = new SnapshotStore(statements, Ledger, Signatures, database, isWriting);
        Planning = new PlanningStore(statements);
        Plans = new PlanStore(statements);
        Audit = new AuditStore(statements);
        _taskDays = new TaskDays(statements);
        Tasks = new TaskStore(statements, Audit, _taskDays);
        DueList = new DueListStore(statements, _taskDays, Ledger);
        Outbox = new OutboxStore(statements, Audit);
        Pauses = new PauseStore(statements, Audit);
        Life = new ServiceLifeStore(statements);
        SharpsLives = new SharpsLifeStore(statements, Audit);
        Mailbox = new MailboxStore(statements);
        Runs = new RunStore(statements);
    }

    /// <summary>What is on record.</summary>
    public LedgerStore Ledger { get; }

    /// <summary>What was signed with each approval.</summary>
    public SignatureStore Signatures { get; }

    /// <summary>What an import remembers of its own rows.</summary>
    public RosterStore Roster { get; }

    /// <summary>What is on record, course by course.</summary>
    public SnapshotStore Snapshots { get; }

    /// <summary>What planning stands on, patient by patient.</summary>
    public PlanningStore Planning { get; }

    /// <summary>What was last worked out.</summary>
    public PlanStore Plans { get; }

    /// <summary>What somebody must see to.</summary>
    public TaskStore Tasks { get; }

    /// <summary>What of it is on the list of a site.</summary>
    public DueListStore DueList { get; }

    /// <summary>What is to be sent, and what was.</summary>
    public OutboxStore Outbox { get; }

    /// <summary>Who moved what.</summary>
    public AuditStore Audit { get; }

    /// <summary>What keeps mail from being sent.</summary>
    public PauseStore Pauses { get; }

    /// <summary>Where each sharps container is in its life.</summary>
    public SharpsLifeStore SharpsLives { get; }

    /// <summary>How often the service was started.</summary>
    public ServiceLifeStore Life { get; }

    /// <summary>How far the mailbox is read.</summary>
    public MailboxStore Mailbox { get; }

    /// <summary>When what ran.</summary>
    public RunStore Runs { get; }

    /// <summary>Makes everything of this transaction durable at once.</summary>
    public void Commit()
    {
        Ledger.WriteDigests();
        _taskDays.Write();
        _transaction.Commit();
        Snapshots.Keep();
        EndWriting();
    }

    /// <summary>The connection that it runs on.</summary>
    internal StoreConnection Connection => _connection;

    /// <summary>Ends the transaction; what was not committed is undone.</summary>
    public void Dispose()
    {
        if (_isDisposed)
            return;
        _isDisposed = true;
        try
        {
            _connection.Statements.TakeBack();
            _transaction.Dispose();
            _database.TakeBack(_connection, _isWriter);
        }
        finally
        {
            EndWriting();
        }
    }

    // Once: the next writer may begin as soon as this one is durable.
    private void EndWriting()
    {
        if (!_isWriting)
            return;
        _isWriting = false;
        _database.EndWriting();
    }
}
