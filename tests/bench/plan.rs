//! How long a plan takes to work out: eight circuits, a mounting and a solar input.
//!
//! `cargo bench --bench plan`. The budget for all findings is 200 µs.

#![expect(clippy::indexing_slicing, reason = "a benchmark of the demo's own files")]

use divan::{Bencher, black_box};
use fusewright::documents::drawing::{drop_path, fastener_pattern, fuse_curve};
use fusewright::domain::change::smallest_change;
use fusewright::domain::curves::circuit_curves;
use fusewright::domain::figures;
use fusewright::domain::finding::Outcome;
use fusewright::domain::findings::findings;
use fusewright::domain::kit::Kit;
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::plan::Plan;
use fusewright::domain::plan_file::read_plan;
use fusewright::domain::sheet::{Making, WorkshopLimits, make_sheet};

const KIT: &str = include_str!("../../server/cli/demo/kits/tray-40.toml");
const PLAN: &str = include_str!("../../server/cli/demo/plans/tray-40-van.toml");
const STOP: &str = include_str!("../../server/cli/demo/plans/tray-40-estate-stop.toml");

fn main() {
    divan::main();
}

/// The demo's tray with five more feeds like its own: eight circuits in all.
fn eight_circuits(plan: &str) -> (Kit, Plan) {
    let mut kit = must(read_kit(KIT));
    let mut plan = must(read_plan(plan, &kit));
    for number in 1..=5 {
        let (mut circuit, mut run) = (kit.circuits[0].clone(), plan.circuits[0].clone());
        circuit.id = format!("feed_{number}");
        run.circuit.clone_from(&circuit.id);
        kit.circuits.push(circuit);
        plan.circuits.push(run);
    }
    (kit, plan)
}

fn must<T, E: std::fmt::Debug>(read: Result<T, E>) -> T {
    match read {
        Ok(value) => value,
        Err(error) => panic!("the demo's own files have faults: {error:?}"),
    }
}

#[divan::bench]
fn all_findings(bencher: Bencher<'_, '_>) {
    let (kit, plan) = eight_circuits(PLAN);
    bencher.bench_local(|| findings(black_box(&kit), black_box(&plan)));
}

#[divan::bench]
fn smallest_change_of_everything_that_is_not_ok(bencher: Bencher<'_, '_>) {
    let (kit, plan) = eight_circuits(STOP);
    let open: Vec<_> =
        findings(&kit, &plan).into_iter().filter(|one| one.outcome != Outcome::Ok).collect();
    bencher.bench_local(|| {
        open.iter().filter_map(|one| smallest_change(black_box(&kit), &plan, one)).count()
    });
}

#[divan::bench]
fn all_drawings(bencher: Bencher<'_, '_>) {
    let (kit, plan) = eight_circuits(PLAN);
    bencher.bench_local(|| {
        let circuits: usize = figures::circuits(&kit, &plan)
            .iter()
            .map(|circuit| circuit_curves(&plan.vehicle, circuit))
            .map(|circuit| {
                let fuse = circuit.fuse.as_ref().map_or(0, |curve| fuse_curve("f", curve).len());
                drop_path("p", &circuit.path).len() + fuse
            })
            .sum();
        let mount = figures::mount(&kit, &plan.mounting).ok();
        circuits + mount.and_then(|mount| fastener_pattern("m", &mount)).map_or(0, |svg| svg.len())
    });
}

#[divan::bench]
fn the_sheet(bencher: Bencher<'_, '_>) {
    let (kit, plan) = eight_circuits(PLAN);
    let workshop = WorkshopLimits::default();
    bencher.bench_local(|| {
        make_sheet(Making {
            kit: &kit,
            plan: &plan,
            plan_edition: 1,
            edition: 1,
            workshop: &workshop,
        })
    });
}
