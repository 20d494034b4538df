//! An invented job, written out as a certificate: every section filled, more than forty
//! measurements, long names. No place, person or product in it exists.

use fusewright::documents::drawing::{
    PaperDrawing, fastener_pattern_on_paper, fuse_curve_on_paper,
};
use fusewright::documents::paper::{
    CertificatePaper, Dates, DrawnSignature, Fitted, NextInspection, PaperKind, Party, Proof,
    SignatureLine, Supply, TapeGroup, TapeMark, VehiclePaper, grouped_hex,
};
use fusewright::documents::voice::Told;
use fusewright::domain::certificate::PaperSize;
use fusewright::domain::curves::circuit_curves;
use fusewright::domain::figures;
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::plan_file::read_plan;
use time::macros::datetime;

use super::sample_lines::{
    cells, circuits, concessions, defects, fasteners, findings, inspections, instruments, list,
    measurements, s, superseded, terminals,
};

/// The whole paper.
pub(super) fn paper() -> CertificatePaper {
    CertificatePaper {
        kind: PaperKind::Certificate,
        size: PaperSize::A4,
        told: Told::default(),
        title: s("Certificate of installation and test"),
        number: s("HB-2026-00417-K"),
        job: s("2417"),
        replaces: None,
        again: None,
        issued_at: datetime!(2026-11-20 15:32:10 UTC),
        workshop: party("Hollow Bay Vehicle Electrics | 3 Quarry Lane, Hollow Bay | 0500 555 0142"),
        logo: None,
        customer: party("Marta Obuya-Lindqvist | Obuya Joinery, 18 Mill Row | 0500 555 0177"),
        vehicle: vehicle(),
        place_of_work: s("Workshop, bay 2"),
        dates: dates(),
        fitted: vec![fitted()],
        supply: supply(),
        extent: s("The dock, its mounting and its circuits, from the battery posts."),
        limitations: limitations(),
        tape: tape(),
        circuits: circuits(),
        fasteners: fasteners(),
        terminals: terminals(),
        measurements: measurements(),
        inspections: inspections(),
        findings: findings(),
        drawings: drawings(),
        concessions: concessions(),
        deviations: list("Step 31 was done before step 30, because the seat base was out."),
        defects: defects(),
        superseded: superseded(),
        instruments: instruments(),
        open_points: vec![],
        next_inspection: next_inspection(),
        signatures: signatures(),
        same_person: None,
        proof: proof(),
    }
}

fn limitations() -> Vec<String> {
    list("The vehicle's own wiring was seen only where it is joined. | No panel yet.")
}

/// Those of the demo's tray, so that the shapes are real ones.
fn drawings() -> Vec<PaperDrawing> {
    let kit = read_kit(include_str!("../../server/cli/demo/kits/tray-40.toml")).unwrap();
    let plan = include_str!("../../server/cli/demo/plans/tray-40-van.toml");
    let plan = read_plan(plan, &kit).unwrap();
    let circuits = figures::circuits(&kit, &plan);
    let curve = circuits.iter().find_map(|one| circuit_curves(&plan.vehicle, one).fuse).unwrap();
    let mount = figures::mount(&kit, &plan.mounting).unwrap();
    vec![fuse_curve_on_paper(&curve), fastener_pattern_on_paper(&mount).unwrap()]
}

fn party(line: &str) -> Party {
    let mut lines = list(line);
    Party { name: lines.remove(0), lines }
}

fn vehicle() -> VehiclePaper {
    let [description, registration, vin_tail, odometer] =
        cells("Panel van, long wheelbase, high roof, 2021 | TV 482 K | 4K0 71836 | 84 310 km");
    VehiclePaper { description, registration, vin_tail, odometer }
}

fn dates() -> Dates {
    Dates {
        begun: s("19 November 2026, 08:10 UTC"),
        finished: s("20 November 2026, 14:05 UTC"),
        issued: s("20 November 2026, 15:32 UTC"),
    }
}

fn fitted() -> Fitted {
    Fitted {
        title: s("Pack dock, 30 A charger and second battery"),
        maker: s("Varnholt Fieldworks"),
        serial: s("VF-30-118204"),
        kit_code: s("DOCK-30"),
        kit_edition: s("4"),
        nature: s("New installation"),
    }
}

fn supply() -> Supply {
    Supply {
        nominal_voltage: s("12 V DC"),
        source: s("Starter battery, lead-acid AGM, 95 Ah; alternator 180 A, smart"),
        return_arrangement: s("By cable to the battery negative post; chassis bond at the dock"),
    }
}

fn next_inspection() -> NextInspection {
    NextInspection {
        date: s("November 2027"),
        advice: s("or after a hard season: torque marks, fuse seats, cable at the bulkhead."),
    }
}

fn tape() -> Vec<TapeGroup> {
    let phases =
        ["Before you start", "Mount", "Route", "Terminate", "Protect", "Prove", "Hand over"];
    let counts = [5, 10, 6, 12, 6, 18, 4];
    let conceded = |phase: &str, step: usize| phase == "Route" && step == 3;
    let mark = |done: bool| if done { TapeMark::Done } else { TapeMark::Conceded };
    phases
        .iter()
        .zip(counts)
        .map(|(phase, count)| TapeGroup {
            phase: s(phase),
            steps: (0..count).map(|step| mark(!conceded(phase, step))).collect(),
        })
        .collect()
}

fn signatures() -> Vec<SignatureLine> {
    vec![
        SignatureLine {
            role: s("Work done and recorded by"),
            name: s("Runa Lindqvist"),
            capacity: s("Vehicle electrical fitter"),
            at: s("20 November 2026, 14:05 UTC"),
            drawn: Some(DrawnSignature {
                width: 300.0,
                height: 100.0,
                strokes: vec![
                    vec![[20.0, 70.0], [40.0, 20.0], [60.0, 25.0], [45.0, 50.0], [80.0, 78.0]],
                    vec![[95.0, 60.0], [110.0, 75.0], [125.0, 55.0], [140.0, 72.0], [160.0, 50.0]],
                    vec![[170.0, 66.0], [200.0, 60.0], [240.0, 68.0], [285.0, 40.0]],
                ],
            }),
        },
        SignatureLine {
            role: s("Checked and released by"),
            name: s("Tomasz Brennagh"),
            capacity: s("Workshop manager, competent person"),
            at: s("20 November 2026, 15:32 UTC"),
            drawn: None,
        },
    ]
}

fn proof() -> Proof {
    Proof {
        entry_count: s("93"),
        head: grouped_hex(&[0xa7; 32]),
        sheet_edition: s("2"),
        plan: s("Edition 3"),
        plan_hash: grouped_hex(&[0x3b; 32]),
        kit: s("DOCK-30, edition 4"),
        kit_hash: grouped_hex(&[0xac; 32]),
        previous_register_head: grouped_hex(&[0x5e; 32]),
        seal_fingerprint: grouped_hex(&[0xd1; 32]),
        software_version: s("Fusewright 0.1.0"),
        tables: list("IEC 60228 class 5, table 3 | 33 CFR 183.425, table 5"),
        address: s("https://hollowbay.example/c/HB-2026-00417-K"),
    }
}
