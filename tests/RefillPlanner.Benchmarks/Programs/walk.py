"""Day by day in Python. Reads courses as JSON lines; prints the nanoseconds of the walks, then one run-out a line."""

import json
import sys
import time


def run_out(vials, volume, in_use, steps):
    """First day, from the start, on which a dose cannot be given; steps are (every, dosing days or None, needed)."""
    left, last_day = 0, -1
    step, given = 0, 0
    every, dosing_days, needed = steps[0]
    due = 0
    for day in range(400):
        if day != due:
            continue
        if left < needed or day > last_day:
            if vials == 0:
                return day
            vials -= 1
            left, last_day = volume, day + in_use - 1
        left -= needed
        given += 1
        due = day + every
        if given == dosing_days:
            step, given = step + 1, 0
            every, dosing_days, needed = steps[step]
    return None


courses = [json.loads(line) for line in open(sys.argv[1], encoding="utf-8")]
start = time.perf_counter_ns()
found = [run_out(*course) for course in courses]
print(time.perf_counter_ns() - start)
print("\n".join(map(str, found)))
