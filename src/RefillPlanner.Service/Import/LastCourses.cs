using System;
using System.Collections.Generic;

namespace RefillPlanner.Service.Import;

/// <summary>What has been made of the last courses that were asked for. Facts often stand together by course, and need not.</summary>
/// <param name="most">Of how many courses; each costs some hundred bytes.</param>
/// <param name="make">Makes it from what is on record.</param>
internal sealed class LastCourses<T>(int most, Func<string, T> make)
{
    private readonly Dictionary<string, T> _made = [];

    public T Of(string courseId)
    {
        if (_made.TryGetValue(courseId, out var made))
            return made;
        if (_made.Count == most)
            _made.Clear();
        made = make(courseId);
        _made.Add(courseId, made);
        return made;
    }
}
