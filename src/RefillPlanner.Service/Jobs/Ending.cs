using Microsoft.Extensions.Hosting;
using RefillPlanner.Service.Commands;

namespace RefillPlanner.Service.Jobs;

/// <summary>With which exit code the service ends; the host itself knows only that it ends.</summary>
/// <param name="life">The host's life.</param>
public sealed class Ending(IHostApplicationLifetime life)
{
    /// <summary>The exit code, one of <see cref="Commands.ExitCode"/>.</summary>
    public int ExitCode { get; private set; } = Commands.ExitCode.Done;

    /// <summary>Whether the service was told to stop.</summary>
    public bool IsStopping => life.ApplicationStopping.IsCancellationRequested;

    /// <summary>Ends the service because of what only a new start may mend.</summary>
    public void Fail()
    {
        ExitCode = Commands.ExitCode.Internal;
        life.StopApplication();
    }
}
