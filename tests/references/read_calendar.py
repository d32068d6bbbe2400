"""Reads a calendar with PyPI's icalendar, independent of what wrote it, and says what is wrong with it.

pip install icalendar; python read_calendar.py CALENDAR.ics
Tells the hours of each crew (an event's LOCATION). Exit code 1 where something is wrong: an event without UID, DTSTAMP,
DTSTART, DTEND or SUMMARY, a UID twice, an event that ends before it begins or has a time zone, one crew at two boats at
once, a line over 75 octets or not ended by CR LF, or no event at all. Tried with icalendar 7.3.2.
"""

import sys
from collections import defaultdict
from datetime import datetime

import icalendar

WANTED = ("UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY")


def line_faults(raw):
    """What RFC 5545, 3.1 asks of lines, by octets."""
    if not raw.endswith(b"\r\n"):
        yield "the last line has no end"
    if raw.count(b"\n") != raw.count(b"\r\n") or raw.count(b"\r") != raw.count(b"\r\n"):
        yield "a line does not end by CR LF"
    for number, line in enumerate(raw.split(b"\r\n"), 1):
        if len(line) > 75:
            yield f"line {number} has {len(line)} octets"
        try:
            line.decode("utf-8")
        except UnicodeDecodeError:
            yield f"line {number} is folded within a letter"


def main():
    if len(sys.argv) != 2:
        sys.exit("python read_calendar.py CALENDAR.ics")
    with open(sys.argv[1], "rb") as file:
        raw = file.read()
    faults = list(line_faults(raw))
    try:
        calendar = icalendar.Calendar.from_ical(raw)
    except ValueError as error:
        sys.exit(f"not a calendar: {error}")
    for name, value in (("VERSION", "2.0"), ("PRODID", None)):
        if name not in calendar or value not in (None, str(calendar[name])):
            faults.append(f"the calendar's {name} is {calendar.get(name)}")
    faults += [f"{name}: {error}" for name, error in calendar.errors]
    seen, hours, days = set(), defaultdict(float), defaultdict(list)
    events = calendar.walk("VEVENT")
    for number, event in enumerate(events, 1):
        faults += [f"event {number}, {name}: {error}" for name, error in event.errors]
        lacks = [name for name in WANTED if name not in event]
        if lacks:
            faults.append(f"event {number} has no {', '.join(lacks)}")
            continue
        uid = str(event["UID"])
        if not uid or uid in seen:
            faults.append(f"event {number} has no UID of its own: '{uid}'")
        seen.add(uid)
        start, end, stamp = (event.decoded(name) for name in ("DTSTART", "DTEND", "DTSTAMP"))
        if not all(isinstance(when, datetime) for when in (start, end, stamp)):
            faults.append(f"{uid} has no date and time: {start}, {end}, {stamp}")
            continue
        if start.tzinfo is not None or end.tzinfo is not None:
            faults.append(f"{uid} has a time zone")
        if stamp.tzinfo is None:
            faults.append(f"{uid} is stamped by no UTC time")
        if not start < end:
            faults.append(f"{uid} ends before it begins")
        crew = str(event.get("LOCATION", "nobody"))
        hours[crew] += (end - start).total_seconds() / 3600.0
        days[(crew, start.date())].append((start, end, uid))
    for (crew, _), shifts in sorted(days.items()):
        shifts.sort()
        for before, after in zip(shifts, shifts[1:]):
            if before[1] > after[0]:
                faults.append(f"{crew} is at two boats at once: {before[2]} and {after[2]}")
    if not events:
        faults.append("there is no event")
    for crew, sum_of in sorted(hours.items()):
        print(f"{crew}: {sum_of:.2f} h")
    print(f"{len(events)} events of {len(hours)} crews, {len(faults)} faults")
    for fault in faults[:20]:
        print(fault)
    sys.exit(1 if faults else 0)


main()
