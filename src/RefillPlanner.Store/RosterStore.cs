using System.Collections.Generic;

namespace RefillPlanner.Store;

/// <summary>A row of a roster file kept for a second look.</summary>
/// <param name="File">Number of the file.</param>
/// <param name="Line">Line on which the row starts.</param>
/// <param name="Bytes">The row as read; empty where only its line was kept.</param>
public sealed record KeptRow(int File, int Line, byte[] Bytes);

/// <summary>A row of a roster file that was refused.</summary>
/// <param name="Line">Line on which the row starts.</param>
/// <param name="Id">The writer's id of the row.</param>
/// <param name="Column">The column at fault.</param>
/// <param name="Value">What stood there.</param>
/// <param name="Reason">Why it was refused.</param>
/// <param name="Bytes">The row as read.</param>
public sealed record RefusedRow(int Line, string Id, string Column, string Value, string Reason, byte[] Bytes);

/// <summary>
/// What an import must remember of its own rows, however many they are: tables that live as long as its transaction, in a file that
/// SQLite keeps for itself. They are made with the first row. Files are told apart by numbers.
/// </summary>
public sealed class RosterStore
{
    private readonly Statements _statements;
    private PreparedStatement? _keep;
    private PreparedStatement? _forget;
    private PreparedStatement? _findKept;
    private PreparedStatement? _refuse;
    private PreparedStatement? _findRefused;

    internal RosterStore(Statements statements) => _statements = statements;

    /// <summary>Keeps a row, to be found by its id or listed with its course.</summary>
    /// <param name="row">The row.</param>
    /// <param name="id">The writer's id of the row.</param>
    /// <param name="courseId">With which course it is listed.</param>
    /// <param name="turn">Its turn among the rows of its file.</param>
    public void Keep(KeptRow row, string id, string courseId, int turn)
    {
        if (_keep is null)
        {
            Do("""
                CREATE TEMP TABLE kept_rows (file INTEGER NOT NULL, id TEXT NOT NULL, line INTEGER NOT NULL, course_id TEXT NOT NULL,
                    turn INTEGER NOT NULL, bytes BLOB NOT NULL, PRIMARY KEY (file, id, line)) STRICT, WITHOUT ROWID;
                """);
            _keep = _statements.Prepare("INSERT INTO kept_rows (file, id, line, course_id, turn, bytes) VALUES (?, ?, ?, ?, ?, ?);");
        }

        _keep.Bind(row.File).Bind(id).Bind(row.Line).Bind(courseId).Bind(turn).Bind(row.Bytes).Run();
    }

    /// <summary>The first kept row with an id; null: none was kept.</summary>
    public KeptRow? FindKept(int file, string id) => _keep is null ? null
        : (_findKept ??= _statements.Prepare("SELECT file, line, bytes FROM kept_rows WHERE file = ? AND id = ? ORDER BY line LIMIT 1;"))
            .Bind(file).Bind(id).Find(ReadKept);

    /// <summary>The kept rows of a file in order of turn and line. Rows kept or forgotten meanwhile change nothing in it.</summary>
    public IEnumerable<KeptRow> ListKept(int file) => _keep is null ? []
        : _statements.Prepare("SELECT file, line, bytes FROM kept_rows WHERE file = ? ORDER BY turn, line;").Bind(file).List(ReadKept);

    /// <summary>The kept rows of two files in order of course, file and line.</summary>
    public IEnumerable<KeptRow> ListKeptByCourse(int first, int second) => _keep is null ? []
        : _statements.Prepare("SELECT file, line, bytes FROM kept_rows WHERE file IN (?, ?) ORDER BY course_id, file, line;").Bind(first).Bind(second).List(ReadKept);

    /// <summary>Forgets a kept row.</summary>
    public void Forget(KeptRow row, string id) =>
        (_forget ??= _statements.Prepare("DELETE FROM kept_rows WHERE file = ? AND id = ? AND line = ?;")).Bind(row.File).Bind(id).Bind(row.Line).Run();

    /// <summary>Notes a refused row; false: it was refused before, and its first reason stays.</summary>
    public bool Refuse(int file, RefusedRow row)
    {
        if (_refuse is null)
        {
            Do("""
                CREATE TEMP TABLE refused_rows (file INTEGER NOT NULL, line INTEGER NOT NULL, id TEXT NOT NULL, at_column TEXT NOT NULL,
                    value TEXT NOT NULL, reason TEXT NOT NULL, bytes BLOB NOT NULL, PRIMARY KEY (file, line)) STRICT, WITHOUT ROWID;
                """);
            Do("CREATE INDEX refused_rows_by_id ON refused_rows (file, id);");
            _refuse = _statements.Prepare("INSERT OR IGNORE INTO refused_rows (file, line, id, at_column, value, reason, bytes) VALUES (?, ?, ?, ?, ?, ?, ?);");
        }

        return _refuse.Bind(file).Bind(row.Line).Bind(row.Id).Bind(row.Column).Bind(row.Value).Bind(row.Reason).Bind(row.Bytes).Run();
    }

    /// <summary>Whether a row with an id was refused.</summary>
    public bool IsRefused(int file, string id) => _refuse is not null
        && (_findRefused ??= _statements.Prepare("SELECT id FROM refused_rows WHERE file = ? AND id = ? LIMIT 1;")).Bind(file).Bind(id).Find(found => found.Text(0)) is not null;

    /// <summary>The refused rows of a file, by line.</summary>
    public IEnumerable<RefusedRow> ListRefused(int file) => _refuse is null ? []
        : _statements.Prepare("SELECT line, id, at_column, value, reason, bytes FROM refused_rows WHERE file = ? ORDER BY line;").Bind(file)
            .List(row => new RefusedRow(row.Whole(0), row.Text(1), row.Text(2), row.Text(3), row.Text(4), row.Bytes(5)));

    /// <summary>Forgets everything: the tables would outlive a transaction that is committed.</summary>
    public void Clear()
    {
        if (_keep is not null)
            Do("DROP TABLE kept_rows;");
        if (_refuse is not null)
            Do("DROP TABLE refused_rows;");
        (_keep, _refuse) = (null, null);
    }

    private static KeptRow ReadKept(PreparedStatement row) => new(row.Whole(0), row.Whole(1), row.Bytes(2));

    private void Do(string sql) => _statements.Prepare(sql).Run();
}
