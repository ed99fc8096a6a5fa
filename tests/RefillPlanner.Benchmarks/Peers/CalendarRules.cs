using System;
using System.Collections.Generic;
using System.Diagnostics;
using System.Linq;
using Ical.Net;
using Ical.Net.CalendarComponents;
using Ical.Net.DataTypes;

namespace RefillPlanner.Benchmarks.Peers;

/// <summary>Dosing days expanded from the recurrence rules of a calendar, one event a step, and the arithmetic of the vial at each.</summary>
internal static class CalendarRules
{
    private static readonly DateOnly Start = new(2026, 3, 2);

    public static PeerRun Run(IReadOnlyList<PeerCourse> courses)
    {
        var calendars = courses.Select(ListEvents).ToList();
        var runOuts = new int[courses.Count];
        Walk(courses[0], calendars[0]);
        var clock = Stopwatch.GetTimestamp();
        for (var i = 0; i < courses.Count; i++)
            runOuts[i] = Walk(courses[i], calendars[i]);
        return new PeerRun("calendar rules", Stopwatch.GetElapsedTime(clock).TotalNanoseconds, runOuts, "Ical.Net, one event with a rule for each step made beforehand, expanded as far as the run-out, with the planner's arithmetic at each dose");
    }

    private static List<CalendarEvent> ListEvents(PeerCourse course)
    {
        var events = new List<CalendarEvent>();
        var first = Start;
        foreach (var step in course.Steps)
        {
            var rule = new RecurrencePattern(FrequencyType.Daily, step.EveryDays) { Count = step.DosingDays };
            events.Add(new CalendarEvent { Start = new CalDateTime(first), RecurrenceRule = rule });
            first = first.AddDays(step.EveryDays * (step.DosingDays ?? 0));
        }

        return events;
    }

    private static int Walk(PeerCourse course, List<CalendarEvent> events)
    {
        var sealedVials = course.Vials;
        long left = 0;
        var lastDay = -1;
        for (var i = 0; i < events.Count; i++)
        {
            var needed = course.Needed(course.Steps[i]);
            foreach (var occurrence in events[i].GetOccurrences())
            {
                var day = occurrence.Period.StartTime.Date.DayNumber - Start.DayNumber;
                if (left < needed || day > lastDay)
                {
                    if (sealedVials == 0)
                        return day;
                    sealedVials--;
                    left = course.VialVolume;
                    lastDay = day + course.InUseDays - 1;
                }

                left -= needed;
            }
        }

        throw new InvalidOperationException("The course does not run out.");
    }
}
