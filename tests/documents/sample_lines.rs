//! The tables of the invented job: circuits, fasteners, measurements and the rest.

use fusewright::documents::gauge::{Gauge, GaugeLimits};
use fusewright::documents::paper::{
    CircuitLine, ConcessionLine, DefectLine, FastenerLine, FindingLine, FindingOutcome,
    InspectionLine, InspectionOutcome, InstrumentLine, MeasurementGroup, MeasurementLine,
    SupersededLine, TerminalPosition, TerminalRow, VerdictWord,
};

const FITTER: &str = "R. Lindqvist";
const METER: &str = "M-07";
const WRENCH: &str = "W-03";

pub(super) fn s(text: &str) -> String {
    text.to_owned()
}

/// A line of text in its parts.
pub(super) fn list(line: &str) -> Vec<String> {
    line.split(" | ").map(s).collect()
}

/// A line of a table in exactly so many cells.
pub(super) fn cells<const N: usize>(line: &str) -> [String; N] {
    list(line).try_into().unwrap()
}

pub(super) fn circuits() -> Vec<CircuitLine> {
    let rows = [
        "Supply + | Starter battery, positive post | Dock, terminal 1 | 16 mm² Cu, class 5 | 3.20 m | MIDI | 80 A | 140 mm | 0.19 V (1.6 %) | 0.36 V (3 %)",
        "Return | Dock, terminal 2 | Starter battery, negative post | 16 mm² Cu, class 5 | 3.45 m | none |  |  | 0.20 V (1.7 %) | 0.36 V (3 %)",
        "Sense | Ignition feed, fuse box | Dock, terminal 3 | 0.75 mm² Cu, class 5 | 2.60 m | blade, standard | 3 A | 60 mm | 0.01 V (0.1 %) | 0.24 V (2 %)",
        "Solar input | Roof gland | Dock, terminal 4 | 6 mm² Cu, class 5 | 4.10 m | blade, standard | 20 A | 90 mm | 0.22 V (1.2 %) | 0.54 V (3 %)",
        "Load feed | Dock, terminal 6 | Load box | 10 mm² Cu, class 5 | 1.15 m | MIDI | 60 A | 80 mm | 0.09 V (0.8 %) | 0.36 V (3 %)",
    ];
    rows.map(|row| {
        let [purpose, from, to, cable, length, form, rating, distance, drop, allowed] = cells(row);
        CircuitLine {
            purpose,
            from,
            to,
            cable,
            insulation: s("105 °C, thin wall"),
            length,
            length_convention: s("one way"),
            fuse_form: form,
            fuse_rating: rating,
            fuse_distance: distance,
            drop_calculated: drop,
            drop_allowed: allowed,
        }
    })
    .to_vec()
}

pub(super) fn fasteners() -> Vec<FastenerLine> {
    let rows = [
        "Dock plate to load floor | M8, class 8.8, plate washer 30 mm | 4 | 22.5 N·m ± 2.5 | 22.3 to 22.6 N·m",
        "Second battery clamp | M6, class 8.8 | 2 | 9.0 N·m ± 1.0 | 9.0 to 9.2 N·m",
        "Dock studs 1 and 2 | M8 brass nut, spring washer | 2 | 10.0 N·m ± 1.0 | 10.1 to 10.4 N·m",
    ];
    rows.map(|row| {
        let [place, fastener, count, torque, reached] = cells(row);
        FastenerLine { place, fastener, count, torque, reached, tool: s(WRENCH) }
    })
    .to_vec()
}

pub(super) fn terminals() -> Vec<TerminalRow> {
    let rows = [
        "1 | BAT + | RD | Supply +, 16 mm²",
        "2 | BAT − | BK | Return, 16 mm²",
        "3 | IGN | BU | Sense, 0.75 mm²",
        "4 | PV + | BN | Solar, 6 mm²",
        "5 | PV − | BKWH | Solar, 6 mm²",
        "6 | OUT + | OG | Load, 10 mm²",
        "7 | OUT − | BK | Load return, 10 mm²",
        "8 | BOND | GNYE | Chassis bond, 6 mm²",
    ];
    let positions = rows.map(|row| {
        let [position, label, colour, conductor] = cells(row);
        TerminalPosition { position, label, colour, conductor }
    });
    vec![TerminalRow {
        place: s("Dock, front row"),
        read_back: s("Read back left to right by R. Lindqvist, 20 November 2026, 10:20 UTC"),
        positions: positions.to_vec(),
    }]
}

