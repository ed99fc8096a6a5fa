using System.Collections.Generic;

namespace RefillPlanner.Store;

/// <content>The zones that sites and patients are in.</content>
public sealed partial class LedgerStore
{
    /// <summary>The ids of all zones on record, each once, in order.</summary>
    public IReadOnlyList<string> ListTimeZones() =>
        [.. _statements.For("SELECT time_zone FROM sites UNION SELECT time_zone FROM patients WHERE time_zone IS NOT NULL ORDER BY time_zone;").List(row => row.Text(0))];
}
