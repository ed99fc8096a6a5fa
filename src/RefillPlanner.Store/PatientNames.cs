namespace RefillPlanner.Store;

/// <summary>How many patients of a site have a name, so that a list can warn of namesakes also when an index has lost one.</summary>
internal sealed class PatientNames(Statements statements)
{
    /// <summary>The columns of a count; the digest is of those before it.</summary>
    public const int Digested = 3;

    /// <summary>Whether another patient of a site has a name, by the index of names instead of by their count.</summary>
    public bool HasOther(string siteId, string name, string patientId) =>
        statements.For("SELECT EXISTS (SELECT 1 FROM patients WHERE site_id = ? AND name = ? AND patient_id <> ?);").Bind(siteId).Bind(name).Bind(patientId).FindNumber() != 0;

    /// <summary>One more patient of a site has a name, or one fewer.</summary>
    public void Change(string siteId, string name, int by)
    {
        var patients = statements.For("SELECT patients FROM patient_names WHERE site_id = ? AND name = ?;").Bind(siteId).Bind(name).FindNumber() + by;
        if (patients <= 0)
        {
            statements.For("DELETE FROM patient_names WHERE site_id = ? AND name = ?;").Bind(siteId).Bind(name).Run();
            return;
        }

        statements.For("""
            INSERT INTO patient_names (site_id, name, patients, digest) VALUES (?, ?, ?, ?)
            ON CONFLICT (site_id, name) DO UPDATE SET patients = excluded.patients, digest = excluded.digest;
            """).BeginDigest().Bind(siteId).Bind(name).Bind(patients).BindDigest().Run();
    }
}