/// Title, lower limit, upper limit, decimals, unit, U, reading.
type Reading = (&'static str, Option<f64>, Option<f64>, usize, &'static str, f64, f64);

const MOUNT: [Reading; 10] = [
    ("Plate bolt, front left", Some(20.0), Some(25.0), 1, "N·m", 0.5, 22.4),
    ("Plate bolt, front right", Some(20.0), Some(25.0), 1, "N·m", 0.5, 22.3),
    ("Plate bolt, rear left", Some(20.0), Some(25.0), 1, "N·m", 0.5, 22.6),
    ("Plate bolt, rear right", Some(20.0), Some(25.0), 1, "N·m", 0.5, 22.5),
    ("Battery clamp, left", Some(8.0), Some(10.0), 1, "N·m", 0.3, 9.2),
    ("Battery clamp, right", Some(8.0), Some(10.0), 1, "N·m", 0.3, 9.0),
    ("Clearance, left of the dock", Some(30.0), None, 0, "mm", 1.0, 41.0),
    ("Clearance, right of the dock", Some(30.0), None, 0, "mm", 1.0, 38.0),
    ("Clearance above the handle", Some(60.0), None, 0, "mm", 1.0, 74.0),
    ("Bend radius at the bulkhead", Some(45.0), None, 0, "mm", 2.0, 52.0),
];

const TERMINATE: [Reading; 16] = [
    ("Crimp height, battery end", Some(6.9), Some(7.3), 2, "mm", 0.04, 7.08),
    ("Crimp height, dock end", Some(6.9), Some(7.3), 2, "mm", 0.04, 7.11),
    ("Crimp height, return, battery end", Some(6.9), Some(7.3), 2, "mm", 0.04, 7.09),
    ("Crimp height, return, dock end", Some(6.9), Some(7.3), 2, "mm", 0.04, 7.06),
    ("Stud nut, terminal 1", Some(9.0), Some(11.0), 1, "N·m", 0.3, 10.4),
    ("Stud nut, terminal 2", Some(9.0), Some(11.0), 1, "N·m", 0.3, 10.1),
    ("Stud nut, terminal 4", Some(3.5), Some(4.5), 1, "N·m", 0.2, 4.1),
    ("Stud nut, terminal 5", Some(3.5), Some(4.5), 1, "N·m", 0.2, 4.0),
    ("Stud nut, terminal 6", Some(9.0), Some(11.0), 1, "N·m", 0.3, 10.0),
    ("Stud nut, terminal 7", Some(9.0), Some(11.0), 1, "N·m", 0.3, 9.9),
    ("Stud nut, terminal 8", Some(9.0), Some(11.0), 1, "N·m", 0.3, 10.2),
    ("Post clamp, positive", Some(5.0), Some(7.0), 1, "N·m", 0.3, 6.1),
    ("Post clamp, negative", Some(5.0), Some(7.0), 1, "N·m", 0.3, 6.0),
    ("Fuse holder, supply, inlet", Some(3.0), Some(4.0), 1, "N·m", 0.2, 3.5),
    ("Fuse holder, supply, outlet", Some(3.0), Some(4.0), 1, "N·m", 0.2, 3.6),
    (
        "Supply fuse, distance from the post along the cable as it lies",
        None,
        Some(200.0),
        0,
        "mm",
        3.0,
        140.0,
    ),
];

const PROVE: [Reading; 18] = [
    ("Starter battery at rest", Some(12.4), Some(13.0), 2, "V", 0.06, 12.62),
    ("Starter battery, charging", Some(13.8), Some(14.8), 2, "V", 0.07, 14.31),
    ("Feed cable, end to end", None, Some(6.2), 1, "mΩ", 0.2, 5.8),
    ("Return cable, end to end", None, Some(6.6), 1, "mΩ", 0.2, 5.9),
    ("Voltage drop, positive path under load", None, Some(0.36), 3, "V", 0.01, 0.31),
    ("Voltage drop, return path under load", None, Some(0.36), 3, "V", 0.01, 0.302),
    ("Chassis bond", None, Some(5.0), 1, "mΩ", 0.3, 2.1),
    ("Charge current", Some(25.0), Some(31.0), 1, "A", 0.6, 28.4),
    ("Sense wire, engine running", Some(13.2), Some(14.9), 2, "V", 0.07, 14.28),
    ("Sense wire, engine off", None, Some(0.5), 2, "V", 0.02, 0.04),
    ("Sense wire, lowest while cranking", Some(8.5), None, 2, "V", 0.05, 10.32),
    ("Solar input, open circuit, at 12 °C", Some(18.0), Some(28.0), 2, "V", 0.1, 22.14),
    ("Insulation, supply to chassis, fuses out", Some(1.0), None, 1, "MΩ", 0.1, 48.2),
    ("Insulation, solar to chassis, fuses out", Some(1.0), None, 1, "MΩ", 0.1, 51.7),
    ("Standing current, asleep", None, Some(25.0), 1, "mA", 0.5, 11.8),
    ("Temperature rise, terminal 1, ten minutes at load", None, Some(30.0), 1, "K", 2.2, 12.4),
    ("Temperature rise, terminal 2, ten minutes at load", None, Some(30.0), 1, "K", 2.2, 11.9),
    ("Temperature rise, supply fuse, ten minutes at load", None, Some(40.0), 1, "K", 2.2, 24.6),
];

