//! Pieces that several pages show: the tape, the gauge, a verdict as shape and word.

mod aside;
mod compared;

pub(super) use aside::AsideView;
pub(super) use compared::ComparedView;

use crate::acts::job::tape_text;
use crate::domain::job::{JobState, StepState};
use crate::domain::number::{Decimal, parse_typed, physical};
use crate::domain::step::{Limits, StepKind, Unit};
use crate::domain::verdict::{Judgement, Verdict};

/// Gap between two phases on the tape, in widths of a mark.
const PHASE_GAP: f64 = 1.5;
/// Share of a mark's place that the mark itself takes.
const MARK_SHARE: f64 = 0.62;

/// One mark of the tape.
pub(super) struct TapeMark {
    pub(super) state: &'static str,
    pub(super) x: String,
}

pub(super) struct TapeFlag {
    pub(super) kind: &'static str,
    pub(super) x: String,
}

/// What `components/tape.html` prints.
pub(super) struct Tape {
    pub(super) label: String,
    pub(super) width: String,
    pub(super) marks: Vec<TapeMark>,
    pub(super) flags: Vec<TapeFlag>,
    pub(super) done: usize,
    pub(super) at: usize,
    pub(super) steps: usize,
}

impl Tape {
    /// From the letters of [`tape_text`]; `here` is the step the person is at, from 1.
    pub(super) fn new(letters: &str, here: Option<usize>) -> Self {
        let steps = letters.chars().filter(|c| *c != '|').count();
        let gaps = letters.len() - steps;
        let count = |wanted: char| letters.chars().filter(|c| *c == wanted).count();
        #[expect(clippy::cast_precision_loss, reason = "a sheet has some hundred steps")]
        let places = (steps as f64 + gaps as f64 * PHASE_GAP).max(1.0);
        let place = 100.0 / places;
        let width = place * MARK_SHARE;
        let (mut marks, mut flags, mut x, mut number) = (Vec::new(), Vec::new(), 0.0, 0);
        for letter in letters.chars() {
            if letter == '|' {
                x += place * PHASE_GAP;
                continue;
            }
            number += 1;
            let middle = format!("{:.2}%", x + width / 2.0);
            let is_here = here == Some(number);
            marks.push(TapeMark { state: mark_state(letter, is_here), x: format!("{x:.2}%") });
            flags.extend(flag_kind(letter).map(|kind| TapeFlag { kind, x: middle.clone() }));
            flags.extend(is_here.then_some(TapeFlag { kind: "here", x: middle }));
            x += place;
        }
        let done = steps - count('t');
        let [failed, unsure, clashing] = ['f', 'i', 'c'].map(count);
        let label = format!(
            "{done} of {steps} steps recorded: {failed} failed, {unsure} inconclusive, {clashing} \
             clashing"
        );
        Self {
            label,
            width: format!("{width:.2}%"),
            marks,
            flags,
            done,
            at: here.unwrap_or(done),
            steps,
        }
    }

    pub(super) fn of(state: &JobState, here: Option<usize>) -> Self {
        Self::new(&tape_text(state), here)
    }
}

fn flag_kind(letter: char) -> Option<&'static str> {
    match letter {
        'f' | 'c' => Some("fail"),
        'i' => Some("inconclusive"),
        _ => None,
    }
}

fn mark_state(letter: char, is_here: bool) -> &'static str {
    match letter {
        _ if is_here => "here",
        't' => "todo",
        _ => "done",
    }
}

/// A verdict as `components/marks.html` prints it.
pub(super) struct Mark {
    /// Name of shape and colour.
    pub(super) kind: &'static str,
    pub(super) word: &'static str,
}

impl Mark {
    pub(super) fn of(verdict: Verdict) -> Self {
        let kind = match verdict {
            Verdict::Done | Verdict::Pass => "pass",
            Verdict::Fail => "fail",
            Verdict::Inconclusive => "inconclusive",
            Verdict::Unable => "uncounted",
        };
        Self { kind, word: verdict.word() }
    }

    pub(super) fn of_step(state: &StepState) -> Self {
        if state.is_clash() {
            return Self { kind: "fail", word: "Clash" };
        }
        match state.verdict() {
            Some(Verdict::Unable) if state.concession.is_some() => {
                Self { kind: "caution", word: "Conceded" }
            }
            Some(verdict) => Self::of(verdict),
            None if state.reopened.is_some() => Self { kind: "caution", word: "Sent back" },
            None if state.history.is_empty() => Self { kind: "todo", word: "To do" },
            None => Self { kind: "uncounted", word: "Due again" },
        }
    }
}

/// One guard band or limit of a gauge.
pub(super) struct Guard {
    pub(super) side: &'static str,
    pub(super) at: String,
    pub(super) x: String,
    pub(super) width: String,
}

pub(super) struct GaugeLimit {
    pub(super) x: String,
    pub(super) text: String,
}

