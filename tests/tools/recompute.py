"""Recomputes what the program worked out, from the standards and with other people's libraries.

    recompute.py ROWS.json

The file holds a list of rows, each with a `kind`, its `inputs` and what the program `found`. Every
kind has one function here, written from the standard it names and not from the program; it gives
the lowest and the highest figure that would do. Prints each row that lies outside, then one line
`rows=… kinds=… differing=…`, and ends with 0 when none differs, with 1 otherwise.
"""

import json
import math
import sys
from collections import Counter

import numpy as np
import pint
import pvlib
from scipy import integrate, optimize, stats

UNITS = pint.UnitRegistry()

# IEC 60228, table 3, class 5, plain copper, highest resistance at 20 °C: mm² to Ω/km.
CLASS_5 = {
    0.5: 39.0, 0.75: 26.0, 1: 19.5, 1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.30, 10: 1.91, 16: 1.21,
    25: 0.780, 35: 0.554, 50: 0.386, 70: 0.272, 95: 0.206,
}
# 33 CFR 183.425, table 5, 105 °C column: gauge number (1/0 is 0, 4/0 is -3) to A.
CFR_105 = {
    18: 20, 16: 25, 14: 35, 12: 45, 10: 60, 8: 80, 6: 120, 4: 160, 3: 180, 2: 210, 1: 245, 0: 285,
    -1: 330, -2: 385, -3: 445,
}
# ISO 10133:2012, table A.2, 105 °C column (from memory): mm² to A.
ISO_105 = {
    0.75: 16, 1: 20, 1.5: 25, 2.5: 35, 4: 45, 6: 60, 10: 90, 16: 130, 25: 170, 35: 210, 50: 270,
    70: 330, 95: 390,
}
# IEC 60364-5-52, table B.52.17, item 1 (from memory): circuits bunched to factor.
BUNCHED = {
    1: 1.00, 2: 0.80, 3: 0.70, 4: 0.65, 5: 0.60, 6: 0.57, 7: 0.54, 8: 0.52, 9: 0.50, 12: 0.45,
    16: 0.41, 20: 0.38,
}
RESISTIVITY_20 = 17.241e-6  # Ω·mm, annealed copper (IEC 60028)
ALPHA_20 = 0.00393  # 1/K (IEC 60028), rounded: the program has 1/254.5
HEAT_PER_VOLUME = 3.45e-3  # J/(K·mm³), copper (IEC 60364-5-54, annex A)


def near(figure, relative=1e-9, absolute=0.0):
    """The figures that count as this one."""
    room = abs(figure) * relative + absolute
    return figure - room, figure + room


def warming(celsius):
    """R(T)/R20 in the form with the coefficient (IEC 60228, annex B)."""
    return 1 + ALPHA_20 * (celsius - 20)


def resistance_at(r20, celsius):
    return near(r20 * warming(celsius), relative=3e-4)


def brought_to(value, measured_at, wanted):
    return near(value / warming(measured_at) * warming(wanted), relative=5e-4)


def awg_diameter_mm(gauge):
    """ASTM B258: 39 equal steps from 0.0050 in (36 AWG) to 0.4600 in (4/0)."""
    step = (0.46 / 0.005) ** (1 / 39)
    return 0.005 * step ** (36 - gauge) * 25.4


def awg_area(gauge):
    radius = awg_diameter_mm(gauge) * UNITS.millimeter / 2
    return near((math.pi * radius**2).to("mm**2").magnitude)


def awg_circular_mils(gauge):
    return near((awg_diameter_mm(gauge) / 0.0254) ** 2)


def gauge_ampacity_by_area(area):
    """The 105 °C column as a line over the area on logarithmic scales, carried on downwards."""
    areas = sorted((math.log(awg_area(gauge)[0]), math.log(amps)) for gauge, amps in CFR_105.items())
    x, y = np.array(areas).T
    wanted = math.log(area)
    if wanted < x[0]:
        return math.exp(y[0] + (wanted - x[0]) * (y[1] - y[0]) / (x[1] - x[0]))
    return math.exp(np.interp(wanted, x, y))


def base_105(area):
    return min(ISO_105[area], gauge_ampacity_by_area(area))


def metric_ampacity(area):
    return near(base_105(area), relative=1e-7)


def balance(current, r_hot, conductance, ambient, temperature):
    """Heat made less heat given off, each W/m."""
    return current**2 * r_hot - conductance * (temperature - ambient)


