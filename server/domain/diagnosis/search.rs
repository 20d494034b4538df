//! The search for the joint or cable that carries the excess of a path: what the drops measured so far
//! explain, and where the probes go next. Nothing of it is recorded.

use super::LoadedReading;
use super::circuit_path::{CircuitPath, Segment, SegmentKind};
use crate::domain::ids::Moment;
use crate::domain::instrument::Instrument;
use crate::domain::limits::EXCESS_LEAST_MILLIOHM;
use crate::domain::number::{Decimal, physical};
use crate::domain::step::Unit;
use crate::engineering::OutOfRange;
use crate::engineering::path_diagnosis::{
    KnownStretch, NextProbe, PathSearch, SpanDrop, known_stretches, next_probe,
};
use crate::engineering::units::{Amps, Ohms, Volts};

/// More readings than a path of a vehicle can want.
pub const READINGS_MAX: usize = 20;

/// Said before anything is touched.
pub const SAFE: &str = "Switch the load off. Isolate both batteries, negative first, and prove the \
    path dead before you touch it. The maker's instructions and local rules come first.";

/// A drop between two points of the path, with the current at the same moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SpanReading {
    pub from: usize,
    pub to: usize,
    pub drop_v: Decimal,
    pub current_a: Decimal,
}

/// What the drops are measured with, as far as it is known.
#[derive(Debug, Clone, Copy)]
pub struct Tools<'a> {
    pub voltmeter: &'a Instrument,
    pub clamp: &'a Instrument,
    pub at: Moment,
}

/// What is known of a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Known {
    AsPlanned,
    More,
    Less,
    /// It would have less than nothing: the readings disagree.
    Impossible,
}

/// A stretch of the path that the readings explain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    pub from: usize,
    pub to: usize,
    pub planned: Ohms,
    pub excess: Ohms,
    pub known: Known,
}

/// What to do next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Advice {
    /// Probes on these two points.
    Measure { from: usize, to: usize },
    /// This segment carries the excess, of the excess of the whole.
    Found { segment: usize, excess: Ohms, whole: Ohms },
    /// Too little to look for.
    AsPlanned { whole: Ohms },
    /// An excess that no joint or cable carries alone.
    Spread { whole: Ohms },
    /// The readings disagree on this stretch.
    Contradiction { from: usize, to: usize },
}

/// Where a search stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Search {
    pub advice: Advice,
    /// In the order of the path.
    pub known: Vec<Stretch>,
    /// Excess that counts.
    pub least: Ohms,
}

/// Works out where a search stands. Of two readings between the same points the later one counts.
pub fn search(
    path: &CircuitPath,
    readings: &[SpanReading],
    tools: Option<Tools<'_>>,
) -> Result<Search, OutOfRange> {
    let planned: Vec<Ohms> = path.segments.iter().map(|segment| segment.planned).collect();
    let counted = latest(readings);
    let drops: Vec<SpanDrop> = counted.iter().map(SpanReading::span_drop).collect();
    let least = least(&counted, tools);
    let of_path = PathSearch { planned: &planned, drops: &drops, least };
    let known: Vec<Stretch> =
        known_stretches(&of_path)?.into_iter().map(|stretch| judged(stretch, least)).collect();
    let disagreeing = known.iter().find(|stretch| stretch.known == Known::Impossible);
    let advice = match (disagreeing, next_probe(&of_path)?) {
        (Some(stretch), _) => Advice::Contradiction { from: stretch.from, to: stretch.to },
        (None, NextProbe::Measure { from, to }) => Advice::Measure { from, to },
        (None, NextProbe::Segment { segment, excess, whole }) => {
            Advice::Found { segment, excess, whole }
        }
        (None, NextProbe::AsPlanned) => {
            Advice::AsPlanned { whole: Ohms(known.iter().map(|stretch| stretch.excess.0).sum()) }
        }
        (None, NextProbe::Spread { whole }) => Advice::Spread { whole },
    };
    Ok(Search { advice, known, least })
}

fn latest(readings: &[SpanReading]) -> Vec<SpanReading> {
    let again = |at: usize, reading: &SpanReading| {
        let mut later = readings.iter().skip(at + 1);
        later.any(|other| (other.from, other.to) == (reading.from, reading.to))
    };
    let kept = readings.iter().enumerate().filter(|(at, reading)| !again(*at, reading));
    kept.map(|(_, reading)| *reading).collect()
}

/// The uncertainties of all readings together, since a stretch may follow from any of them by taking
/// away; never less than sound joints scatter.
fn least(readings: &[SpanReading], tools: Option<Tools<'_>>) -> Ohms {
    let known = readings.iter().filter_map(|reading| reading.uncertainty(tools?));
    let together = known.map(|uncertainty| uncertainty.0 * uncertainty.0).sum::<f64>().sqrt();
    Ohms(together.max(EXCESS_LEAST_MILLIOHM / 1e3))
}