/// What `components/gauges.html` prints.
pub(super) struct Gauge {
    pub(super) from: String,
    pub(super) to: String,
    pub(super) band_x: String,
    pub(super) band_width: String,
    pub(super) guards: Vec<Guard>,
    pub(super) limits: Vec<GaugeLimit>,
    pub(super) needle: Option<String>,
}

/// The limits that a gauge of this step shows; those of its result where they follow from it.
fn gauge_limits(kind: &StepKind, judgement: Option<&Judgement>) -> Option<Limits> {
    match kind {
        StepKind::Torque { limits } | StepKind::Reading { limits, .. } => Some(limits.clone()),
        StepKind::PathDrop { resistance_max_milliohm, .. } => {
            Some(Limits::at_most(*resistance_max_milliohm))
        }
        StepKind::SolarOpen { .. } => judgement.and_then(Judgement::own_limits),
        _ => None,
    }
}

impl Gauge {
    /// The gauge of a step, with the needle of its result. Nothing for steps without a scale.
    pub(super) fn of(kind: &StepKind, judgement: Option<&Judgement>) -> Option<Self> {
        let limits = gauge_limits(kind, judgement)?;
        let guard = judgement.and_then(|j| j.uncertainty).map_or(0.0, physical);
        let reading = judgement.and_then(|j| j.figure).map(|(figure, _)| physical(figure));
        Self::new(&limits, guard, reading)
    }

    /// With neither guard bands nor a needle.
    pub(super) fn between(limits: &Limits) -> Option<Self> {
        Self::new(limits, 0.0, None)
    }

    /// A band between two limits that are not known yet: they follow what is typed.
    pub(super) fn waiting() -> Self {
        let (start, end) = (String::from("25.00%"), String::from("75.00%"));
        let guard = |side, x: &String| Guard {
            side,
            at: String::new(),
            x: x.clone(),
            width: "0.00%".to_owned(),
        };
        let limit = |x: &String| GaugeLimit { x: x.clone(), text: String::new() };
        Self {
            from: "0".to_owned(),
            to: "1".to_owned(),
            band_x: start.clone(),
            band_width: "50.00%".to_owned(),
            guards: vec![guard("lower", &start), guard("upper", &end)],
            limits: vec![limit(&start), limit(&end)],
            needle: None,
        }
    }

    fn new(limits: &Limits, guard: f64, reading: Option<f64>) -> Option<Self> {
        let (low, high) = (limits.lower.map(physical), limits.upper.map(physical));
        let (from, to) = scale(low, high)?;
        let at = |value: f64| ((value - from) / (to - from) * 100.0).clamp(0.0, 100.0);
        let percent = |value: f64| format!("{value:.2}%");
        let (start, end) = (low.map_or(0.0, at), high.map_or(100.0, at));
        let width = (guard / (to - from) * 100.0).min((end - start) / 2.0);
        let band = |side, limit: Decimal, x: f64| Guard {
            side,
            at: limit.to_string(),
            x: percent(x),
            width: percent(width),
        };
        let lower = limits.lower.map(|limit| band("lower", limit, start));
        let upper = limits.upper.map(|limit| band("upper", limit, end - width));
        let mark = |limit: Decimal| GaugeLimit {
            x: percent(at(physical(limit))),
            text: limit.to_string(),
        };
        Some(Self {
            from: from.to_string(),
            to: to.to_string(),
            band_x: percent(start),
            band_width: percent(end - start),
            guards: lower.into_iter().chain(upper).collect(),
            limits: limits.lower.into_iter().chain(limits.upper).map(mark).collect(),
            needle: reading.map(|value| percent(at(value))),
        })
    }
}

/// Half the band on each side of it, or half as much again beyond the one limit there is.
fn scale(low: Option<f64>, high: Option<f64>) -> Option<(f64, f64)> {
    match (low, high) {
        (Some(low), Some(high)) if high > low => {
            Some((low - (high - low) / 2.0, high + (high - low) / 2.0))
        }
        (None, Some(high)) if high > 0.0 => Some((0.0, high * 1.5)),
        (Some(low), None) if low > 0.0 => Some((0.0, low * 3.0)),
        _ => None,
    }
}

/// The class of a printed result: numbers with their units stand in the face of the figures (no class),
/// anything else is words.
pub(super) fn face(value: &str) -> &'static str {
    let of_a_figure =
        |part: &str| parse_typed(part).is_some() || Unit::parse(part).is_some() || part == "at";
    if value.split_whitespace().all(of_a_figure) { "" } else { "words" }
}

/// `3 min`, `2 h`, `4 d`: how long ago, for lists.
pub(super) fn ago(now: crate::domain::ids::Moment, then: crate::domain::ids::Moment) -> String {
    let minutes = (now.0 - then.0).max(0) / 60_000;
    match minutes {
        0..60 => format!("{minutes} min"),
        60..1440 => format!("{} h", minutes / 60),
        _ => format!("{} d", minutes / 1440),
    }
}
