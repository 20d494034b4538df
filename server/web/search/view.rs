//! What the page of a search prints.

use super::form::{Asked, At, Row};
use super::{Bench, CircuitPath, SAFE, Search, SpanReading};
use crate::domain::diagnosis::{Advice, Known, Stretch};
use crate::domain::number::Decimal;

/// The end of a search, or readings that disagree.
pub(super) struct OutcomeView {
    /// Name of shape and colour.
    pub(super) kind: &'static str,
    pub(super) word: &'static str,
    pub(super) sentence: String,
    /// Before anything is touched; nothing where nothing is to be touched.
    pub(super) safe: Option<&'static str>,
    /// The way on from an end.
    pub(super) is_end: Option<()>,
}

impl OutcomeView {
    pub(super) fn of(now: &Search, path: &CircuitPath) -> Option<Self> {
        let (kind, word, safe) = match now.advice {
            Advice::Measure { .. } => return None,
            Advice::Found { .. } => ("fail", "Found", Some(SAFE)),
            Advice::AsPlanned { .. } => ("pass", "Nothing to find", None),
            Advice::Spread { .. } => ("inconclusive", "No single place", Some(SAFE)),
            Advice::Contradiction { .. } => ("question", "Look again", None),
        };
        let is_end = (!matches!(now.advice, Advice::Contradiction { .. })).then_some(());
        Some(Self { kind, word, sentence: now.words(path)?, safe, is_end })
    }
}

/// The one question.
pub(super) struct FormView {
    /// The two points, by their places.
    pub(super) probes: (usize, usize),
    pub(super) first: String,
    pub(super) second: String,
    pub(super) known: Vec<Row>,
    pub(super) from: Vec<PointOption>,
    pub(super) to: Vec<PointOption>,
    pub(super) drop: String,
    pub(super) current: String,
    pub(super) fault: Option<String>,
    /// The field that is to be mended.
    pub(super) drop_wrong: Option<()>,
    pub(super) current_wrong: Option<()>,
    pub(super) points_wrong: Option<()>,
}

pub(super) struct PointOption {
    pub(super) value: usize,
    pub(super) text: String,
    pub(super) selected: Option<&'static str>,
}

impl FormView {
    pub(super) fn of(now: &Search, bench: &Bench<'_>, asked: &Asked) -> Option<Self> {
        let path = bench.path;
        let probes = probes(now, path, asked)?;
        let point = |at: usize| path.points.get(at).cloned().unwrap_or_default();
        let options = |chosen: usize| {
            path.points.iter().enumerate().map(move |(at, name)| {
                let selected = (at == chosen).then_some("selected");
                PointOption { value: at, text: format!("{}. {name}", at + 1), selected }
            })
        };
        let wrong = |at| asked.fault.as_ref().filter(|fault| fault.at == at).map(|_| ());
        let last = asked.readings.last().or(bench.recorded.as_ref());
        let current = if asked.fault.is_some() {
            asked.typed.current.clone()
        } else {
            last.map(|reading| reading.current_a.to_string()).unwrap_or_default()
        };
        Some(Self {
            probes,
            first: point(probes.0),
            second: point(probes.1),
            known: asked.readings.iter().map(row).collect(),
            from: options(probes.0).collect(),
            to: options(probes.1).collect(),
            drop: asked.typed.drop.clone(),
            current,
            fault: asked.fault.as_ref().map(|fault| fault.sentence.clone()),
            drop_wrong: wrong(At::Drop),
            current_wrong: wrong(At::Current),
            points_wrong: wrong(At::Points),
        })
    }
}

