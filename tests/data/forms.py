"""Writes forms.json: what the forms of steps come to, and the exact texts of bodies. Both programs are
tested against it. Run `python3 tests/data/forms.py` to write the file again.

Every expectation is written out by hand from the rules. A figure is one number with comma or point, at
most nine digits, spaces only between thousands; it is kept with its decimals. A figure is asked about
once when it is five times its upper limit or more and, where there is a lower one, ten times that; the
same downwards with a fifth and a tenth; and a panel's temperature outside -40 to 100 degrees. All of it
is invented.
"""

import json
import pathlib

WRENCH, METER, CLAMP, THERMOMETER = (f"0198c1f0-0000-7000-8000-00000000000{n}" for n in range(1, 5))
FRONT, BACK = "0a" * 32, "b7" * 32
LONG = "\U0001f697" + "x" * 1999

CONFIRM, PHOTO, NOTE = ({"kind": kind} for kind in ("confirm", "photo", "note"))
TORQUE = {"kind": "torque", "limits": {"lower": "9.0", "upper": "11.0"}}
FUSE = {"kind": "fuse", "rating_a": "30", "choices_a": ["20", "25", "30", "7.5"]}
ORDER = {"kind": "order", "expected": ["Light", "Minus", "Plus"], "choices": ["Plus", "Minus", "Light"]}
VOLTS = {"kind": "reading", "unit": "V", "limits": {"lower": "12.40", "upper": "13.00"}}
INSULATION = {"kind": "reading", "unit": "M\u03a9", "limits": {"lower": "1", "upper": None}}
LEAK = {"kind": "reading", "unit": "mA", "limits": {"lower": None, "upper": "30"}}
COLD = {"kind": "reading", "unit": "\u00b0C", "limits": {"lower": "-10", "upper": "40"}}
DROP = {"kind": "path_drop", "resistance_max_milliohm": "8.34", "planned_milliohm": "7.26",
        "milliohm_per_metre": "1.21", "current_a": "30"}
# At 25 degrees 44.8 V, from 42.56 V to 47.04 V.
SOLAR = {"kind": "solar_open", "string_voc_v": "44.8", "in_series": 2, "percent_per_k": "-0.28",
         "tolerance_percent": "5", "upper_v": "55"}

ONE_NUMBER = "Type one number, for example 12.5."
TICK = "Tick it when it is done as written, or say why it cannot be done."
TAKE = "Take a photo, or say why it cannot be taken."
PLACE = "Give every terminal its place, from the left."
TOO_LONG = "The text is longer than 2000 characters. Shorten it."
PHOTOS = "At least one and at most 6 photos go with one entry."


def kept(result, note="", photos=(), improbable=False):
    remark = {"kind": "remark", "text": note, "photos": list(photos)} if note or photos else None
    return {"result": result, "remark": remark, "improbable": improbable}


def fault(words):
    return {"fault": words}


def asked(figure):
    return {"question": f"Is {figure} right? Save again to keep it."}


def choose(unit):
    return fault(f"Choose the instrument that measured the {unit}.")


def form(name, step, fields, expect, photos=()):
    return {"name": name, "step": step, "fields": fields, "photos": list(photos), "expect": expect}


def torque(value):
    return {"kind": "torque", "value": value, "instrument": WRENCH}


def reading(value):
    return {"kind": "reading", "value": value, "instrument": METER}


def drop(volts, amps):
    return {"kind": "path_drop", "drop_v": volts, "current_a": amps, "instrument": METER,
            "current_instrument": CLAMP}


def solar(volts, cell):
    return {"kind": "solar_open", "voltage_v": volts, "cell_c": cell, "instrument": METER,
            "thermometer": THERMOMETER}


def places(*rows):
    return {f"pos{row}": place for row, place in enumerate(rows, start=1)}


def text_of(body):
    """Keys in the order of the body, the empty ones left out; no space, nothing escaped without need."""
    keys = {"v": 1} | {key: body[key] for key in ("id", "job", "sheet")}
    keys |= {key: body[key] for key in ("step", "at", "supersedes", "improbable") if body[key]}
    return json.dumps(keys | body["payload"], ensure_ascii=False, separators=(",", ":"))


