using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Sharps;

namespace RefillPlanner.Store;

/// <summary>Where each sharps container is in its life, as last audited.</summary>
public sealed class SharpsLifeStore
{
    private readonly Statements _statements;
    private readonly AuditStore _audit;

    internal SharpsLifeStore(Statements statements, AuditStore audit) => (_statements, _audit) = (statements, audit);

    /// <summary>Brings a container to a state, by every move that leads there. The same state again changes nothing.</summary>
    public void Follow(string sharpsId, SharpsState state, Instant at, string by)
    {
        var known = _statements.For("SELECT state FROM sharps_lives WHERE sharps_id = ?;").Bind(sharpsId).Find(row => row.Text(0));
        if (known == Kebab.Of(state))
            return;
        var before = SharpsState.Issued;
        if (known is null)
            _audit.Add(at, by, AuditSubject.Sharps, sharpsId, null, Kebab.Of(before));
        else
            before = Columns.Member<SharpsState>(known);
        foreach (var next in SharpsLife.ListMoves(before, state))
        {
            _audit.Add(at, by, AuditSubject.Sharps, sharpsId, Kebab.Of(before), Kebab.Of(next));
            before = next;
        }

        _statements.For("INSERT INTO sharps_lives (sharps_id, state) VALUES (?1, ?2) ON CONFLICT (sharps_id) DO UPDATE SET state = excluded.state;").Bind(sharpsId).Bind(Kebab.Of(state)).Run();
    }
}
