"""Reads a calendar entry with PyPI's icalendar and checks it against RFC 5545 and the schedule.

usage: judge_calendar.py ICS JSON"""

import json
import sys

from icalendar import Calendar

raw = open(sys.argv[1], "rb").read()
schedule = json.load(open(sys.argv[2]))
assert raw.endswith(b"\r\n") and b"\n" not in raw.replace(b"\r\n", b""), "lines end with CRLF"
assert all(len(line) <= 75 for line in raw.split(b"\r\n")), "folded at 75 octets"
calendar = Calendar.from_ical(raw)
assert calendar["PRODID"] and calendar["VERSION"] == "2.0"
(event,) = calendar.walk("VEVENT")
assert event["UID"] and event["DTSTAMP"]
assert event["SUMMARY"] == schedule["title"], event["SUMMARY"]
assert f"{event.decoded('DTSTART'):%Y-%m-%dT%H:%M:%S}" == "2026-12-01T18:15:00"
# The entry is as long as the slot, or without a slot as long as the class.
booked = schedule["slot_ms"] or schedule["total_ms"]
assert event.decoded("DURATION").total_seconds() * 1000 == booked, event["DURATION"]
assert event["RRULE"] == {"FREQ": ["WEEKLY"], "COUNT": [8]}, event["RRULE"]
