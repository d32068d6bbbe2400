"""Reads a calendar with PyPI's icalendar, independent of what wrote it, and says what is wrong with it.

pip install icalendar; python read_calendar.py calendar.ics [calendar.csv]
With the calendar as CSV beside it, both must tell the same. Exit code 1 where something is wrong.
"""

import csv
import sys
from collections import defaultdict

import icalendar


def main():
    with open(sys.argv[1], "rb") as file:
        calendar = icalendar.Calendar.from_ical(file.read())
    faults, seen, rows = [], set(), []
    days = defaultdict(list)
    for event in calendar.walk("VEVENT"):
        for name in ("UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY"):
            if name not in event:
                faults.append(f"an event has no {name}")
        uid = str(event["UID"])
        if uid in seen:
            faults.append(f"two events are called {uid}")
        seen.add(uid)
        start, end = event.decoded("DTSTART"), event.decoded("DTEND")
        if not start < end:
            faults.append(f"{uid} ends before it begins")
        crew = str(event.get("LOCATION", ""))
        days[(crew, start.date())].append((start, end, uid))
        rows.append((str(start.date()), start.strftime("%H:%M"), end.strftime("%H:%M"), crew, str(event["SUMMARY"])))
    for (crew, _), shifts in days.items():
        shifts.sort()
        for before, after in zip(shifts, shifts[1:]):
            if before[1] > after[0]:
                faults.append(f"{crew} is at two boats at once: {before[2]} and {after[2]}")
    if len(sys.argv) > 2:
        with open(sys.argv[2], encoding="utf-8", newline="") as file:
            listed = [(r["date"], r["begins"], r["ends"], r["crew"], r["boat"]) for r in csv.DictReader(file)]
        if sorted(listed) != sorted(rows):
            faults.append("the calendar and its CSV tell different things")
    print(f"{len(rows)} events of {len({row[3] for row in rows})} crews, {len(faults)} faults")
    for fault in faults[:20]:
        print(fault)
    sys.exit(1 if faults or not rows else 0)


main()
