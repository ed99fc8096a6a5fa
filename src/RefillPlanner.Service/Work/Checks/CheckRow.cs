namespace RefillPlanner.Service.Work.Checks;

/// <summary>How a check of the installation came out.</summary>
public enum CheckVerdict
{
    /// <summary>As it should be.</summary>
    Ok,

    /// <summary>The service works; somebody should look.</summary>
    Warn,

    /// <summary>It does not work as it should.</summary>
    Bad,

    /// <summary>It does not work because the database or the mail server is away.</summary>
    Away,

    /// <summary>It does not work because the configuration is wrong.</summary>
    Misconfigured,
}

/// <summary>One check of the installation. No patient is named.</summary>
/// <param name="Name">What was looked at.</param>
/// <param name="Verdict">How it came out.</param>
/// <param name="Seen">What was seen.</param>
/// <param name="WhatToDo">What to do; empty: nothing.</param>
public sealed record CheckRow(string Name, CheckVerdict Verdict, string Seen, string WhatToDo)
{
    /// <summary>All is well.</summary>
    public static CheckRow Ok(string name, string seen) => new(name, CheckVerdict.Ok, seen, string.Empty);

    /// <summary>Somebody should look.</summary>
    public static CheckRow Warn(string name, string seen, string whatToDo) => new(name, CheckVerdict.Warn, seen, whatToDo);

    /// <summary>It does not work.</summary>
    public static CheckRow Bad(string name, string seen, string whatToDo) => new(name, CheckVerdict.Bad, seen, whatToDo);
}