def body(name, payload, step="prove.rest", at="2026-11-25T14:03:07.120+01:00", supersedes=(),
         improbable=False, sheet=2):
    one = {"id": "0198c1f0-1234-7abc-8def-0123456789ab", "job": "0198c1ef-0000-7000-9000-000000000001",
           "sheet": sheet, "step": step, "at": at, "supersedes": list(supersedes),
           "improbable": improbable, "payload": payload}
    return {"name": name, "body": one, "text": text_of(one)}


WITH_WRENCH, WITH_METER = {"instrument": WRENCH}, {"instrument": METER}
WITH_BOTH = {"instrument": METER, "current_instrument": CLAMP}
IN_SUN = {"instrument": METER, "thermometer": THERMOMETER}
DONE = {"kind": "confirm"}
OAK = "Held by an oak batten."

FORMS = [
    form("a tick", CONFIRM, {"value": "done"}, kept(DONE)),
    form("a tick with a note", CONFIRM, {"value": "done", "note": f"  {OAK}\n"}, kept(DONE, OAK)),
    form("a tick with a note and photos", CONFIRM, {"value": "done", "note": OAK},
         kept(DONE, OAK, [FRONT, BACK]), [FRONT, BACK]),
    form("a tick with a photo and no words", CONFIRM, {"value": "done"}, kept(DONE, "", [BACK]), [BACK]),
    form("no tick", CONFIRM, {}, fault(TICK)),
    form("a tick that says something else", CONFIRM, {"value": "on"}, fault(TICK)),
    form("a tick that cannot be set", CONFIRM, {"unable": "The tray has no holes.", "note": OAK},
         kept({"kind": "unable", "reason": "The tray has no holes."}, OAK)),
    form("unable beats the tick, its photos go with the words", CONFIRM,
         {"value": "done", "unable": " No holes. "},
         kept({"kind": "unable", "reason": "No holes."}, "", [FRONT]), [FRONT]),
    form("unable of spaces is none", CONFIRM, {"value": "done", "unable": " \u2003\n"}, kept(DONE)),
    form("a note as long as it may be", CONFIRM, {"value": "done", "note": LONG}, kept(DONE, LONG)),
    form("a note one character longer", CONFIRM, {"value": "done", "note": LONG + "x"}, fault(TOO_LONG)),
    form("a reason one character too long", CONFIRM, {"unable": LONG + "x"}, fault(TOO_LONG)),
    form("six photos with a tick", CONFIRM, {"value": "done"}, kept(DONE, "", [FRONT] * 6), [FRONT] * 6),
    form("seven photos with a tick", CONFIRM, {"value": "done"}, fault(PHOTOS), [FRONT] * 7),

    form("two photos in their order", PHOTO, {}, kept({"kind": "photo", "photos": [BACK, FRONT]}),
         [BACK, FRONT]),
    form("a photo with a note", PHOTO, {"note": OAK}, kept({"kind": "photo", "photos": [FRONT]}, OAK),
         [FRONT]),
    form("no photo", PHOTO, {"note": OAK}, fault(TAKE)),
    form("a photo that cannot be taken", PHOTO, {"unable": "The camera is broken."},
         kept({"kind": "unable", "reason": "The camera is broken."})),
    form("a photo that cannot be taken, with another one", PHOTO, {"unable": "No room behind."},
         kept({"kind": "unable", "reason": "No room behind."}, "", [BACK]), [BACK]),
    form("seven photos", PHOTO, {}, fault(PHOTOS), [FRONT] * 7),

    form("words", NOTE, {"value": " Roof bar is loose.\nTell the customer. "},
         kept({"kind": "note", "text": "Roof bar is loose.\nTell the customer."})),
    form("words with a photo", NOTE, {"value": "none"}, kept({"kind": "note", "text": "none"}, "", [FRONT]),
         [FRONT]),
    form("no words", NOTE, {"value": "  "}, fault('Write what you saw, or "none".')),
    form("words that cannot be written", NOTE, {"unable": "Vehicle is gone."},
         kept({"kind": "unable", "reason": "Vehicle is gone."})),
    form("too many words", NOTE, {"value": LONG + "x"}, fault(TOO_LONG)),

    form("a torque keeps its decimals", TORQUE, {"value": "10.40"} | WITH_WRENCH, kept(torque("10.40"))),
    form("a torque with a comma and a note", TORQUE, {"value": "10,4", "note": OAK} | WITH_WRENCH,
         kept(torque("10.4"), OAK)),
    form("a torque with its unit", TORQUE, {"value": "10.4 N\u00b7m"} | WITH_WRENCH, fault(ONE_NUMBER)),
    form("a torque without a figure", TORQUE, {"value": ""} | WITH_WRENCH, fault(ONE_NUMBER)),
    form("a torque without a wrench", TORQUE, {"value": "10.4"}, choose("N\u00b7m")),
    form("a figure is missed before its wrench", TORQUE, {"value": "ten"}, fault(ONE_NUMBER)),
    form("a torque is no thing to be unable of", TORQUE, {"unable": "No wrench."} | WITH_WRENCH,
         fault(ONE_NUMBER)),
    form("unable beside a torque is left alone", TORQUE, {"value": "10", "unable": "No."} | WITH_WRENCH,
         kept(torque("10"))),
    form("a torque ten times too large is asked about", TORQUE, {"value": "104"} | WITH_WRENCH,
         asked("104")),
    form("a torque as it was typed is asked about", TORQUE, {"value": " 1,04 "} | WITH_WRENCH,
         asked("1,04")),
    form("a torque that was asked about is kept", TORQUE, {"value": "104", "improbable": "yes"} | WITH_WRENCH,
         kept(torque("104"), improbable=True)),
    form("a question was answered and the figure put right", TORQUE,
         {"value": "10.4", "improbable": "yes"} | WITH_WRENCH, kept(torque("10.4"))),
    form("a failing torque is no question", TORQUE, {"value": "12.2"} | WITH_WRENCH, kept(torque("12.2"))),
    form("exactly ten times the lower limit", TORQUE, {"value": "90"} | WITH_WRENCH, asked("90")),
    form("a hair below it", TORQUE, {"value": "89.9999999"} | WITH_WRENCH, kept(torque("89.9999999"))),

    form("a rating", FUSE, {"value": "25"}, kept({"kind": "fuse", "rating_a": "25"})),
    form("a rating with a comma and a photo", FUSE, {"value": "7,5"},
         kept({"kind": "fuse", "rating_a": "7.5"}, "", [FRONT]), [FRONT]),
    form("no rating", FUSE, {}, fault("Tap the rating that stands on the fuse.")),

    form("terminals in the order of the rows", ORDER, places("1", "2", "3"),
         kept({"kind": "order", "labels": ["Plus", "Minus", "Light"]})),
    form("terminals as they were seen", ORDER, places("3", "1", "2") | {"note": OAK},
         kept({"kind": "order", "labels": ["Minus", "Light", "Plus"]}, OAK)),
    form("ten comes behind nine", ORDER, places("10", "9", "1"),
         kept({"kind": "order", "labels": ["Light", "Minus", "Plus"]})),
    form("two terminals at one place", ORDER, places("2", "1", "2"),
         fault("Two terminals are at place 2. Look again.")),
    form("a terminal without a place", ORDER, places("2", "", "1"), fault(PLACE)),
    form("a terminal at half a place", ORDER, places("1", "1.5", "2"), fault(PLACE)),
    form("no places at all", ORDER, {}, fault(PLACE)),

    form("a reading", VOLTS, {"value": "12.62"} | WITH_METER, kept(reading("12.62"))),
    form("a reading with a photo of the meter", VOLTS, {"value": "12.62"} | WITH_METER,
         kept(reading("12.62"), "", [FRONT]), [FRONT]),
    form("a Unicode minus before a space", COLD, {"value": "\u2212 5,0"} | WITH_METER, kept(reading("-5.0"))),
    form("a hyphen", COLD, {"value": "-5"} | WITH_METER, kept(reading("-5"))),
    form("a plus", COLD, {"value": "+5"} | WITH_METER, kept(reading("5"))),
    form("minus nothing is nothing", LEAK, {"value": "-0,0"} | WITH_METER, kept(reading("0.0"))),
    form("nothing before the point", INSULATION, {"value": ".5"} | WITH_METER, kept(reading("0.5"))),
    form("nothing behind the point", INSULATION, {"value": "12."} | WITH_METER, kept(reading("12"))),
    form("zeros before it", INSULATION, {"value": "007.50"} | WITH_METER, kept(reading("7.50"))),
    form("spaces between thousands", LEAK, {"value": "1 234,5", "improbable": "yes"} | WITH_METER,
         kept(reading("1234.5"), improbable=True)),
    form("narrow spaces between thousands", LEAK,
         {"value": "\u00a01\u202f234 ", "improbable": "yes"} | WITH_METER,
         kept(reading("1234"), improbable=True)),
    form("a space behind the point", LEAK, {"value": "1.5 234"} | WITH_METER, fault(ONE_NUMBER)),
    form("a space in the wrong place", LEAK, {"value": "12 5"} | WITH_METER, fault(ONE_NUMBER)),
    form("two points", LEAK, {"value": "1.2.5"} | WITH_METER, fault(ONE_NUMBER)),
    form("a power of ten", LEAK, {"value": "1e1"} | WITH_METER, fault(ONE_NUMBER)),
    form("ten digits", LEAK, {"value": "1.234567891"} | WITH_METER, fault(ONE_NUMBER)),
    form("a sign alone", COLD, {"value": "\u2212"} | WITH_METER, fault(ONE_NUMBER)),
    form("a reading without a meter", VOLTS, {"value": "12.6", "instrument": ""}, choose("V")),
    form("a meter that is none", INSULATION, {"value": "12", "instrument": "meter 1"}, choose("M\u03a9")),
    form("a slip against a single upper limit", LEAK, {"value": "150"} | WITH_METER, asked("150")),
    form("a hair below that slip", LEAK, {"value": "149.999999"} | WITH_METER, kept(reading("149.999999"))),
    form("a slip against a single lower limit", INSULATION, {"value": "0.2"} | WITH_METER, asked("0.2")),
    form("a hair above that slip", INSULATION, {"value": "0.200000001"} | WITH_METER,
         kept(reading("0.200000001"))),
    form("a slip below zero", LEAK, {"value": "\u2212150"} | WITH_METER, asked("\u2212150")),

    form("a drop and its current", DROP, {"value": "0,281", "current": "30.0"} | WITH_BOTH,
         kept(drop("0.281", "30.0"))),
    form("a drop with a note and a photo", DROP, {"value": "0.205", "current": "30", "note": OAK} | WITH_BOTH,
         kept(drop("0.205", "30"), OAK, [FRONT]), [FRONT]),
    form("probes the other way round", DROP, {"value": "\u22120.2", "current": "30"} | WITH_BOTH,
         kept(drop("-0.2", "30"))),
    form("no drop", DROP, {"value": "", "current": "30"} | WITH_BOTH,
         fault("Type one number, for example 0.21.")),
    form("no current", DROP, {"value": "0.2", "current": "-"} | WITH_BOTH,
         fault("Type one number, for example 28.5.")),
    form("a drop without a meter", DROP, {"value": "0.2", "current": "30", "current_instrument": CLAMP},
         choose("V")),
    form("a drop without a clamp", DROP, {"value": "0.2", "current": "30"} | WITH_METER, choose("A")),
    # 5 * 8.34 = 41.7 milliohm; 1.251 V / 30 A is just that.
    form("a path five times its limit", DROP, {"value": "1.251", "current": "30"} | WITH_BOTH, asked("1.251")),
    form("a path a hair below that", DROP, {"value": "1.25099999", "current": "30"} | WITH_BOTH,
         kept(drop("1.25099999", "30"))),
    form("a path without end, confirmed", DROP,
         {"value": "2", "current": "3", "improbable": "yes"} | WITH_BOTH, kept(drop("2", "3"), improbable=True)),
    form("a slip with both signs turned", DROP, {"value": "-1.251", "current": "-30"} | WITH_BOTH,
         asked("-1.251")),
    form("no current flows: no path to ask about", DROP, {"value": "5", "current": "0"} | WITH_BOTH,
         kept(drop("5", "0"))),

    form("a string in the sun", SOLAR, {"value": "44,80", "cell": "25"} | IN_SUN, kept(solar("44.80", "25"))),
    form("a string on a frosty morning, with a note", SOLAR,
         {"value": "48.1", "cell": "\u22125,5", "note": OAK} | IN_SUN, kept(solar("48.1", "-5.5"), OAK)),
    form("wrong polarity", SOLAR, {"value": "\u221244.8", "cell": "25"} | IN_SUN, kept(solar("-44.8", "25"))),
    form("no voltage", SOLAR, {"cell": "25"} | IN_SUN, fault("Type one number, for example 40.6.")),
    form("no temperature", SOLAR, {"value": "44.8", "cell": "warm"} | IN_SUN,
         fault("Type one number, for example 45.5.")),
    form("a string without a meter", SOLAR, {"value": "44.8", "cell": "25", "thermometer": THERMOMETER},
         choose("V")),
    form("a string without a thermometer", SOLAR, {"value": "44.8", "cell": "25"} | WITH_METER,
         choose("\u00b0C")),
    form("a voltage ten times too large", SOLAR, {"value": "448,0", "cell": "25,0"} | IN_SUN,
         asked("448.0 V at 25.0 \u00b0C")),
    form("exactly ten times the lower limit of a string", SOLAR, {"value": "425.6", "cell": "25"} | IN_SUN,
         asked("425.6 V at 25 \u00b0C")),
    form("a hair below ten times the lower limit", SOLAR, {"value": "425.599999", "cell": "25"} | IN_SUN,
         kept(solar("425.599999", "25"))),
    form("a panel as cold as it may be", SOLAR, {"value": "52", "cell": "-40"} | IN_SUN,
         kept(solar("52", "-40"))),
    form("a panel colder than that", SOLAR, {"value": "52", "cell": "-40.1"} | IN_SUN,
         asked("52 V at -40.1 \u00b0C")),
    form("a panel as hot as it may be", SOLAR, {"value": "35", "cell": "100"} | IN_SUN,
         kept(solar("35", "100"))),
    form("a panel hotter than that", SOLAR, {"value": "35", "cell": "100.1"} | IN_SUN,
         asked("35 V at 100.1 \u00b0C")),
    form("a temperature that was asked about is kept", SOLAR,
         {"value": "40", "cell": "452", "improbable": "yes"} | IN_SUN,
         kept(solar("40", "452"), improbable=True)),
]

