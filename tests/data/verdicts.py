"""Works out the expected verdicts in verdicts.json with exact fractions, apart from both programs
that are tested against them. Run `python3 tests/data/verdicts.py` to write the file again.

Rule: U = (|reading| * percent / 100 + digits * resolution) * 1.1547005384, rounded up at the sixth
decimal. The first range with from <= |reading| <= to is used; none: uncounted. Pass: at least U
inside each limit that exists. Fail: outside a limit. Otherwise inconclusive. Below zero without a
lower limit: uncounted, the probes are the wrong way round. The rows are invented.
"""

import json
import pathlib
from fractions import Fraction
from math import ceil

K = Fraction(11547005384, 10**10)
WRENCH = [["5", "25", "0.1", "3", "1"], ["25", "60", "0.1", "4", "1"]]
METER = [["0", "6", "0.001", "0.5", "3"], ["6", "60", "0.01", "0.5", "3"]]
MILLIVOLT = [["0", "0.6", "0.0001", "0.5", "2"], ["0.6", "6", "0.001", "0.5", "2"]]
CLAMP = [["0.5", "60", "0.01", "1.5", "5"], ["60", "400", "0.1", "2", "5"]]
FIXED = [["0", "1000", "0.1", "0", "5"]]  # U = 0.5 * 1.1547005384 -> 0.577351
EXACT = [["0", "1000", "0.1", "0", "0"]]  # U = 0: only the limits themselves decide
PERCENT = [["0", "1000", "0.01", "2", "0"]]


def number(typed):
    plain = typed.strip().replace("\u2212", "-").replace(",", ".")
    return Fraction(plain)


def row_for(value, rows):
    for row in rows:
        if Fraction(row[0]) <= abs(value) <= Fraction(row[1]):
            return row
    return None


def uncertainty(value, row):
    _, _, resolution, percent, digits = (Fraction(cell) for cell in row)
    exact = (abs(value) * percent / 100 + digits * resolution) * K
    return Fraction(ceil(exact * 10**6), 10**6)


def six(fraction):
    micro = fraction * 10**6
    assert micro.denominator == 1
    whole, rest = divmod(micro.numerator, 10**6)
    return f"{whole}.{rest:06d}"


def value(name, typed, lower, upper, rows):
    reading, row = number(typed), None
    row = row_for(reading, rows)
    expect = {"kind": "uncounted", "uncertainty": None}
    if row and not (reading < 0 and lower is None):
        guard = uncertainty(reading, row)
        low = Fraction(lower) if lower else None
        high = Fraction(upper) if upper else None
        outside = (low is not None and reading < low) or (high is not None and reading > high)
        clear = (low is None or low + guard <= reading) and (high is None or reading <= high - guard)
        kind = "fail" if outside else "pass" if clear else "inconclusive"
        expect = {"kind": kind, "uncertainty": six(guard)}
    return {"name": name, "kind": "value", "value": typed, "lower": lower, "upper": upper,
            "rows": rows, "expect": expect}


def ratio(name, drop, current, limit, drop_rows=MILLIVOLT, current_rows=CLAMP):
    v, i, ohm = number(drop), number(current), Fraction(limit) / 1000
    drop_row, current_row = row_for(v, drop_rows), row_for(i, current_rows)
    expect = {"kind": "uncounted", "drop_uncertainty": None, "current_uncertainty": None}
    if i > 0 and drop_row and current_row:
        uv, ui = uncertainty(v, drop_row), uncertainty(i, current_row)
        resistance = abs(v) / i
        # The square of the uncertainty of a quotient, term by term.
        squared = (uv / i) ** 2 + (abs(v) * ui / i**2) ** 2
        room = ohm - resistance
        kind = "fail" if room < 0 else "pass" if room**2 >= squared else "inconclusive"
        expect = {"kind": kind, "drop_uncertainty": six(uv), "current_uncertainty": six(ui)}
    return {"name": name, "kind": "ratio", "drop": drop, "current": current,
            "limit_milliohm": limit, "drop_rows": drop_rows, "current_rows": current_rows,
            "expect": expect}


