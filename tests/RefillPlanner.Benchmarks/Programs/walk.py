"""Day by day in Python. Reads courses as JSON lines; prints the nanoseconds of the walks, then one run-out a line, in days from the start."""

import json
import sys
import time
from datetime import date, timedelta

START = date(2026, 3, 2)
ONE_DAY = timedelta(days=1)


def run_out(vials, volume, in_use, steps):
    """First day on which a dose cannot be given; steps are (days from dose to dose, dosing days or None, taken by a dose)."""
    left, discard_on = 0, START
    step, given = 0, 0
    every, dosing_days, needed = steps[0]
    due = day = START
    while True:
        if day == due:
            if left < needed or day >= discard_on:
                if vials == 0:
                    return day
                vials -= 1
                left, discard_on = volume, day + timedelta(days=in_use)
            left -= needed
            given += 1
            due = day + timedelta(days=every)
            if given == dosing_days:
                step, given = step + 1, 0
                every, dosing_days, needed = steps[step]
        day += ONE_DAY


courses = [json.loads(line) for line in open(sys.argv[1], encoding="utf-8")]
start = time.perf_counter_ns()
found = [run_out(*course) for course in courses]
print(time.perf_counter_ns() - start)
print("\n".join(str((day - START).days) for day in found))
