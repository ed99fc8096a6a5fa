using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Import;

/// <summary>
/// What has been judged of one file so far: how many rows were what, which were refused, and which wait for a second look. The rows
/// themselves are with the store, so that a million of them take no memory.
/// </summary>
internal sealed class FileJudgement(RosterSheet sheet, RosterStore store)
{
    public RosterSheet Sheet => sheet;

    public int New { get; set; }

    public int Updated { get; set; }

    public int Same { get; set; }

    public int RefusedRows { get; private set; }

    /// <summary>How many rows are kept.</summary>
    public int KeptRows { get; private set; }

    private int Number => sheet.Schema.Number;

    private RosterStore Store => store;

    /// <summary>What is refused of the file, or else of its rows, by line.</summary>
    public IEnumerable<Refusal> ListRefusals() =>
        sheet.FileRefusals.Concat(ListRefused().Select(row => new Refusal(sheet.Schema.File, row.Line, row.Column, row.Value, row.Reason)));

    /// <summary>The refused rows, by line.</summary>
    public IEnumerable<RefusedRow> ListRefused() => store.ListRefused(Number);

    /// <summary>Refuses a row; one that is refused already stays refused for its first reason.</summary>
    public void Refuse(RosterRow row, Refusal refusal)
    {
        if (store.Refuse(Number, new RefusedRow(row.Line, row.Id, refusal.Column, refusal.Value, refusal.Reason, row.Bytes)))
            RefusedRows++;
    }

    public void Refuse(RosterRow row, string column, string reason) => Refuse(row, row.Refuse(column, reason));

    /// <summary>Why an id that is not known is not known.</summary>
    public string WhyUnknown(string noun, string id) =>
        store.IsRefused(Number, id) ? $"{noun} {id} was refused" : $"no {noun} {id} is on record or in this roster";

    /// <summary>Keeps a row for a second look.</summary>
    /// <param name="row">The row.</param>
    /// <param name="turn">Its turn among the rows of the file.</param>
    public void Keep(RosterRow row, int turn = 0)
    {
        store.Keep(new KeptRow(Number, row.Line, row.Bytes), row.Id, row["course_id"], turn);
        KeptRows++;
    }

    /// <summary>Keeps the line of a row that was taken.</summary>
    public void KeepLine(RosterRow row)
    {
        store.Keep(new KeptRow(Number, row.Line, []), row.Id, courseId: "", turn: 0);
        KeptRows++;
    }

    /// <summary>The line on which the row of an id stands that was taken or kept before; null: there was none.</summary>
    public int? FindLine(string id) => KeptRows == 0 ? null : store.FindKept(Number, id)?.Line;

    /// <summary>The kept row of an id; null: none is kept.</summary>
    public RosterRow? FindKept(string id) => KeptRows > 0 && store.FindKept(Number, id) is KeptRow kept ? sheet.Reread(kept) : null;

    /// <summary>The kept rows in order of turn and line.</summary>
    public IEnumerable<RosterRow> ListKept() => store.ListKept(Number).Select(sheet.Reread);

    /// <summary>The kept rows of a file and a later one of the same import, in order of course, file and line.</summary>
    public static IEnumerable<RosterRow> ListKeptByCourse(FileJudgement first, FileJudgement second) =>
        first.Store.ListKeptByCourse(first.Number, second.Number).Select(kept => (kept.File == first.Number ? first : second).Sheet.Reread(kept));

    /// <summary>Keeps a row no longer.</summary>
    public void Forget(RosterRow row) => store.Forget(new KeptRow(Number, row.Line, []), row.Id);
}
