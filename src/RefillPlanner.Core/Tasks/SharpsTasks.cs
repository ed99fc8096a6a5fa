using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Sharps;

namespace RefillPlanner.Core.Tasks;

/// <summary>The tasks that a patient's sharps containers call for.</summary>
public static class SharpsTasks
{
    private const string Replacement = "replacement, staff";
    private const string Replaced = "replaced";

    /// <summary>
    /// For each container still out: the first notice, the second one on the fill line, and from the day after its return date a row for
    /// staff. Each is a task of its own. One that was replaced before it was full is asked back from the day on which the next one went out. Where no refill takes the next container along, staff see to it on the day of the first notice.
    /// </summary>
    public static IReadOnlyList<PlannedTask> List(Patient patient, IReadOnlyList<SharpsForecast> sharps, WorkHours hours)
    {
        if (patient.Status != PatientStatus.Active)
            return [];
        return [.. sharps.Where(forecast => forecast.IsOut && forecast.ReturnByOn is not null).SelectMany(forecast => List(patient, forecast, hours))];
    }

    /// <summary>Whether the need behind a task has been met: the container is back.</summary>
    public static bool IsMet(TaskOnRecord task, IReadOnlyList<SharpsContainer> containers, LocalDate today) =>
        containers.FirstOrDefault(container => container.Id == task.Task.SharpsId) is SharpsContainer old && (old.ReturnedOn <= today
            || (task.Task.Key == ReplacementKey(old.Id) && containers.Any(next => next.IssuedOn > old.IssuedOn && next.IssuedOn <= today && (next.ContainerClass is null) == (old.ContainerClass is null))));

    /// <summary>Whether a task about a container is for staff alone: its replacement.</summary>
    public static bool IsReplacement(PlannedTask task) => task.SharpsId is string id && task.Key == ReplacementKey(id);

    /// <summary>Whether a task asks for a container back that was replaced before it was full.</summary>
    public static bool IsReplaced(TaskKey key) => key == TaskKey.Of(TaskKind.SharpsReturn, key.Subject, Replaced);

    private static TaskKey ReplacementKey(string sharpsId) => TaskKey.Of(TaskKind.SharpsReturn, sharpsId, Replacement);

    private static IEnumerable<PlannedTask> List(Patient patient, SharpsForecast forecast, WorkHours hours)
    {
        var returnByOn = forecast.ReturnByOn!.Value;
        var why = forecast.FillLineOn is LocalDate full
            ? $"The fill line of {forecast.FillLine} of its {forecast.Capacity} sharps is reached on {DateText.Full(full)}; to be returned by {DateText.Full(returnByOn)}."
            : $"The next container went out on {DateText.Full(forecast.ReplacedOn!.Value)}, before this one was full; to be returned by {DateText.Full(returnByOn)}.";
        if (forecast is { IsReplacedAlone: true, FillLineOn: LocalDate alone })
            yield return Task(TaskKind.SharpsReturn, Replacement, forecast.NoticeOn!.Value, $"The next container goes out on its own: no further refill is handed over by {DateText.Full(alone)}, when the fill line of {forecast.FillLine} of its {forecast.Capacity} sharps is reached.", toPatient: false);
        if (hours.Today <= returnByOn)
        {
            yield return Task(TaskKind.SharpsReturn, forecast.ReplacedOn is null ? "first notice" : Replaced, forecast.NoticeOn!.Value, why, toPatient: true);
            if (forecast.FillLineOn is LocalDate fillLineOn && hours.Today >= fillLineOn)
                yield return Task(TaskKind.SharpsReturn, "second notice", hours.OpenDays.Minus(fillLineOn, 0), why, toPatient: true);
        }
        else
        {
            // Once a week until it is back: the cycle is the number of the week.
            var week = Period.DaysBetween(returnByOn.PlusDays(1), hours.Today) / 7;
            yield return Task(TaskKind.SharpsOverdue, $"week {week + 1}", returnByOn.PlusDays(1 + 7 * week), $"Not back since {DateText.Full(returnByOn)}. {why}", toPatient: false);
        }

        PlannedTask Task(TaskKind kind, string cycle, LocalDate plannedOn, string reason, bool toPatient)
        {
            var dueOn = hours.DueOn(plannedOn);
            return new PlannedTask
            {
                Key = TaskKey.Of(kind, forecast.SharpsId, cycle),
                Kind = kind,
                SiteId = patient.SiteId,
                PatientId = patient.Id,
                SharpsId = forecast.SharpsId,
                PlannedOn = plannedOn,
                DueOn = dueOn,
                DueAt = toPatient ? hours.PatientHour(dueOn) : hours.StaffHour(dueOn),
                Reason = reason,
            };
        }
    }
}
