using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>What was signed for with each approval that a pharmacist gave here: kept once with the fact, never changed.</summary>
public sealed class SignatureStore
{
    private const int Digested = 2;

    private readonly Statements _statements;
    private PreparedStatement? _find;

    internal SignatureStore(Statements statements) => _statements = statements;

    /// <summary>Keeps what was signed.</summary>
    /// <param name="factId">The approval, which is on record.</param>
    /// <param name="signed">What for: see <see cref="SignedContent"/>.</param>
    public void Add(string factId, string signed) =>
        _statements.For("INSERT INTO signatures (fact_id, signed, digest) VALUES (?, ?, ?);").BeginDigest().Bind(factId).Bind(signed).BindDigest().Run();

    /// <summary>What was signed with an approval; null: it was recorded without that.</summary>
    /// <exception cref="DamagedRowException">The row was changed behind the program's back.</exception>
    public string? Find(string factId) => (_find ??= _statements.Prepare("SELECT fact_id, signed, digest FROM signatures WHERE fact_id = ?;"))
        .Bind(factId).Find(row => row.Whole("signatures", Digested).Text(1));

    /// <summary>Facts with what was signed with the approvals among them.</summary>
    public Fact[] AddTo(IReadOnlyList<Fact> facts)
    {
        var signed = new Fact[facts.Count];
        for (var index = 0; index < signed.Length; index++)
            signed[index] = facts[index].Kind == FactKind.Approved && Find(facts[index].Id) is string content ? facts[index] with { Signed = content } : facts[index];
        return signed;
    }
}