pub(super) fn measurements() -> Vec<MeasurementGroup> {
    let protect = vec![
        read_back(34, "Supply fuse, rating read back", "80", "A"),
        read_back(35, "Sense fuse, rating read back", "3", "A"),
        read_back(36, "Terminal order, dock front row, left to right", "1 2 3 4 5 6 7 8", ""),
    ];
    vec![
        group("Mount", 7, &MOUNT),
        group("Terminate", 18, &TERMINATE),
        MeasurementGroup { phase: s("Protect"), lines: protect },
        group("Prove", 44, &PROVE),
    ]
}

fn group(phase: &str, first: usize, readings: &[Reading]) -> MeasurementGroup {
    let lines = readings.iter().zip(first..).map(|(reading, number)| measurement(number, reading));
    MeasurementGroup { phase: s(phase), lines: lines.collect() }
}

fn measurement(number: usize, reading: &Reading) -> MeasurementLine {
    let &(title, low, high, decimals, unit, uncertainty, value) = reading;
    let limit = match (low, high) {
        (Some(low), Some(high)) => format!("{low:.decimals$} to {high:.decimals$} {unit}"),
        (Some(low), None) => format!("at least {low:.decimals$} {unit}"),
        (None, high) => format!("at most {:.decimals$} {unit}", high.unwrap_or_default()),
    };
    let margin =
        low.map_or(f64::MAX, |low| value - low).min(high.map_or(f64::MAX, |high| high - value));
    MeasurementLine {
        number: number.to_string(),
        title: s(title),
        limit,
        value: format!("{value:.decimals$}"),
        unit: s(unit),
        margin: Some(format!("{margin:.decimals$} {unit}")),
        instrument: Some(s(if unit == "N·m" { WRENCH } else { METER })),
        uncertainty: Some(format!("{uncertainty} {unit}")),
        verdict: VerdictWord::Pass,
        gauge: Gauge::new(GaugeLimits { low, high }, uncertainty, value),
        by: s(FITTER),
        at: format!("20 Nov 2026, {:02}:{:02} UTC", 9 + number / 14, number * 7 % 60),
        remark: (number == 48).then(|| s("load 28.4 A; second reading")),
    }
}

fn read_back(number: usize, title: &str, value: &str, unit: &str) -> MeasurementLine {
    MeasurementLine {
        number: number.to_string(),
        title: s(title),
        limit: s("as planned"),
        value: s(value),
        unit: s(unit),
        margin: None,
        instrument: None,
        uncertainty: None,
        verdict: VerdictWord::Pass,
        gauge: None,
        by: s(FITTER),
        at: s("20 Nov 2026, 10:20 UTC"),
        remark: None,
    }
}

pub(super) fn inspections() -> Vec<InspectionLine> {
    [
        ("1", "Before you start", "Vehicle and kit identity confirmed", None),
        ("2", "Before you start", "Condition of the load space photographed", Some("Photo 1")),
        (
            "3",
            "Before you start",
            "Fault memory and warning lamps noted",
            Some("No lamp lit; no code stored"),
        ),
        ("4", "Before you start", "Both batteries isolated, negative first, and proved dead", None),
        ("5", "Mount", "What lies under the load floor seen from below", Some("Photo 2")),
        ("6", "Mount", "Holes deburred, bare metal protected against rust", None),
        ("17", "Route", "Path of the supply cable photographed", Some("Photo 3")),
        ("29", "Terminate", "Every crimp pulled by hand", None),
        ("33", "Terminate", "Covers over all terminals", None),
        ("60", "Hand over", "Isolation shown to the customer", None),
        ("61", "Hand over", "Tools and lamps accounted for", None),
    ]
    .iter()
    .map(|&(number, phase, title, remark)| inspection(number, phase, title, remark))
    .chain([InspectionLine {
        outcome: InspectionOutcome::Conceded,
        ..inspection("16", "Route", "Clip spacing behind the headlining seen", None)
    }])
    .collect()
}

