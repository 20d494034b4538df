//! Parts that a recall may name: the steps they make, and what of the notes counts.

use fusewright::domain::entry::Payload;
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::parts::{Carried, FittedPart, KIT_SERIAL, fitted_parts};
use fusewright::domain::plan_file::read_plan;
use fusewright::domain::sheet::{Making, WorkshopLimits, make_sheet};
use fusewright::domain::step::StepKind;

use super::cast::{FITTER, KIT, MANAGER, PLAN, Pen, kit};

const PART: &str =
    "\n[[parts]]\nid = \"latch\"\nname = \"Latch, left\"\nnumber = \"L-4\"\nphase = \"mount\"\n";

fn note(text: &str) -> Payload {
    Payload::Note { text: text.to_owned() }
}

fn shown(parts: &[FittedPart]) -> Vec<(&str, Carried)> {
    parts.iter().map(|part| (part.value.as_str(), part.carried)).collect()
}

#[test]
fn each_mark_of_a_part_is_a_note_where_it_is_fitted_and_a_kit_without_parts_has_none() {
    let text = format!("{KIT}{PART}batch = true\nserial = true\n");
    let steps = |text: &str| {
        let kit = read_kit(text).unwrap();
        let plan = read_plan(PLAN, &kit).unwrap();
        let workshop = &WorkshopLimits::default();
        make_sheet(Making { kit: &kit, plan: &plan, plan_edition: 1, edition: 1, workshop }).steps
    };
    let made = steps(&text);
    let of_part: Vec<_> = made.iter().filter(|step| step.key.contains(".kit.latch.")).collect();
    let keys: Vec<&str> = of_part.iter().map(|step| step.key.as_str()).collect();
    assert_eq!(keys, ["mount.kit.latch.batch", "mount.kit.latch.serial"]);
    assert!(of_part.iter().all(|step| step.kind == StepKind::Note && step.how.contains("L-4")));
    assert_eq!(of_part[1].title, "Serial number: Latch, left");
    assert_eq!(steps(KIT).len() + 2, made.len());
}

#[test]
fn a_part_has_a_mark_that_is_asked_and_an_id_of_its_own() {
    for marks in ["batch = true\n", "serial = true\nbatch = false\n"] {
        assert_eq!(read_kit(&format!("{KIT}{PART}{marks}")).unwrap().parts[0].marks.len(), 1);
    }
    for marks in ["", "batch = false\n"] {
        let faults = read_kit(&format!("{KIT}{PART}{marks}")).unwrap_err();
        assert_eq!(faults.len(), 1, "{faults:?}");
        assert_eq!(faults[0].instead, "Write batch = true or serial = true, or both.");
    }
    let twice = format!("{KIT}{PART}batch = true\n{PART}batch = true\n");
    let faults = read_kit(&twice).unwrap_err();
    assert_eq!((faults.len(), faults[0].wrong.as_str()), (1, "The id latch stands twice."));
}

#[test]
fn the_kits_own_plate_is_found_by_its_serial_number_and_a_corrected_one_says_so() {
    let mut pen = Pen::with_sheet();
    assert_eq!(fitted_parts(&pen.state(), &kit()), []);
    pen.write(FITTER, KIT_SERIAL, note("26-1\n 7"));
    let fitted = fitted_parts(&pen.state(), &kit());
    assert_eq!(shown(&fitted), [("26-1 7", Carried::Yes)]);
    assert_eq!((fitted[0].number.as_str(), fitted[0].mark.word()), ("TRAY-40", "serial"));
    pen.write(FITTER, KIT_SERIAL, note("26-18"));
    let corrected = [("26-1 7", Carried::Corrected), ("26-18", Carried::Yes)];
    assert_eq!(shown(&fitted_parts(&pen.state(), &kit())), corrected);
    pen.write(FITTER, KIT_SERIAL, Payload::Unable { reason: "No plate.".to_owned() });
    let gone = [("26-1 7", Carried::Corrected), ("26-18", Carried::Corrected)];
    assert_eq!(shown(&fitted_parts(&pen.state(), &kit())), gone);
}

#[test]
fn a_number_whose_step_was_sent_back_is_open_until_another_is_written_down() {
    let mut pen = Pen::with_sheet();
    pen.write(FITTER, KIT_SERIAL, note("26-17"));
    let steps = vec![KIT_SERIAL.to_owned()];
    pen.write(MANAGER, "", Payload::Return { remark: "Read it again.".to_owned(), steps });
    assert_eq!(shown(&fitted_parts(&pen.state(), &kit())), [("26-17", Carried::Open)]);
    pen.write(FITTER, KIT_SERIAL, note("26-18"));
    let now = [("26-17", Carried::Corrected), ("26-18", Carried::Yes)];
    assert_eq!(shown(&fitted_parts(&pen.state(), &kit())), now);
}

#[test]
fn what_comes_after_the_release_is_told_as_late() {
    let mut pen = Pen::with_sheet();
    pen.write(FITTER, KIT_SERIAL, note("26-17"));
    pen.fill();
    pen.submit();
    pen.release();
    pen.write(FITTER, KIT_SERIAL, note("26-19"));
    let told = [("26-17", Carried::Yes), ("26-19", Carried::Late)];
    assert_eq!(shown(&fitted_parts(&pen.state(), &kit())), told);
}