CASES = [
    # Torque, both limits.
    value("torque in the middle", "10.0", "9.0", "11.0", WRENCH),
    value("torque with a comma", "10,4", "9.0", "11.0", WRENCH),
    value("torque with spaces round it", " 10.4 ", "9.0", "11.0", WRENCH),
    value("torque exactly at the upper limit", "11.0", "9.0", "11.0", WRENCH),
    value("torque exactly at the lower limit", "9.0", "9.0", "11.0", WRENCH),
    value("torque one digit above the upper limit", "11.1", "9.0", "11.0", WRENCH),
    value("torque one digit below the lower limit", "8.9", "9.0", "11.0", WRENCH),
    value("torque a hair above the upper limit", "11.000001", "9.0", "11.0", WRENCH),
    value("torque a hair below the lower limit", "8.999999", "9.0", "11.0", WRENCH),
    value("torque near the upper limit", "10.6", "9.0", "11.0", WRENCH),
    value("torque just clear of the upper limit", "10.5", "9.0", "11.0", WRENCH),
    value("torque just clear of the lower limit", "9.5", "9.0", "11.0", WRENCH),
    value("torque near the lower limit", "9.4", "9.0", "11.0", WRENCH),
    value("limits closer together than the wrench can tell", "10.0", "9.8", "10.2", WRENCH),
    value("torque at the end of the first range uses the first range", "25", "20", "30", WRENCH),
    value("torque just into the second range", "25.1", "20", "30", WRENCH),
    value("torque at the end of the last range", "60", "50", "70", WRENCH),
    value("torque beyond the last range", "60.1", "50", "70", WRENCH),
    value("torque below the first range", "4.9", "4", "6", WRENCH),
    value("torque at the start of the first range", "5", "4", "6", WRENCH),
    value("out of range is not counted even when outside the limits", "104", "9.0", "11.0", WRENCH),
    # Guard edge: U is 0.577351 at every reading of this instrument.
    value("exactly at the upper guard", "19.422649", "10", "20", FIXED),
    value("one digit beyond the upper guard", "19.422650", "10", "20", FIXED),
    value("one digit inside the upper guard", "19.422648", "10", "20", FIXED),
    value("exactly at the lower guard", "10.577351", "10", "20", FIXED),
    value("one digit beyond the lower guard", "10.577350", "10", "20", FIXED),
    value("one digit inside the lower guard", "10.577352", "10", "20", FIXED),
    value("band exactly two guards wide, in the middle", "10.577351", "10", "11.154702", FIXED),
    value("band a digit narrower than two guards", "10.577351", "10", "11.154701", FIXED),
    # No uncertainty: the limits alone.
    value("exact instrument at the upper limit passes", "20", "10", "20", EXACT),
    value("exact instrument at the lower limit passes", "10", "10", "20", EXACT),
    value("exact instrument one digit above", "20.0000001", "10", "20", EXACT),
    value("exact instrument one digit below", "9.9999999", "10", "20", EXACT),
    # The uncertainty follows the reading.
    value("percent only, rounded up at the sixth decimal", "10", "5", "20", PERCENT),
    value("percent only, no rounding needed at zero", "0", "-1", "1", PERCENT),
    value("percent only, far up the range", "999.99", "0", "1000", PERCENT),
    value("percent only, small reading", "0.000001", "0", "1", PERCENT),
    # Battery, both limits, two ranges.
    value("rested battery", "12.62", "12.40", "13.00", METER),
    value("rested battery, comma", "12,62", "12.40", "13.00", METER),
    value("rested battery low", "12.39", "12.40", "13.00", METER),
    value("rested battery on the limit", "12.40", "12.40", "13.00", METER),
    value("rested battery near the lower limit", "12.50", "12.40", "13.00", METER),
    value("rested battery clear of the lower limit", "12.51", "12.40", "13.00", METER),
    value("charging voltage at a narrow window", "14.40", "14.30", "14.50", METER),
    # Upper limit only.
    value("drop well below", "0.31", None, "0.36", METER),
    value("drop near the limit", "0.355", None, "0.36", METER),
    value("drop exactly at the limit", "0.36", None, "0.36", METER),
    value("drop one digit above", "0.361", None, "0.36", METER),
    value("zero with only an upper limit", "0", None, "0.36", METER),
    value("negative reading with only an upper limit", "-0.31", None, "0.36", METER),
    value("negative reading with a Unicode minus", "\u22120.31", None, "0.36", METER),
    value("negative reading, comma and Unicode minus", "\u22120,31", None, "0.36", METER),
    # Lower limit only.
    value("insulation well above", "20.5", "1", None, METER),
    value("insulation exactly at the limit", "1", "1", None, METER),
    value("insulation near the limit", "1.009", "1", None, METER),
    value("insulation clear of the limit", "1.010", "1", None, METER),
    value("insulation below", "0.99", "1", None, METER),
    value("negative reading with only a lower limit", "-5", "1", None, METER),
    # Negative limits: a current that flows back.
    value("negative band, inside", "-12.5", "-13", "-12", METER),
    value("negative band, at the upper limit", "-12", "-13", "-12", METER),
    value("negative band, above", "-11.99", "-13", "-12", METER),
    value("negative band, below", "-13.01", "-13", "-12", METER),
    value("negative band, near the lower limit", "-12.95", "-13", "-12", METER),
    value("negative reading beyond the range", "-60.01", "-100", "0", METER),
    value("nine digits", "12.3456789", "10", "20", METER),
    value("no row at all", "10", "9", "11", []),
    # Path resistance from drop and current.
    ratio("path well below", "0.150", "30.0", "7.2"),
    ratio("path with commas", "0,150", "30,0", "7.2"),
    ratio("path exactly at the limit", "0.216", "30", "7.2"),
    ratio("path one digit above the limit", "0.2161", "30", "7.2"),
    ratio("path a hair below the limit", "0.2159", "30", "7.2"),
    ratio("path close to the limit, yet clear", "0.211", "30", "7.2"),
    ratio("path clear of the limit", "0.207", "30", "7.2"),
    ratio("path just not clear of the limit", "0.212", "30", "7.2"),
    ratio("path far above", "0.5", "30", "7.2"),
    ratio("drop read the other way round", "-0.150", "30", "7.2"),
    ratio("drop the other way round, above the limit", "\u22120.300", "30", "7.2"),
    ratio("no current", "0.150", "0", "7.2"),
    ratio("current the other way round", "0.150", "-30", "7.2"),
    ratio("current below the range of the clamp", "0.002", "0.4", "7.2"),
    ratio("current beyond the range of the clamp", "0.150", "400.1", "7.2"),
    ratio("drop beyond the range of the meter", "6.1", "30", "7.2"),
    ratio("small current makes the uncertainty large", "0.003", "0.5", "7.2"),
    ratio("no drop at all", "0", "30", "7.2"),
    ratio("no uncertainty, exactly at the limit", "0.216", "30", "7.2", EXACT, EXACT),
    ratio("no uncertainty, one digit above", "0.216000001", "30", "7.2", EXACT, EXACT),
    # With U(v) = 0.577351 V and U(i) = 0: room must be 0.577351 V at 10 A, so 0.422649 V passes.
    ratio("exactly at the guard", "0.422649", "10", "100", FIXED, EXACT),
    ratio("one digit beyond the guard", "0.422650", "10", "100", FIXED, EXACT),
    ratio("one digit inside the guard", "0.422648", "10", "100", FIXED, EXACT),
    ratio("no row for the drop", "0.150", "30", "7.2", [], CLAMP),
    ratio("no row for the current", "0.150", "30", "7.2", MILLIVOLT, []),
]

if __name__ == "__main__":
    names = [case["name"] for case in CASES]
    assert len(set(names)) == len(names)
    lines = ",\n".join("  " + json.dumps(case, ensure_ascii=False) for case in CASES)
    pathlib.Path(__file__).with_suffix(".json").write_text(f"[\n{lines}\n]\n", encoding="utf-8")
