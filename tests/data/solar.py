"""Works out the expected verdicts in solar.json with exact fractions, apart from both programs that are
tested against them. Run `python3 tests/data/solar.py` to write the file again.

Rule: E = Voc*(1 + percent/100*(T - 25)); the band is E*(1 - tolerance) to E*(1 + tolerance), and no reading
may be above the input's maximum. w^2 = U(V)^2 + (Voc*percent/100*U(T))^2 guards the band, U(V) alone the
maximum. Fail: outside any of the three, or below zero. Pass: at least the guard inside each. Otherwise
inconclusive. Cells outside -40 to 100 degrees: uncounted. Printed: E and the deviation to a hundredth of a
volt, half away from nothing; the band inwards; w up; the share to a tenth of a percent. Modules: the nearest
whole number of n*|V - E|/E. Instruments as in verdicts.py; the figures are invented but for the first,
which is G15 of the check values carried on (NEC 690.7(A), from memory).
"""

import json
import pathlib
from fractions import Fraction
from math import ceil, floor

from diagnosis import hundredths, root_up
from verdicts import EXACT, FIXED, METER, number, row_for, uncertainty

THERMOMETER = [["0", "200", "0.1", "0.5", "8"]]
KEPT = "The first reading stays on the sheet."
AGAIN = "put it right and measure again."
REVERSED = f"Wrong polarity: stop. Leave the input unplugged, find where plus and minus are swapped, {AGAIN}"
LOOK = f"Leave the input unplugged, look along the string, {AGAIN}"
COMPARE = ("Leave the input unplugged, compare the modules and their number in series with the plan, "
           f"{AGAIN}")
STEADY = ("Measure again in full, steady sun with the probe shaded and pressed on, or with better "
          "instruments.")
NEAR = {"input": "the input's maximum", "least": "the lower limit", "most": "the upper limit"}


def half_up(value, parts=1):
    return floor(value * parts + Fraction(1, 2))


def plain(typed):
    value = number(typed)
    text = str(float(value))
    text = text[:-2] if text.endswith(".0") else text
    assert Fraction(text) == value, "too many digits for this way of printing"
    return text.replace("-", "\u2212")


def amounts(expected, volts, modules):
    count = half_up(modules * abs(volts - expected) / expected)
    if volts < expected:
        if count >= modules:
            return ("That comes nearest to the whole string: an open connector, a cover, no light, or "
                    "modules against each other.")
        if count == 0:
            return ("That is less than half a module: low sun, haze, a covered part or a shorted bypass "
                    "diode.")
        return (f"That comes nearest to {count} of {modules} modules: missing, shaded or, counting twice, "
                "reversed.")
    if count == 0:
        return ("That is less than half a module: other modules than planned, or cells cooler than was "
                "measured.")
    return f"That comes nearest to {count + modules} modules where the plan has {modules}."


