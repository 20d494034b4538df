//! A grid of this program's results, worked again by other people's libraries from the standards.
//!
//! `tests/tools/recompute.py` does the second half; `tests/run` installs what it needs. Each kind of row
//! has its function there, with the tolerance it names.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use fusewright::engineering::ampacity::{
    Insulation, Place, Surroundings, ambient_factor, ampacity, base_ampacity,
};
use fusewright::engineering::cable_choice::{Back, Demand, RunBack, least_size, longest_run};
use fusewright::engineering::conductor::{
    ConductorLoad, ConductorSize, Family, conductor_temperature, resistance_at,
};
use fusewright::engineering::fault::{damage_curve, k_factor, prospective_along, withstand_time};
use fusewright::engineering::mounting::{
    PatternLoad, RestraintClass, fastener_loads, restraint_forces,
};
use fusewright::engineering::path_diagnosis::{
    LoadedDrop, Measured, at_temperature, measured_resistance,
};
use fusewright::engineering::solar::{VOC_COEFFICIENT_SILICON, cold_factor, open_circuit_voltage};
use fusewright::engineering::solar_cell::{
    Daylight, cell_temperature_by_noct, cell_temperature_open_rack,
};
use fusewright::engineering::torque_tool::{TorqueTool, torque_uncertainty};
use fusewright::engineering::uncertainty::{difference, expanded};
use fusewright::engineering::units::*;
use fusewright::engineering::voltage_drop::{Leg, Path as WayOfCurrent, Return, voltage_drop};
use serde_json::{Value, json};

use super::{decimal, size};

/// Kinds of rows there are; the script has one function for each.
const KINDS: usize = 26;

/// The rows, ready to be written.
#[derive(Default)]
struct Grid(Vec<Value>);

impl Grid {
    /// One result with what it was worked from; inputs by the names of the script's arguments.
    fn row(&mut self, kind: &str, inputs: &Value, found: impl Into<Value>) {
        self.0.push(json!({ "kind": kind, "inputs": inputs, "found": found.into() }));
    }
}

#[test]
fn every_result_of_the_grid_is_recomputed_by_other_libraries() {
    let grid = whole_grid();
    assert!(grid.len() > 500, "the grid has {} rows", grid.len());
    let (ended_well, said) = recompute(&grid);
    let expected = format!("rows={} kinds={KINDS} of {KINDS} differing=0", grid.len());
    assert!(ended_well && said.lines().last() == Some(expected.as_str()), "{said}");
}

/// A script that finds nothing would be worthless: one row of each kind, spoilt, is found and named.
#[test]
fn a_wrong_result_of_any_kind_is_found() {
    let mut spoilt: Vec<Value> = Vec::new();
    for row in whole_grid() {
        if spoilt.iter().all(|other| other["kind"] != row["kind"]) {
            spoilt.push(spoil(row));
        }
    }
    let (ended_well, said) = recompute(&spoilt);
    let last = format!("rows={KINDS} kinds={KINDS} of {KINDS} differing={KINDS}");
    assert!(!ended_well && said.lines().last() == Some(last.as_str()), "{said}");
    for row in &spoilt {
        let kind = row["kind"].as_str().unwrap();
        assert!(said.lines().any(|line| line.starts_with(&format!("{kind} {{"))), "{kind}: {said}");
    }
}

/// The same row, a fifth off.
fn spoil(mut row: Value) -> Value {
    let found =
        row["found"].as_str().map_or_else(|| row["found"].as_f64(), |text| text.parse().ok());
    row["found"] = json!(found.unwrap() * 1.2);
    row
}

