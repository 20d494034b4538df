//! Flags counted for lists: what is stored, and in which words it is told.

use fusewright::domain::entry::Payload;
use fusewright::domain::job::{Notice, WaitsFor, notice_words, notices_text};

use super::cast::{FITTER, METER, Pen, dec};

const RESTED: &str = "before.battery_rested";

#[test]
fn a_job_without_anything_to_look_at_twice_has_no_notices() {
    let mut pen = Pen::with_sheet();
    pen.fill();
    assert_eq!(notices_text(&pen.state()), "");
    assert!(notice_words("").is_empty());
}

#[test]
fn flags_are_counted_by_step_and_told_in_plain_words() {
    let mut pen = Pen::with_sheet();
    pen.clock_ahead_ms = Some(600_000);
    pen.write(FITTER, RESTED, Payload::Reading { value: dec("11.0"), instrument: METER });
    pen.write(FITTER, RESTED, Payload::Reading { value: dec("12.6"), instrument: METER });
    let text = notices_text(&pen.state());
    assert_eq!(text, "unexplained_pass:1 clock_off:1");
    let words = notice_words(&text);
    assert_eq!(
        words,
        [
            "1 step from fail to pass without a word",
            "1 step recorded while the phone's clock was off"
        ]
    );
}

#[test]
fn every_notice_is_read_back_and_a_word_of_a_later_version_is_passed_over() {
    for notice in Notice::ALL {
        let text = format!("from_later:4 {}:3", notice.word());
        assert_eq!(notice_words(&text), [notice.words(3)]);
        assert!(notice.words(3).starts_with("3 "), "{}", notice.words(3));
    }
    assert!(notice_words("clock_off clock_off:many").is_empty());
}

#[test]
fn every_stage_but_the_last_waits_for_one_thing() {
    let mut stages: Vec<&str> = Vec::new();
    for waits in WaitsFor::ALL {
        assert_eq!(WaitsFor::parse(waits.word()), Some(waits));
        stages.extend(waits.stages().iter().map(|stage| stage.word()));
    }
    stages.sort_unstable();
    assert_eq!(stages, ["planning", "ready", "returned", "review", "working"]);
}