def case(name, voltage, cell, voc="43.2", modules=2, percent="-0.30", upper="55", tolerance="5",
         voltage_rows=METER, cell_rows=THERMOMETER):
    volts, warm = number(voltage), number(cell)
    one = {"name": name, "voltage": voltage, "cell": cell, "string_voc_v": voc, "in_series": modules,
           "percent_per_k": percent, "tolerance_percent": tolerance, "upper_v": upper,
           "voltage_rows": voltage_rows, "cell_rows": cell_rows}
    rows = row_for(volts, voltage_rows), row_for(warm, cell_rows)
    if None in rows:
        return one | {"expect": {"kind": "uncounted", "lower": None, "upper": None, "sentence": None}}
    if not -40 <= warm <= 100:
        words = (f"No cell in daylight has {plain(cell)} °C; \u221240 °C to 100 °C are taken. Press the "
                 "shaded probe to the back of a module, in its middle, and read both again.")
        words += " The minus sign of the voltage means wrong polarity: stop." if volts < 0 else ""
        return one | {"expect": {"kind": "uncounted", "lower": None, "upper": None, "sentence": words}}
    slope, most_input = Fraction(voc) * Fraction(percent) / 100, Fraction(upper)
    expected = Fraction(voc) + slope * (warm - 25)
    aside = expected * Fraction(tolerance) / 100
    of_meter = uncertainty(volts, rows[0]) ** 2
    square = of_meter + (slope * uncertainty(warm, rows[1])) ** 2
    edges = {"input": (most_input - volts, of_meter), "least": (volts - expected + aside, square),
             "most": (expected + aside - volts, square)}
    unclear = [edge for edge, (room, guard) in edges.items() if room < 0 or room**2 < guard]
    failed = volts < 0 or any(room < 0 for room, _ in edges.values())
    kind = "fail" if failed else "inconclusive" if unclear else "pass"
    low, high = ceil((expected - aside) * 100), floor((expected + aside) * 100)
    apart = abs(volts - expected)
    share = half_up(apart / expected, 1000)
    should = (f"With cells at {plain(cell)} °C the string should give {hundredths(half_up(expected, 100))} V "
              f"({hundredths(low)} V to {hundredths(high)} V, never above {plain(upper)} V)")
    head = (f"{should}; it gives {hundredths(half_up(apart, 100))} V ± {hundredths(root_up(square, 100))} V "
            f"{'less' if volts < expected else 'more'}, {share // 10}.{share % 10} %.")
    if volts < 0:
        words = f"{REVERSED} {should}. {KEPT}"
    elif kind == "pass":
        words = f"{head} Clear of the limits."
    elif kind == "inconclusive":
        words = f"{head} Nearer to {NEAR[unclear[0]]} than the instruments can tell. {STEADY}"
    elif edges["input"][0] < 0:
        words = f"{head} That is more than the input is made for. {COMPARE} {KEPT}"
    else:
        next_words = LOOK if volts < expected else COMPARE
        words = f"{head} {amounts(expected, volts, modules)} {next_words} {KEPT}"
    shown = plain(upper) if most_input <= Fraction(high, 100) else hundredths(high)
    return one | {"expect": {"kind": kind, "lower": hundredths(low), "upper": shown, "sentence": words}}


# One module of 20 V at -0.5 %/K, exact instruments: cells at 35 °C let expect 19 V, 18.05 V to 19.95 V.
ONE = {"voc": "20", "modules": 1, "percent": "-0.5", "voltage_rows": EXACT, "cell_rows": EXACT}
# U(V) = 0.577351 V at every reading, U(T) = 0: cells at 25 °C, 100 V, 95 V to 105 V.
METERED = {"voc": "100", "modules": 5, "percent": "-0.5", "upper": "250", "voltage_rows": FIXED,
           "cell_rows": EXACT}
# U(V) = 0, U(T) = 0.577351 K: 100 V at -1 %/K moves by 0.577351 V.
WARMED = {"voc": "100", "modules": 5, "percent": "-1", "upper": "250", "voltage_rows": EXACT,
          "cell_rows": FIXED}
# Both at once: 0.4 %/K of 150 V is 0.6 V/K; 0.577351² + (0.6 · 0.577351)² = 0.6733012².
BOTH = {"voc": "150", "modules": 6, "percent": "-0.4", "upper": "250", "voltage_rows": FIXED,
        "cell_rows": FIXED}