def ambient_factor(insulation, ambient):
    """The current that heats to the same temperature in other air, by the heat balance."""
    conductance = 1.0 / (insulation - 30)  # 1 A heats to the insulation's temperature at 30 °C
    factor = optimize.brentq(
        lambda current: balance(current, 1.0, conductance, ambient, insulation), 0, 10, xtol=1e-14
    )
    return near(factor, relative=1e-9)


def ampacity(area, insulation, ambient, circuits):
    listed = min(number for number in BUNCHED if number >= circuits)
    factor = math.sqrt((insulation - ambient) / (insulation - 30))
    return near(base_105(area) * factor * BUNCHED[listed], relative=1e-7)


def steady(current, iz, ambient, insulation, slope):
    """Temperature at which heat made equals heat given off; `slope` 1 lets R follow T."""
    r_limit = 1 + slope * ALPHA_20 * (insulation - 20)
    conductance = iz**2 * r_limit / (insulation - ambient)
    return optimize.brentq(
        lambda t: balance(current, 1 + slope * ALPHA_20 * (t - 20), conductance, ambient, t),
        ambient - 1, 2000, xtol=1e-10,
    )


def conductor_temperature(current, iz, ambient, insulation):
    """With the resistance held at that of the hot conductor, as the law says."""
    return near(steady(current, iz, ambient, insulation, slope=0), absolute=1e-6)


def conductor_temperature_bound(current, iz, ambient, insulation):
    """With the resistance following: the law is on the warm side, by a seventh of the rise at most."""
    true = steady(current, iz, ambient, insulation, slope=1)
    return true - 1e-6, true + (insulation - ambient) / 7


def series(currents_in, resistances):
    """Node potentials of a chain against its grounded end, by nodal analysis."""
    count = len(resistances)
    matrix = np.zeros((count, count))
    for node, resistance in enumerate(resistances):
        matrix[node, node] += 1 / resistance
        if node + 1 < count:
            matrix[node, node + 1] -= 1 / resistance
            matrix[node + 1, node] -= 1 / resistance
            matrix[node + 1, node + 1] += 1 / resistance
    sources = np.zeros(count)
    sources[0] = currents_in
    return np.linalg.solve(matrix, sources)


def drop(current, out_area, out_length, back_area, back_length, joints, celsius):
    legs = [(out_area, out_length), (back_area, back_length)]
    chain = [CLASS_5[area] / 1000 * length * warming(celsius) for area, length in legs]
    return near(series(current, [*chain, joints])[0], relative=3e-4)


def least_size(current, one_way, allowed, insulation, ambient):
    """Brute force over the metric sizes, 105 °C insulation, out and back."""
    for area in sorted(ISO_105):
        iz = base_105(area) * math.sqrt((insulation - ambient) / (insulation - 30))
        if current > iz:
            continue
        warm = steady(current, iz, ambient, insulation, slope=0)
        if current * 2 * one_way * CLASS_5[area] / 1000 * warming(warm) <= allowed:
            return near(area)
    return near(0)


def longest_run(area, current, allowed, insulation, ambient):
    iz = base_105(area) * math.sqrt((insulation - ambient) / (insulation - 30))
    warm = steady(current, iz, ambient, insulation, slope=0)
    per_metre = CLASS_5[area] / 1000 * warming(warm)
    run = optimize.brentq(lambda length: current * 2 * length * per_metre - allowed, 0, 1e6)
    return near(run, relative=3e-4)


def prospective(voltage, source, sections, at):
    """Loop current by solving the mesh: source and sections in series, shorted behind `at`."""
    loop = np.array([[source + sum(sections[: at + 1])]])
    return near(float(np.linalg.solve(loop, [voltage])[0]))


def heat_taken_up(initial, limit):
    """∫ Qc/ρ(T) dT between two temperatures: k² by adiabatic heating (IEC 60364-5-54, annex A)."""
    return integrate.quad(
        lambda t: HEAT_PER_VOLUME / (RESISTIVITY_20 * warming(t)), initial, limit
    )[0]


def k_factor(initial, limit):
    return near(math.sqrt(heat_taken_up(initial, limit)), relative=2.5e-3)


def withstand_time(initial, limit, area, current):
    """How long until the limit, with the current density constant."""
    return near(heat_taken_up(initial, limit) * area**2 / current**2, relative=5e-3)


