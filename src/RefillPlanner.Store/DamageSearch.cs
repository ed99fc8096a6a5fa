using System;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Store;

/// <summary>What reading the whole file came to.</summary>
/// <param name="Complaints">What is damaged, one sentence each; empty: nothing.</param>
/// <param name="Rows">How many rows were read.</param>
/// <param name="Audit">The chain of the audit.</param>
public sealed record FileVerdict(IReadOnlyList<string> Complaints, long Rows, AuditVerdict Audit);

/// <summary>Reads the whole file: SQLite's own check, each row against its digest, what belongs together, and the chain of the audit.</summary>
internal sealed class DamageSearch(StoreTransaction reading)
{
    private const int MostComplaints = 100;

    private static readonly (string Name, string Columns)[] Tables =
    [
        ("sites", LedgerStore.SiteColumns), ("products", LedgerStore.ProductColumns), ("devices", LedgerStore.DeviceColumns),
        ("patients", LedgerStore.PatientColumns), ("courses", LedgerStore.CourseColumns), ("steps", LedgerStore.StepColumns),
        ("prescriptions", LedgerStore.PrescriptionColumns), ("facts", LedgerStore.DigestedFactColumns), ("sharps", LedgerStore.SharpsColumns),
        ("tasks", TaskStore.TaskColumns), ("plans", "course_id, medicine, findings, digest"), ("planning", PlanningStore.Columns),
        ("messages", MessageRow.Columns), ("letters", MessageRow.LetterColumns), ("patient_names", "site_id, name, patients, digest"),
    ];

    private readonly List<string> _complaints = [];
    private long _rows;

    /// <summary>Reads it.</summary>
    public FileVerdict Run()
    {
        foreach (var complaint in ListComplaints("integrity_check"))
            Add(complaint);
        foreach (var (table, columns) in Tables)
            Try(() => ReadTable(table, columns));
        Try(() => reading.Snapshots.ReadReference());
        Try(ReadPatients);
        Try(ReadDays);
        var audit = new AuditVerdict(0, string.Empty, BrokenAt: null);
        Try(() => audit = reading.Audit.Verify());
        if (audit.BrokenAt is long row)
            Add($"The audit does not hold together from row {row} on: rows were changed or taken out.");
        _rows += audit.Rows;
        return new FileVerdict(_complaints, _rows, audit);
    }

    /// <summary>What one of SQLite's own checks complains of.</summary>
    /// <param name="check"><c>integrity_check</c> or <c>quick_check</c>.</param>
    public IReadOnlyList<string> ListComplaints(string check)
    {
        try
        {
            return [.. reading.Connection.Statements.For($"PRAGMA {check};").List(row => row.Text(0)).Where(line => line != "ok").Select(line => $"The file is damaged: {line}.")];
        }
        catch (Exception damage) when (DamagedRowException.IsDamage(damage))
        {
            return [$"The file is damaged: {damage.Message}"];
        }
    }

    private void ReadTable(string table, string columns)
    {
        var digested = columns.Split(", ").Length - 1;
        foreach (var (id, isWhole) in reading.Connection.Statements.For($"SELECT {columns} FROM {table};").List(row => (row.Text(0), row.IsWhole(digested))))
        {
            _rows++;
            if (!isWhole)
                Add(new DamagedRowException(table, id).Message);
        }
    }

    private void ReadPatients()
    {
        foreach (var patientId in reading.Snapshots.ListPatientIds())
            Try(() => reading.Snapshots.Find(patientId));
    }

    private void ReadDays()
    {
        var found = new Dictionary<TaskDay, long>();
        foreach (var (task, digest) in reading.Connection.Statements.For($"SELECT {TaskStore.TaskColumns} FROM tasks NOT INDEXED;").List(TaskDays.Read))
        {
            if (task is not null && TaskLife.IsOpen(task.State))
                TaskDays.Combine(found, TaskDays.DayOf(task), digest);
        }

        var kept = reading.Connection.Statements.For("SELECT site_id, is_waiting, due_on, digest FROM task_days;")
            .List(row => (Day: new TaskDay(row.Text(0), row.Long(1) != 0, row.Date(2)), Digest: row.Long(3))).ToDictionary(day => day.Day, day => day.Digest);
        foreach (var day in kept.Keys.Union(found.Keys).Where(day => kept.GetValueOrDefault(day) != found.GetValueOrDefault(day)))
            Add(DamagedRowException.Incomplete("tasks", day.ToText()).Message);
    }

    private void Try(Action read)
    {
        try
        {
            read();
        }
        catch (Exception damage) when (damage is not OutOfMemoryException)
        {
            Add(damage.Message);
        }
    }

    private void Add(string complaint)
    {
        if (_complaints.Count < MostComplaints && !_complaints.Contains(complaint))
            _complaints.Add(complaint);
    }
}
