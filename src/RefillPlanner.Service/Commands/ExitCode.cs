namespace RefillPlanner.Service.Commands;

/// <summary>The exit codes: a stable format.</summary>
public static class ExitCode
{
    /// <summary>Done.</summary>
    public const int Done = 0;

    /// <summary>Done, but something was refused.</summary>
    public const int Refused = 1;

    /// <summary>Wrong usage.</summary>
    public const int Usage = 64;

    /// <summary>Bad input data.</summary>
    public const int BadInput = 65;

    /// <summary>The database or the mail server is away.</summary>
    public const int Away = 69;

    /// <summary>Internal error.</summary>
    public const int Internal = 70;

    /// <summary>Cannot write.</summary>
    public const int CannotWrite = 73;

    /// <summary>Already running: try later.</summary>
    public const int AlreadyRunning = 75;

    /// <summary>Bad configuration.</summary>
    public const int BadConfiguration = 78;
}
