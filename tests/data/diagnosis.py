"""Works out the expected diagnoses in diagnosis.json with exact fractions, apart from both programs that
are tested against them. Run `python3 tests/data/diagnosis.py` to write the file again.

Rule: R = U/I, U(R) = sqrt((U(U)*I)^2 + (U*U(I))^2) / I^2, excess = R - plan. The excess is told from
nothing when its size is above U(R). Printed: resistances and excess to a hundredth of a milliohm, up;
uncertainties up; metres and joints of 0.5 milliohm to a tenth, half away from nothing. Instruments as
in verdicts.py; the figures are invented.
"""

import json
import pathlib
from fractions import Fraction
from math import ceil, floor, isqrt

from verdicts import CLAMP, EXACT, FIXED, MILLIVOLT, number, row_for, uncertainty

JOINT = Fraction(1, 2)
TAIL = {
    "pass": "",
    "fail": " Measure half of the path, then half of what is left, until one joint or cable is left. "
            "The first reading stays on the sheet.",
    "inconclusive": " Load it with more current, or measure straight across the path with a better "
                    "meter.",
}
AGAINST = {
    "pass": "clear of its limit of {} mΩ",
    "fail": "above its limit of {} mΩ",
    "inconclusive": "nearer to its limit of {} mΩ than the meters can tell",
}


def root_up(square, parts):
    """The least number of parts whose square is at least `square`."""
    target = square * parts**2
    root = isqrt(floor(target))
    while Fraction(root**2) < target:
        root += 1
    return root


def hundredths(count):
    return f"{count // 100}.{count % 100:02d}"


def tenths(value):
    count = floor(value * 10 + Fraction(1, 2))
    return "less than 0.1" if count == 0 else f"{count // 10}.{count % 10}"


def case(name, drop, current, planned, limit, per_metre="1.21",
         drop_rows=MILLIVOLT, current_rows=CLAMP):
    v, i = abs(number(drop)), number(current)
    uv, ui = uncertainty(v, row_for(v, drop_rows)), uncertainty(i, row_for(i, current_rows))
    resistance = v / i * 1000
    square = ((uv / i) ** 2 + (v * ui / i**2) ** 2) * 10**6
    room = Fraction(limit) - resistance
    kind = "fail" if room < 0 else "pass" if room**2 >= square else "inconclusive"
    excess = resistance - Fraction(planned)
    standing = "within" if excess**2 <= square else "more" if excess > 0 else "less"
    u, side = hundredths(root_up(square, 100)), "less" if excess < 0 else "more"
    apart = f"{hundredths(abs(ceil(excess * 100)))} mΩ ± {u} mΩ {side}"
    amounts = (f"{tenths(excess / Fraction(per_metre))} m more of this cable or {tenths(excess / JOINT)} "
               "joints of 0.5 mΩ") if excess > 0 else None
    against = apart
    if standing == "more":
        against = f"{apart}, which amounts to {amounts}"
    if standing == "within":
        against = f"{apart}, which these meters cannot tell from nothing"
        against += f"; it would amount to {amounts}" if amounts else ""
    words = (f"The path has {hundredths(ceil(resistance * 100))} mΩ ± {u} mΩ, "
             f"{AGAINST[kind].format(limit)}. Planned {planned} mΩ: {against}.{TAIL[kind]}")
    return {"name": name, "drop": drop, "current": current, "planned_milliohm": planned,
            "limit_milliohm": limit, "milliohm_per_metre": per_metre, "drop_rows": drop_rows,
            "current_rows": current_rows,
            "expect": {"kind": kind, "standing": standing, "sentence": words}}


CASES = [
    case("a bad crimp in a sound path", "0.281", "30.0", "7.26", "8.34"),
    case("with commas", "0,281", "30,0", "7.26", "8.34"),
    case("probes the other way round", "\u22120.281", "30.0", "7.26", "8.34"),
    case("a little below its plan", "0.205", "30.0", "7.26", "8.34"),
    case("clearly below its plan", "0.150", "30.0", "7.26", "8.34"),
    case("a little above its plan, and clear of the limit", "0.222", "30.0", "7.26", "8.34"),
    case("clearly above its plan, and clear of the limit", "0.228", "30.0", "7.26", "9.00"),
    case("clearly above its plan, near to the limit", "0.245", "30.0", "7.26", "8.34"),
    case("above the limit, with too little current to tell", "0.0045", "0.53", "7.26", "8.34"),
    case("near to the limit, with too little current to tell", "0.0042", "0.53", "7.26", "8.34"),
    case("above a limit below its plan", "0.215", "30.0", "7.26", "7.00"),
    case("figures that end in nought", "0.281", "30.0", "7.20", "8.00"),
    case("no drop at all", "0", "30", "7.26", "8.34"),
    # Exact instruments: the figures alone decide.
    case("exactly as planned", "0.2", "20", "10", "12", "1.25", EXACT, EXACT),
    case("a hair more than planned", "0.20000001", "20", "10", "12", "1.25", EXACT, EXACT),
    case("a hair less than planned", "0.19999999", "20", "10", "12", "1.25", EXACT, EXACT),
    case("exactly at the limit", "0.24", "20", "10", "12", "1.25", EXACT, EXACT),
    case("a hair above the limit", "0.240000001", "20", "10", "12", "1.25", EXACT, EXACT),
    case("2.4 m more cable, six joints", "0.160", "20", "5.00", "6.00", "1.25", EXACT, EXACT),
    case("half of a tenth is rounded up", "0.101125", "10", "10", "12", "2.25", EXACT, EXACT),
    case("less than half of a tenth", "0.1000249", "10", "10", "12", "1", EXACT, EXACT),
    case("a quotient without end", "0.1", "3", "30", "40", "1.1", EXACT, EXACT),
    # U(U) = 0.577351 V and U(I) = 0: at 10 A the resistance is known to 57.7351 mΩ.
    case("excess exactly its uncertainty", "1.577351", "10", "100", "300", "2", FIXED, EXACT),
    case("excess one digit beyond its uncertainty", "1.577352", "10", "100", "300", "2", FIXED, EXACT),
    case("excess one digit inside its uncertainty", "1.577350", "10", "100", "300", "2", FIXED, EXACT),
    case("lack exactly its uncertainty", "1.422649", "10", "200", "300", "2", FIXED, EXACT),
    case("lack one digit beyond its uncertainty", "1.422648", "10", "200", "300", "2", FIXED, EXACT),
    case("lack one digit inside its uncertainty", "1.422650", "10", "200", "300", "2", FIXED, EXACT),
]

if __name__ == "__main__":
    names = [one["name"] for one in CASES]
    assert len(set(names)) == len(names)
    assert {one["expect"]["standing"] for one in CASES} == {"more", "less", "within"}
    lines = ",\n".join("  " + json.dumps(one, ensure_ascii=False) for one in CASES)
    pathlib.Path(__file__).with_suffix(".json").write_text(f"[\n{lines}\n]\n", encoding="utf-8")
