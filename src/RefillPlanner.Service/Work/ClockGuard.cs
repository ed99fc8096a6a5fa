using System;
using System.Linq;
using System.Threading;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Messages;

namespace RefillPlanner.Service.Work;

/// <summary>
/// Compares the time of day with the clock that only goes forward, and at start with the record. A jump puts the service on hold until a person
/// has looked: nothing comes due, nothing expires and nothing is sent by a clock that may be wrong.
/// </summary>
public sealed class ClockGuard(Desk desk)
{
    /// <summary>Who puts the service on hold.</summary>
    public const string By = "clock";

    /// <summary>A jump by no more than this is let pass.</summary>
    public static readonly Duration Most = Duration.FromMinutes(10);

    /// <summary>A service that was off for longer than this does not believe the clock.</summary>
    public static readonly Duration LongestOff = Duration.FromDays(400);

    private readonly Lock _one = new();
    private (Instant At, long Stamp)? _last;

    /// <summary>At start: the clock must not be earlier than the record, nor later by more than a year and a month.</summary>
    public bool IsTrustedAtStart()
    {
        var now = desk.Now;
        Instant? last;
        using (var reading = desk.Database.Read())
            last = reading.Audit.FindLastInstant();
        if (last is Instant before && now < before - Most)
            Hold(now, $"the service starts at {Say(now)}, but its record goes on until {Say(before)}: the clock was set back.");
        else if (last is Instant longAgo && now > longAgo + LongestOff)
            Hold(now, $"the service starts at {Say(now)}, {(int)(now - longAgo).TotalDays} days after the last entry of its record: the clock may be wrong.");
        return IsTrusted();
    }

    /// <summary>While running: whether the clock may be trusted, as far as it went since it was last asked, and no earlier jump waits for a person.</summary>
    public bool IsTrusted()
    {
        lock (_one)
        {
            var (now, stamp) = (desk.Now, desk.Time.GetTimestamp());
            if (_last is (var at, var before))
            {
                var jump = now - at - Duration.FromTimeSpan(desk.Time.GetElapsedTime(before, stamp));
                if (jump > Most || jump < -Most)
                    Hold(now, $"the clock jumped {(jump > Duration.Zero ? "forward" : "back")} by {Length(jump)} while the service ran, from {Say(at)} to {Say(now)}.");
            }

            _last = (now, stamp);
        }

        using var reading = desk.Database.Read();
        return !reading.Pauses.List().Any(pause => pause.Kind == PauseKind.Clock && pause.IsInForce(desk.Now));
    }

    // The first jump is the one that a person has to look at; a second one, such as setting the clock right, adds nothing.
    private void Hold(Instant now, string reason)
    {
        using var transaction = desk.Database.Begin();
        if (transaction.Pauses.List().Any(pause => pause.Kind == PauseKind.Clock))
            return;
        transaction.Pauses.Put(new Pause(PauseKind.Clock, now, Until: null, Tries: 1, reason), now, By);
        transaction.Commit();
    }

    private static string Length(Duration jump)
    {
        var length = Duration.Max(jump, -jump);
        return length < Duration.FromHours(2) ? $"{(int)length.TotalMinutes} minutes"
            : length < Duration.FromDays(2) ? $"{(int)length.TotalHours} hours"
            : $"{(int)length.TotalDays} days";
    }

    private static string Say(Instant at) => InstantPattern.General.Format(at);
}
