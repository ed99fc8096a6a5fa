using System;
using System.Threading;
using System.Threading.Tasks;

namespace RefillPlanner.Service.Jobs;

/// <summary>One job at a time: what two jobs would do at once, they do one after the other.</summary>
public sealed class Turn : IDisposable
{
    private readonly SemaphoreSlim _one = new(1, 1);

    /// <summary>Waits for the turn; disposing what is returned gives it back.</summary>
    public async Task<IDisposable> TakeAsync(CancellationToken cancellation)
    {
        await _one.WaitAsync(cancellation);
        return new Held(_one);
    }

    /// <inheritdoc/>
    public void Dispose() => _one.Dispose();

    private sealed class Held(SemaphoreSlim one) : IDisposable
    {
        public void Dispose() => one.Release();
    }
}