fn judged(stretch: KnownStretch, least: Ohms) -> Stretch {
    let KnownStretch { from, to, planned, excess } = stretch;
    let known = if planned.0 + excess.0 < -least.0 {
        Known::Impossible
    } else if excess.0 > least.0 {
        Known::More
    } else if excess.0 < -least.0 {
        Known::Less
    } else {
        Known::AsPlanned
    };
    Stretch { from, to, planned, excess, known }
}

impl SpanReading {
    fn span_drop(&self) -> SpanDrop {
        SpanDrop {
            from: self.from,
            to: self.to,
            drop: Volts(physical(self.drop_v)),
            current: Amps(physical(self.current_a)),
        }
    }

    /// What the meters leave open; nothing where they do not reach the reading.
    fn uncertainty(&self, tools: Tools<'_>) -> Option<Ohms> {
        let Tools { voltmeter, clamp, at } = tools;
        let drop_v = self.drop_v.abs();
        let reading = LoadedReading {
            drop_v,
            drop_uncertainty_v: voltmeter.uncertainty(drop_v, Unit::Volt, at).ok()?,
            current_a: self.current_a,
            current_uncertainty_a: clamp.uncertainty(self.current_a, Unit::Ampere, at).ok()?,
        };
        (self.current_a > Decimal::ZERO)
            .then(|| Ohms::from_milliohms(physical(reading.uncertainty_milliohm())))
    }
}

impl Search {
    /// Whether what lies between two points follows from the readings already.
    pub fn explains(&self, from: usize, to: usize) -> bool {
        let reached =
            |point| self.known.iter().any(|known| known.from == point || known.to == point);
        reached(from) && reached(to)
    }

    /// The end of the search, or what is wrong with it, in words; nothing while there is a next span.
    pub fn words(&self, path: &CircuitPath) -> Option<String> {
        match self.advice {
            Advice::Measure { .. } => None,
            Advice::Found { segment, excess, whole } => {
                path.segments.get(segment).map(|found| self.found(found, excess, whole))
            }
            Advice::AsPlanned { whole } => Some(format!(
                "The whole path has {}: less than {} cannot be told from sound joints and these \
                 meters. If its step failed all the same, load it with more current or take a finer \
                 meter, and look at each joint.",
                apart(whole),
                milliohms(self.least),
            )),
            Advice::Spread { whole } => Some(format!(
                "The path has {} more than planned, and no joint or cable carries it alone. Look at \
                 the size printed on the cable, at its length and at how warm it is.",
                milliohms(whole)
            )),
            Advice::Contradiction { from, to } => Some(format!(
                "These readings disagree: the stretch {} would have less than nothing. Look at the decimal point \
                 and at where the probes were, take the wrong reading out and measure it again.",
                path.between(from, to)
            )),
        }
    }

    fn found(&self, segment: &Segment, excess: Ohms, whole: Ohms) -> String {
        let rest = whole.0 - excess.0;
        let rest = if rest > self.least.0 {
            format!(
                " A further {} lies elsewhere: search again when this is put right.",
                milliohms(Ohms(rest))
            )
        } else {
            String::new()
        };
        format!(
            "{} has {} more than planned. {}{rest}",
            segment.name,
            milliohms(excess),
            segment.look(excess)
        )
    }

    /// What is known of a stretch, in words.
    pub fn stretch_words(&self, stretch: &Stretch) -> String {
        match stretch.known {
            Known::AsPlanned => "as planned".to_owned(),
            Known::More | Known::Less => apart(stretch.excess),
            Known::Impossible => "less than nothing".to_owned(),
        }
    }
}

impl CircuitPath {
    /// `from the fuse's far side to gear terminal IN+`
    pub fn between(&self, from: usize, to: usize) -> String {
        let point = |at: usize| self.points.get(at).map_or("", String::as_str);
        format!("from {} to {}", point(from), point(to))
    }
}

impl Segment {
    /// What to look at where the excess lies.
    fn look(&self, excess: Ohms) -> String {
        match self.kind {
            SegmentKind::Joint => "Look for paint, oxide, a washer between the faces and a loose \
                                   crimp; renew what is not bright and tighten it to the torque on \
                                   the sheet."
                .to_owned(),
            SegmentKind::Fuse => "Look at both contacts and at the holder for heat marks, dirt and \
                                  looseness; renew what is marked. Only the planned rating goes back \
                                  in."
            .to_owned(),
            SegmentKind::Cable { per_metre } => format!(
                "That is as much as {:.1} m more of it. Look at the crimps first, then at the size \
                 printed on it, its length and any splice in it.",
                excess.0 / per_metre.0
            ),
        }
    }
}

/// `2.11 mΩ more than planned`
fn apart(excess: Ohms) -> String {
    let side = if excess.0 < 0.0 { "less" } else { "more" };
    format!("{} {side} than planned", milliohms(Ohms(excess.0.abs())))
}

fn milliohms(resistance: Ohms) -> String {
    format!("{:.2} mΩ", resistance.to_milliohms())
}
