using System.Threading;
using System.Threading.Tasks;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>A round, and then the mail that it leads to, as the jobs do one after the other.</summary>
internal static class RoundsAndMail
{
    public static Task HandleAsync(this Rounds rounds, AlarmKind kind, string siteId, CancellationToken cancellation)
    {
        rounds.Handle(kind, siteId, cancellation);
        return rounds.SendAsync(cancellation);
    }

    public static Task SweepAsync(this Rounds rounds, CancellationToken cancellation)
    {
        rounds.Sweep(cancellation);
        return rounds.SendAsync(cancellation);
    }

    public static Task CatchUpAsync(this Rounds rounds, CancellationToken cancellation)
    {
        rounds.CatchUp(cancellation);
        return rounds.SendAsync(cancellation);
    }
}