BODIES = [
    body("a tick", DONE, "before.lamps"),
    body("a reading that replaces two, kept after a question", reading("126.2"),
         supersedes=["0198c1f0-0001-7000-8000-000000000001", "0198c1f0-0002-7000-8000-000000000001"],
         improbable=True),
    body("photos", {"kind": "photo", "photos": [FRONT, BACK]}, "before.battery"),
    body("a torque", torque("10.40"), "mount.base.torque"),
    body("a rating", {"kind": "fuse", "rating_a": "7.5"}, "protect.light"),
    body("an order", {"kind": "order", "labels": ["B\u00fcgel \"1\"", "Plus"]}, "terminate.order"),
    body("a drop", drop("-0.281", "30.0"), at="2026-02-28T23:59:59.999-03:30"),
    body("a string", solar("44.80", "-5.5"), at="2026-06-01T00:00:00.000+00:00"),
    body("words with all that is written otherwise",
         {"kind": "note", "text": "\"\\/\b\f\n\r\t\u0001\u001f\u007f\u2028\u2029 \u00e9 \U0001f697"}),
    body("unable", {"kind": "unable", "reason": "No holes."}),
    body("a remark with words alone", {"kind": "remark", "text": OAK, "photos": []}),
    body("a remark with a photo alone", {"kind": "remark", "text": "", "photos": [FRONT]}),
    body("about the whole job, before the first sheet",
         {"kind": "submit", "signature": {"name": "A. Fitter", "strokes": "M10 20L13 24L12 30M600 0L0 200"}}, "", sheet=0),
]

if __name__ == "__main__":
    for cases in (FORMS, BODIES):
        names = [one["name"] for one in cases]
        assert len(set(names)) == len(names)
    for kind in ("confirm", "photo", "note", "torque", "fuse", "order", "reading", "path_drop", "solar_open"):
        expected = [one["expect"] for one in FORMS if one["step"]["kind"] == kind]
        assert any("fault" in one for one in expected) and any("result" in one for one in expected), kind
    parts = (f' "{name}": [\n' + ",\n".join("  " + json.dumps(one, ensure_ascii=False) for one in cases) + "\n ]"
             for name, cases in (("forms", FORMS), ("bodies", BODIES)))
    pathlib.Path(__file__).with_suffix(".json").write_text("{\n" + ",\n".join(parts) + "\n}\n", encoding="utf-8")