fn inspection(number: &str, phase: &str, title: &str, remark: Option<&str>) -> InspectionLine {
    InspectionLine {
        number: s(number),
        phase: s(phase),
        title: s(title),
        outcome: InspectionOutcome::Done,
        remark: remark.map(s),
        by: s(FITTER),
        at: s("19 Nov 2026, 08:40 UTC"),
    }
}

pub(super) fn findings() -> Vec<FindingLine> {
    let rows = [
        "Load floor, pull-through at the rear fasteners | 78 % | 80 % | 2.34 kN against 3.00 kN = 78 % | EN 1993-1-8, table 3.4 (seen in a public copy)",
        "Supply, voltage drop | 0.39 V | 0.72 V | I·(R_out + R_back) = 60.0 A · (3.10 + 3.40) mΩ = 0.39 V | IEC 60228 class 5, 105 °C law",
        "Supply, fuse against cable | 80 A | at most 100 A | In ≤ Iz: 80 A against 100 A | IEC 60364-4-43, 433.1",
        "Supply, polarity of the plug | – |  |  | kit DOCK-30, page 4",
        "Standing current, days to half charge | 168 d | at least 30 d | 95 Ah · 0.5 / 11.8 mA / 24 = 168 d | kit DOCK-30, page 12",
    ];
    let mut findings = rows.map(finding).to_vec();
    findings[0].outcome = FindingOutcome::Caution;
    findings[0].acknowledgement = Some(s("Accepted by T. Brennagh, 18 November 2026: plate \
                                          washers of 30 mm ordered in place of the maker's 24 mm."));
    findings
}

fn finding(row: &str) -> FindingLine {
    let [title, value, limit, formula, source] = cells(row);
    let (outcome, acknowledgement) = (FindingOutcome::Ok, None);
    FindingLine { title, value, limit, outcome, formula, source, acknowledgement }
}

pub(super) fn concessions() -> Vec<ConcessionLine> {
    vec![ConcessionLine {
        about: s("16"),
        what: s("Clip spacing behind the headlining seen"),
        reason: s("The headlining is glued; the run was felt by hand and is sleeved throughout."),
        by: s("T. Brennagh"),
        at: s("20 Nov 2026, 15:10 UTC"),
    }]
}

pub(super) fn defects() -> Vec<DefectLine> {
    vec![DefectLine {
        number: s("D1"),
        what: s("Feed cable, end to end: 7.4 mΩ, above the limit of 6.2 mΩ"),
        found: s("R. Lindqvist, 20 Nov 2026, 11:21 UTC"),
        corrected: s("Dock stud re-made; a washer lay under the lug."),
        closed: s("5.8 mΩ, pass, R. Lindqvist, 11:37 UTC"),
    }]
}

pub(super) fn superseded() -> Vec<SupersededLine> {
    let line = |number: &str, title: &str, value: &str, verdict| SupersededLine {
        number: s(number),
        title: s(title),
        value: s(value),
        limit: s("at most 6.2 mΩ"),
        verdict,
        by: s(FITTER),
        at: s("20 Nov 2026, 11:21 UTC"),
        replaced_by: s("5.8 mΩ at 11:37"),
    };
    vec![
        line("46", "Feed cable, end to end", "7.4 mΩ", VerdictWord::Fail),
        line("46", "Feed cable, end to end", "6.1 mΩ", VerdictWord::Inconclusive),
    ]
}

pub(super) fn instruments() -> Vec<InstrumentLine> {
    let rows = [
        "M-07 | Multimeter, 3½ digits, ± (0.5 % + 3 digits) | 88-20417 | 2 March 2026 | 2 March 2027 | K-26-1180",
        "W-03 | Torque wrench 5 to 50 N·m, class ± 4 % | TW-5511 | 14 June 2026 | 14 June 2027 | K-26-2204",
    ];
    rows.map(|row| {
        let [name, kind, serial, calibrated, due, certificate] = cells(row);
        InstrumentLine { name, kind, serial, calibrated, due, certificate }
    })
    .to_vec()
}