/// Asks the script; whether all rows agreed, and what it printed.
fn recompute(rows: &[Value]) -> (bool, String) {
    let house = Path::new(env!("CARGO_MANIFEST_DIR"));
    let python = std::env::var_os("FUSEWRIGHT_PYTHON")
        .map_or_else(|| house.join("tests/.venv/bin/python"), PathBuf::from);
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("rows.json");
    fs::write(&file, serde_json::to_vec(rows).unwrap()).unwrap();
    let output = Command::new(&python)
        .arg(house.join("tests/tools/recompute.py"))
        .arg(&file)
        .output()
        .unwrap_or_else(|error| {
            panic!("{} does not start ({error}); tests/run installs it.", python.display())
        });
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.success(), format!("{}{}", text(&output.stderr), text(&output.stdout)))
}

fn whole_grid() -> Vec<Value> {
    let mut grid = Grid::default();
    for rows in [
        cells,
        resistances,
        gauges,
        ampacities,
        temperatures,
        drops,
        sizes,
        short_circuits,
        uncertainties,
        torque_tools,
        conversions,
        solar,
        mounts,
    ] {
        rows(&mut grid);
    }
    grid.0
}

fn resistances(grid: &mut Grid) {
    for label in ["0.5 mm²", "6 mm²", "95 mm²", "18 AWG", "4/0 AWG"] {
        let r20 = size(label).resistance_20c();
        for celsius in [-40.0, 0.0, 20.0, 60.0, 105.0, 160.0] {
            let found = resistance_at(r20, Celsius(celsius)).unwrap();
            grid.row("resistance_at", &json!({ "r20": r20.0, "celsius": celsius }), found.0);
        }
    }
    for (measured_at, wanted) in [(5.0, 20.0), (35.0, 20.0), (20.0, 60.0), (60.0, 85.0)] {
        let measured = Measured { value: Ohms(0.008), uncertainty: Ohms(0.0) };
        let found = at_temperature(measured, Celsius(measured_at), Celsius(wanted)).unwrap();
        let inputs = json!({ "value": 0.008, "measured_at": measured_at, "wanted": wanted });
        grid.row("brought_to", &inputs, found.value.0);
    }
}

/// Gauge numbers as ASTM B258 counts them, by label.
const GAUGES: [(&str, i32); 15] = [
    ("18 AWG", 18),
    ("16 AWG", 16),
    ("14 AWG", 14),
    ("12 AWG", 12),
    ("10 AWG", 10),
    ("8 AWG", 8),
    ("6 AWG", 6),
    ("4 AWG", 4),
    ("3 AWG", 3),
    ("2 AWG", 2),
    ("1 AWG", 1),
    ("1/0 AWG", 0),
    ("2/0 AWG", -1),
    ("3/0 AWG", -2),
    ("4/0 AWG", -3),
];

fn gauges(grid: &mut Grid) {
    for (label, gauge) in GAUGES {
        let area = size(label).area();
        grid.row("awg_area", &json!({ "gauge": gauge }), area.0);
        let circular_mils = area.to_circular_mils();
        grid.row("awg_circular_mils", &json!({ "gauge": gauge }), circular_mils.0);
    }
}

fn outside(ambient: f64, circuits_bundled: u32) -> Surroundings {
    Surroundings { ambient: Celsius(ambient), place: Place::Outside, circuits_bundled }
}

/// The metric sizes that the ampacity table covers.
fn metric_sizes() -> impl Iterator<Item = ConductorSize> {
    ConductorSize::all_metric().skip(1)
}

fn ampacities(grid: &mut Grid) {
    for class in Insulation::ALL {
        for ambient in [-20.0, 20.0, 30.0, 45.0, 55.0] {
            let found = ambient_factor(class, Celsius(ambient), Place::Outside).unwrap();
            let inputs = json!({ "insulation": class.max().0, "ambient": ambient });
            grid.row("ambient_factor", &inputs, found);
        }
    }
    for size in metric_sizes() {
        let area = size.area().0;
        let base = base_ampacity(size, Insulation::C105).unwrap();
        grid.row("metric_ampacity", &json!({ "area": area }), base.0);
        for (ambient, circuits) in [(30.0, 1), (50.0, 3), (70.0, 10), (85.0, 20)] {
            let found = ampacity(size, Insulation::C105, outside(ambient, circuits)).unwrap();
            let inputs = json!({
                "area": area, "insulation": 105, "ambient": ambient, "circuits": circuits,
            });
            grid.row("ampacity", &inputs, found.value.0);
        }
    }
}