def expanded(reading, percent, digits, resolution):
    """Twice the standard deviation of a rectangle (JCGM 100, 4.3.7); rounded up at 10^-6."""
    half_width = abs(float(reading)) * float(percent) / 100 + digits * float(resolution)
    deviation = stats.uniform(loc=-half_width, scale=2 * half_width).std() if half_width else 0.0
    return 2 * deviation - 1e-9, 2 * deviation + 1e-6 + 1e-9


def difference(first, second):
    root = float(np.hypot(float(first), float(second)))
    return root - 1e-9, root + 1e-6 + 1e-9


def torque_uncertainty(torque, wide, narrow):
    """ISO 6789: the wide deviation up to and including 10 N·m, the narrow one above."""
    percent = wide if float(torque) <= 10 else narrow
    return expanded(torque, percent, 0, "0")


def quotient_uncertainty(volts, of_volts, amps, of_amps):
    """By sensitivity coefficients, taken numerically (JCGM 100, 5.1.3)."""
    slopes = optimize.approx_fprime(
        np.array([volts, amps]), lambda p: p[0] / p[1], epsilon=np.array([1e-7, 1e-6])
    )
    return near(float(np.linalg.norm(slopes * np.array([of_volts, of_amps]))), relative=1e-5)


def unit(value, from_unit, to_unit):
    return near(UNITS.Quantity(value, from_unit).to(to_unit).magnitude, relative=1e-12)


def restraint(mass, level):
    force = UNITS.Quantity(mass, "kg") * level * UNITS.Quantity(1, "standard_gravity")
    return near(force.to("newton").magnitude, relative=1e-12)


def diode_voltage(celsius):
    """Open-circuit voltage by the single-diode equation (De Soto) of the published check module."""
    parameters = pvlib.pvsystem.calcparams_desoto(
        1000, celsius, alpha_sc=0.003, a_ref=0.97, I_L_ref=5.96, I_o_ref=1.27e-9, R_sh_ref=250,
        R_s=0.20,
    )
    return float(pvlib.pvsystem.singlediode(*parameters)["v_oc"])


def solar_voltage(celsius):
    """A linear law is no diode: within 1.5 %."""
    return near(diode_voltage(celsius), relative=0.015)


def cell_by_noct(air, irradiance, noct):
    return near(float(pvlib.temperature.ross(irradiance, air, noct)), absolute=1e-9)


def cell_open_rack(air, irradiance, wind):
    rack = pvlib.temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"]["open_rack_glass_glass"]
    return near(float(pvlib.temperature.sapm_cell(irradiance, air, wind, **rack)), absolute=1e-9)


def shear_share(force, xs, ys):
    """The least shares of a force that add up to it: one fastener's."""
    shares = np.linalg.lstsq(np.ones((1, len(xs))), np.array([force]), rcond=None)[0]
    assert np.allclose(shares, shares[0]) and len(xs) == len(ys)
    return near(float(shares[0]), relative=1e-9)


def tension_share(force, height, ys):
    """The least tensions that hold the moment about the front row: the worst fastener's."""
    levers = np.array([ys]) - min(ys)
    tensions = np.linalg.lstsq(levers, np.array([force * height]), rcond=None)[0]
    return near(float(tensions.max()), relative=1e-9)


KINDS = {
    function.__name__: function
    for function in (
        resistance_at, brought_to, awg_area, awg_circular_mils, metric_ampacity, ambient_factor,
        ampacity, conductor_temperature, conductor_temperature_bound, drop, least_size,
        longest_run, prospective, k_factor, withstand_time, expanded, difference,
        torque_uncertainty, quotient_uncertainty, unit, restraint, solar_voltage, cell_by_noct,
        cell_open_rack, shear_share, tension_share,
    )
}


def differs(row):
    """What is wrong with a row, or nothing."""
    lowest, highest = KINDS[row["kind"]](**row["inputs"])
    found = float(row["found"])
    if lowest <= found <= highest:  # false for not-a-number too
        return None
    return f"{row['kind']} {row['inputs']}: found {found}, recomputed {lowest} to {highest}"


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        rows = json.load(file)
    wrong = [said for said in map(differs, rows) if said]
    print("\n".join(wrong))
    kinds = Counter(row["kind"] for row in rows)
    print(f"rows={len(rows)} kinds={len(kinds)} of {len(KINDS)} differing={len(wrong)}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
