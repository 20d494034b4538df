"""Reads a calendar with a library that is not ours, and prints what it understood as JSON."""

import json
import re
import sys
from pathlib import Path

from icalendar import Calendar


def text(value):
    """TEXT of a property that the library has no type for (RFC 7986), by RFC 5545, 3.3.11."""
    return re.sub(r"\\(.)", lambda found: {"n": "\n", "N": "\n"}.get(found[1], found[1]), str(value))


calendar = Calendar.from_ical(Path(sys.argv[1]).read_bytes())
events = []
for event in calendar.walk("VEVENT"):
    if event.errors:
        sys.exit(f"errors: {event.errors}")
    events.append(
        {
            "uid": str(event["UID"]),
            "day": event["DTSTART"].dt.isoformat(),
            "end": event["DTEND"].dt.isoformat(),
            "stamp": event["DTSTAMP"].dt.isoformat(),
            "modified": event["LAST-MODIFIED"].dt.isoformat(),
            "sequence": int(event["SEQUENCE"]),
            "title": str(event["SUMMARY"]),
            "words": str(event["DESCRIPTION"]),
            "url": str(event["URL"]),
        }
    )
json.dump({"name": text(calendar["NAME"]), "method": "METHOD" in calendar, "events": events}, sys.stdout)