fn temperatures(grid: &mut Grid) {
    for (ambient, insulation) in [(30.0, 70.0), (30.0, 105.0), (50.0, 105.0), (-20.0, 125.0)] {
        for share in [0.5, 0.0, 0.25, 0.75, 0.9, 1.0] {
            let load = ConductorLoad {
                ambient: Celsius(ambient),
                insulation_max: Celsius(insulation),
                current: Amps(share * 80.0),
                ampacity: Amps(80.0),
            };
            let found = conductor_temperature(load).unwrap().0;
            let inputs = json!({
                "current": share * 80.0, "iz": 80.0, "ambient": ambient, "insulation": insulation,
            });
            grid.row("conductor_temperature", &inputs, found);
            grid.row("conductor_temperature_bound", &inputs, found);
        }
    }
}

fn drops(grid: &mut Grid) {
    let pairs = [("1.5 mm²", "1.5 mm²"), ("6 mm²", "10 mm²"), ("35 mm²", "16 mm²")];
    for (out, back) in pairs {
        for (current, length) in [(1.0, 0.5), (15.0, 3.0), (60.0, 7.5)] {
            for celsius in [-10.0, 20.0, 75.0] {
                let leg = |label, length| Leg { size: size(label), length: Metres(length) };
                let path = WayOfCurrent {
                    out: leg(out, length),
                    back: Return::Cable(leg(back, 1.5 * length)),
                    joints: Ohms(0.0015),
                };
                let found = voltage_drop(Amps(current), &path, Celsius(celsius)).unwrap();
                let inputs = json!({
                    "current": current,
                    "out_area": size(out).area().0,
                    "out_length": length,
                    "back_area": size(back).area().0,
                    "back_length": 1.5 * length,
                    "joints": 0.0015,
                    "celsius": celsius,
                });
                grid.row("drop", &inputs, found.0);
            }
        }
    }
}

fn demand(current: f64, allowed: f64, ambient: f64) -> Demand {
    Demand {
        current: Amps(current),
        allowed_drop: Volts(allowed),
        insulation: Insulation::C105,
        surroundings: outside(ambient, 1),
        joints: Ohms(0.0),
        protection: None,
    }
}

fn sizes(grid: &mut Grid) {
    for (current, allowed) in [(5.0, 0.36), (20.0, 0.36), (40.0, 0.72), (120.0, 0.5)] {
        for ambient in [20.0, 50.0] {
            let asked = demand(current, allowed, ambient);
            for one_way in [0.5, 2.3, 6.1] {
                let back = Back::SameSize(Metres(one_way));
                let found = least_size(Family::Metric, &asked, Metres(one_way), back).unwrap();
                let inputs = json!({
                    "current": current, "one_way": one_way, "allowed": allowed, "insulation": 105,
                    "ambient": ambient,
                });
                let area = found.map_or(0.0, |found| found.size.area().0);
                // Nothing found is marked by 0; a spoilt row must not start with it.
                grid.row("least_size", &inputs, area);
            }
            for size in metric_sizes() {
                let Some(run) = longest_run(size, &asked, RunBack::SameCable).unwrap() else {
                    continue;
                };
                let inputs = json!({
                    "area": size.area().0, "current": current, "allowed": allowed,
                    "insulation": 105, "ambient": ambient,
                });
                grid.row("longest_run", &inputs, run.0);
            }
        }
    }
}