/// Where the probes go: what was chosen when it came back, else as advised; nowhere at the end.
fn probes(now: &Search, path: &CircuitPath, asked: &Asked) -> Option<(usize, usize)> {
    let advised = match now.advice {
        Advice::Measure { from, to } => Some((from, to)),
        // One of the readings is wrong: the last one is the first to doubt.
        Advice::Contradiction { .. } => asked.readings.last().map(|last| (last.from, last.to)),
        _ => None,
    };
    if asked.fault.is_none() {
        return advised;
    }
    let typed = asked.typed.from.parse::<usize>().ok().zip(asked.typed.to.parse::<usize>().ok());
    let typed = typed.map(|(one, other)| (one.min(other), one.max(other)));
    let end = path.segments.len();
    typed.filter(|(from, to)| from < to && *to <= end).or(advised).or(Some((0, end)))
}

fn row(reading: &SpanReading) -> Row {
    Row {
        from: reading.from.to_string(),
        to: reading.to.to_string(),
        drop: reading.drop_v.to_string(),
        current: reading.current_a.to_string(),
    }
}

/// One point of the path, and what is known of the way to the next.
pub(super) struct PointView {
    pub(super) name: String,
    pub(super) probe: Option<()>,
    /// `planned`, `more`, `less`, `impossible` or `open`; nothing after the last point.
    pub(super) gap: Option<(&'static str, String)>,
}

pub(super) fn points(
    now: &Search,
    path: &CircuitPath,
    (from, to): (usize, usize),
) -> Vec<PointView> {
    let point = |(at, name): (usize, &String)| PointView {
        name: name.clone(),
        probe: (at == from || at == to).then_some(()),
        gap: (at + 1 < path.points.len()).then(|| gap(now, at)),
    };
    path.points.iter().enumerate().map(point).collect()
}

/// The words of a stretch stand once, at its beginning.
fn gap(now: &Search, at: usize) -> (&'static str, String) {
    let around = |stretch: &&Stretch| stretch.from <= at && at < stretch.to;
    let Some(stretch) = now.known.iter().find(around) else { return ("open", String::new()) };
    let kind = match stretch.known {
        Known::AsPlanned => "planned",
        Known::More => "more",
        Known::Less => "less",
        Known::Impossible => "impossible",
    };
    if stretch.from != at {
        return (kind, String::new());
    }
    let words = now.stretch_words(stretch);
    let until = stretch.to + 1;
    let far = if stretch.to - at > 1 { format!("{words}, as far as {until}") } else { words };
    (kind, far)
}

/// One drop measured so far.
pub(super) struct ReadingView {
    pub(super) span: String,
    pub(super) value: String,
    /// The same page without it; nothing for what the sheet has.
    pub(super) without: Option<String>,
}

pub(super) fn readings(
    bench: &Bench<'_>,
    typed: &[SpanReading],
    address: &str,
) -> Vec<ReadingView> {
    let view = |reading: &SpanReading, without: Option<String>| ReadingView {
        span: bench.path.between(reading.from, reading.to),
        value: value(reading),
        without,
    };
    let again = |whole: &&SpanReading| {
        !typed.iter().any(|reading| (reading.from, reading.to) == (whole.from, whole.to))
    };
    let of_sheet = bench.recorded.as_ref().filter(again).map(|whole| view(whole, None));
    let of_page = typed.iter().enumerate().map(|(at, reading)| {
        let others = typed.iter().enumerate().filter(|(other, _)| *other != at);
        let left: Vec<String> = others.map(|(_, other)| query(&row(other))).collect();
        view(reading, Some(format!("{address}?{}", left.join("&"))))
    });
    of_sheet.into_iter().chain(of_page).collect()
}

/// `0.281 V at 30.0 A, 9.37 mΩ`
fn value(reading: &SpanReading) -> String {
    let SpanReading { drop_v, current_a, .. } = reading;
    let milliohm = (drop_v.abs() * Decimal::ONE_THOUSAND).checked_div(*current_a);
    let milliohm = milliohm.unwrap_or_default().round_dp(2);
    format!("{drop_v} V at {current_a} A, {milliohm} mΩ")
}

/// Plain figures need no escaping in an address.
fn query(row: &Row) -> String {
    let Row { from, to, drop, current } = row;
    format!("from={from}&to={to}&drop={drop}&current={current}")
}