CASES = [
    case("one module of G15 with cells at 60 °C", "19.33", "60", "21.6", 1),
    case("two modules, as they should be", "40.1", "45.0"),
    case("with commas", "40,10", "45,0"),
    case("frost on a bright morning", "46.5", "\u22125", upper="60"),
    case("near the lower limit", "38.7", "45.0"),
    case("near the upper limit", "42.5", "45.0"),
    case("one of two modules missing", "20.4", "45.0"),
    case("one of three reversed counts twice", "20.4", "45.0", "64.8", 3, upper="80"),
    case("an open connector", "0", "45.0"),
    case("one module, hardly anything", "4.2", "30", "21.6", 1),
    case("low sun", "36.2", "45.0"),
    case("wrong polarity", "\u221240.1", "45.0"),
    case("wrong polarity, next to nothing", "-0.01", "45.0"),
    case("one module more than planned", "51.8", "60.0", upper="60"),
    case("other modules than planned", "44.0", "45.0"),
    case("above the input's maximum", "56.5", "45.0"),
    case("above the input's maximum and as expected", "46.5", "0", upper="46"),
    case("near the input's maximum and as expected", "45.9", "0", upper="46"),
    case("near the input's maximum and the upper limit", "42.5", "45.0", upper="42.6"),
    case("a band that the input's maximum cuts wholly off", "44", "0", upper="43"),
    case("a band above the input's maximum, read below it", "42", "0", upper="43"),
    case("half a module less is one", "15", "25", "30", 2, "-0.5", "60", "5", EXACT, EXACT),
    case("a hair less than half a module", "22.6", "25", "30", 2, "-0.5", "60", "5", EXACT, EXACT),
    case("exactly half a module", "22.5", "25", "30", 2, "-0.5", "60", "5", EXACT, EXACT),
    # Exact instruments: the figures alone decide.
    case("exactly as expected", "19", "35", **ONE),
    case("exactly at the lower limit", "18.05", "35", **ONE),
    case("a hair below the lower limit", "18.0499999", "35", **ONE),
    case("exactly at the upper limit", "19.95", "35", **ONE),
    case("a hair above the upper limit", "19.9500001", "35", **ONE),
    case("exactly at the input's maximum", "19.5", "35", **ONE | {"upper": "19.5"}),
    case("a hair above the input's maximum", "19.5000001", "35", **ONE | {"upper": "19.5"}),
    case("nothing at all", "0", "35", **ONE),
    case("a hair below nothing", "-0.0000001", "35", **ONE),
    case("the coldest cells that are taken", "26.5", "-40", **ONE),
    case("a hair colder than that", "26.5", "-40.0001", **ONE),
    case("the hottest cells that are taken", "12.5", "100", **ONE),
    case("a hair hotter than that", "12.5", "100.0001", **ONE),
    case("reversed, with a temperature that no cell has", "-12.5", "452", **ONE),
    case("half of a hundredth is rounded up", "19.005", "35.05", **ONE),
    # The meter's guard.
    case("exactly at the lower guard", "95.577351", "25", **METERED),
    case("one digit beyond the lower guard", "95.577350", "25", **METERED),
    case("exactly at the upper guard", "104.422649", "25", **METERED),
    case("one digit beyond the upper guard", "104.422650", "25", **METERED),
    case("exactly at the guard of the input's maximum", "99.422649", "25", **METERED | {"upper": "100"}),
    case("one digit beyond the guard of the input's maximum", "99.422650", "25",
         **METERED | {"upper": "100"}),
    # The thermometer's guard; it moves no maximum.
    case("exactly at the lower guard of the thermometer", "95.577351", "25", **WARMED),
    case("one digit beyond the lower guard of the thermometer", "95.577350", "25", **WARMED),
    case("exactly at the upper guard of the thermometer", "104.422649", "25", **WARMED),
    case("one digit beyond the upper guard of the thermometer", "104.422650", "25", **WARMED),
    case("at the input's maximum no thermometer counts", "100", "25", **WARMED | {"upper": "100"}),
    # Both together, in quadrature.
    case("one digit inside the guard of both", "143.173302", "25", **BOTH),
    case("one digit beyond the guard of both", "143.173301", "25", **BOTH),
    # Instruments that do not reach.
    case("beyond the range of the meter", "61", "45.0"),
    case("beyond the range of the thermometer", "40", "201"),
    case("no decimals, no coefficient to speak of", "40", "31", "40", 4, "-0.05"),
]

if __name__ == "__main__":
    names = [one["name"] for one in CASES]
    assert len(set(names)) == len(names)
    assert {one["expect"]["kind"] for one in CASES} == {"pass", "fail", "inconclusive", "uncounted"}
    lines = ",\n".join("  " + json.dumps(one, ensure_ascii=False) for one in CASES)
    pathlib.Path(__file__).with_suffix(".json").write_text(f"[\n{lines}\n]\n", encoding="utf-8")