fn short_circuits(grid: &mut Grid) {
    let sections = [0.0, 0.001_26, 0.004, 0.02];
    let ohms = sections.map(Ohms);
    for (voltage, source) in [(12.6, 0.006), (13.6, 0.002), (25.6, 0.01)] {
        let found = prospective_along(Volts(voltage), Ohms(source), &ohms).unwrap();
        for (at, current) in found.into_iter().enumerate() {
            let inputs =
                json!({ "voltage": voltage, "source": source, "sections": sections, "at": at });
            grid.row("prospective", &inputs, current.0);
        }
    }
    for (initial, limit) in [(70.0, 160.0), (90.0, 250.0), (60.0, 200.0), (30.0, 160.0)] {
        let k = k_factor(Celsius(initial), Celsius(limit)).unwrap();
        grid.row("k_factor", &json!({ "initial": initial, "limit": limit }), k);
        for area in [1.5, 16.0, 70.0] {
            let area = SquareMillimetres(area);
            let curve = damage_curve(k, area, 4).unwrap();
            let times = curve.iter().map(|point| (point.current, point.time));
            let known = withstand_time(k, area, Amps(900.0)).unwrap();
            for (current, time) in times.chain([(Amps(900.0), known)]) {
                let inputs = json!({
                    "initial": initial, "limit": limit, "area": area.0, "current": current.0,
                });
                grid.row("withstand_time", &inputs, time.0);
            }
        }
    }
}

fn uncertainties(grid: &mut Grid) {
    for reading in ["14.50", "0.281", "-0.09", "2.000", "230.5", "0"] {
        for (percent, digits, resolution) in
            [("0.5", 3, "0.01"), ("2.5", 3, "0.01"), ("0.08", 2, "0.001"), ("4", 0, "0.1")]
        {
            let found = expanded(decimal(reading), decimal(percent), digits, decimal(resolution));
            let inputs = json!({
                "reading": reading, "percent": percent, "digits": digits, "resolution": resolution,
            });
            grid.row("expanded", &inputs, found.to_string());
        }
    }
    for (first, second) in [("0.118357", "0.005087"), ("3", "4"), ("1", "1"), ("0", "0.2")] {
        let found = difference(decimal(first), decimal(second));
        let inputs = json!({ "first": first, "second": second });
        grid.row("difference", &inputs, found.to_string());
    }
    for (volts, of_volts) in [(0.281, 0.0051), (0.02, 0.001), (1.5, 0.01)] {
        for (amps, of_amps) in [(30.0, 0.6), (5.0, 0.25), (100.0, 0.0)] {
            let found = measured_resistance(LoadedDrop {
                drop: Volts(volts),
                drop_uncertainty: Volts(of_volts),
                current: Amps(amps),
                current_uncertainty: Amps(of_amps),
            });
            let inputs = json!({
                "volts": volts, "of_volts": of_volts, "amps": amps, "of_amps": of_amps,
            });
            grid.row("quotient_uncertainty", &inputs, found.unwrap().uncertainty.0);
        }
    }
}

fn torque_tools(grid: &mut Grid) {
    let tools = [
        (TorqueTool::SettingGraduated, "4"),
        (TorqueTool::IndicatingBar, "6"),
        (TorqueTool::SettingScrewdriver, "6"),
        (TorqueTool::IndicatingElectronic, "4"),
    ];
    for (tool, narrow) in tools {
        for torque in ["1.2", "10", "10.1", "24.6", "120"] {
            let found = torque_uncertainty(tool, decimal(torque)).unwrap();
            let inputs = json!({ "torque": torque, "wide": "6", "narrow": narrow });
            grid.row("torque_uncertainty", &inputs, found.to_string());
        }
    }
}

fn conversions(grid: &mut Grid) {
    let foot = "pound_force * foot";
    let inch = "pound_force * inch";
    let newton_metre = "newton * meter";
    for value in [0.1, 1.0, 4.0, 24.6, 333.3] {
        let converted = [
            (newton_metre, foot, NewtonMetres(value).to_pound_force_feet()),
            (newton_metre, inch, NewtonMetres(value).to_pound_force_inches()),
            (foot, newton_metre, NewtonMetres::from_pound_force_feet(value).0),
            (inch, newton_metre, NewtonMetres::from_pound_force_inches(value).0),
            ("newton", "pound_force", Newtons(value).to_pounds_force()),
            ("pound_force", "newton", Newtons::from_pounds_force(value).0),
            ("meter", "foot", Metres(value).to_feet()),
            ("foot", "meter", Metres::from_feet(value).0),
            ("inch", "millimeter", Millimetres::from_inches(value).0),
            ("meter", "millimeter", Metres(value).to_millimetres().0),
            ("millimeter", "meter", Millimetres(value).to_metres().0),
            ("ohm", "milliohm", Ohms(value).to_milliohms()),
            ("milliohm", "ohm", Ohms::from_milliohms(value).0),
            ("circular_mil", "millimeter ** 2", CircularMils(value).to_square_millimetres().0),
            ("millimeter ** 2", "circular_mil", SquareMillimetres(value).to_circular_mils().0),
        ];
        for (from_unit, to_unit, found) in converted {
            let inputs = json!({ "value": value, "from_unit": from_unit, "to_unit": to_unit });
            grid.row("unit", &inputs, found);
        }
    }
}

/// The module of the published check values: 21.587 V at 25 °C (pvlib 0.16.1, computed). The linear law
/// takes the table's implied −0.40 %/K; the table itself is held at the lower end of its bands.
fn solar(grid: &mut Grid) {
    let standard = Volts(21.587);
    for celsius in [-25.0, -10.0, 0.0, 15.0, 25.0, 45.0, 60.0] {
        let found = open_circuit_voltage(standard, VOC_COEFFICIENT_SILICON, Celsius(celsius));
        grid.row("solar_voltage", &json!({ "celsius": celsius }), found.unwrap().0);
    }
    for celsius in [-40.0, -25.0, -10.0, 0.0, 10.0, 20.0, 25.0] {
        let found = standard.0 * cold_factor(Celsius(celsius)).unwrap();
        grid.row("solar_voltage", &json!({ "celsius": celsius }), found);
    }
}

fn cells(grid: &mut Grid) {
    for (air, irradiance) in [(20.0, 800.0), (-10.0, 300.0), (35.0, 1000.0), (10.0, 0.0)] {
        let daylight = Daylight { air: Celsius(air), irradiance: WattsPerSquareMetre(irradiance) };
        for noct in [42.0, 45.0, 48.0] {
            let found = cell_temperature_by_noct(daylight, Celsius(noct)).unwrap();
            let inputs = json!({ "air": air, "irradiance": irradiance, "noct": noct });
            grid.row("cell_by_noct", &inputs, found.0);
        }
        for wind in [0.0, 2.5, 12.0] {
            let found = cell_temperature_open_rack(daylight, MetresPerSecond(wind)).unwrap();
            let inputs = json!({ "air": air, "irradiance": irradiance, "wind": wind });
            grid.row("cell_open_rack", &inputs, found.0);
        }
    }
}

fn mounts(grid: &mut Grid) {
    for (mass, level) in [(25.0, 20.0), (12.0, 8.0), (36.0, 6.6)] {
        let own = RestraintClass::Own { forward_g: level, side_g: 0.0 };
        let force = restraint_forces(Kilograms(mass), own).unwrap().forward;
        grid.row("restraint", &json!({ "mass": mass, "level": level }), force.0);
        for (front, rear, height, spacing) in
            [(2, 2, 150.0, 300.0), (3, 2, 90.0, 220.0), (1, 4, 0.5, 40.0)]
        {
            let found = fastener_loads(PatternLoad {
                force,
                fasteners: front + rear,
                rear_fasteners: rear,
                height: Millimetres(height),
                row_spacing: Millimetres(spacing),
            })
            .unwrap();
            let places: Vec<f64> =
                (0..front).map(|_| 0.0).chain((0..rear).map(|_| spacing)).collect();
            let shear = json!({ "force": force.0, "xs": places, "ys": places });
            grid.row("shear_share", &shear, found.shear.0);
            let tension = json!({ "force": force.0, "height": height, "ys": places });
            grid.row("tension_share", &tension, found.tension.0);
        }
    }
}
