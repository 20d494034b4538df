//! Measured over planned path resistance, job after job: the control chart, and its signals in words.

use std::collections::BTreeMap;

use super::JobResult;
use crate::domain::ids::{InstrumentId, JobId, Moment, PersonId};
use crate::domain::number::Decimal;
use crate::engineering::control_chart::{
    ControlChart, POINTS_MAX, POINTS_SETTLED, Signal, SignalKind, control_chart,
};

/// A leg of a circuit of a kit: what is comparable from job to job.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct PathKey {
    pub kit: String,
    pub step: String,
}

/// The first counted measurement of one job.
#[derive(Debug, Clone, PartialEq)]
pub struct PathPoint {
    pub job: JobId,
    pub job_number: u64,
    pub recorded: Moment,
    pub measured_milliohm: Decimal,
    pub planned_milliohm: Decimal,
    pub ratio: f64,
    pub person: PersonId,
    pub instruments: Vec<InstrumentId>,
}

/// A path over time.
#[derive(Debug, Clone, PartialEq)]
pub struct PathTrend {
    pub key: PathKey,
    pub title: String,
    /// The oldest first.
    pub points: Vec<PathPoint>,
    /// Nothing with fewer than [`POINTS_SETTLED`] points: it would be a chart of noise.
    pub chart: Option<ControlChart>,
}

/// Every path that was measured, with its title and how often, the most often first.
pub fn paths(results: &[JobResult]) -> Vec<(PathKey, String, usize)> {
    let mut found: BTreeMap<PathKey, (&str, usize)> = BTreeMap::new();
    for result in results.iter().filter(|result| ratio(result).is_some()) {
        let path = found.entry(key_of(result)).or_default();
        path.0 = &result.counted.title;
        path.1 += 1;
    }
    let mut paths: Vec<_> =
        found.into_iter().map(|(key, (title, count))| (key, title.to_owned(), count)).collect();
    paths.sort_by_key(|(_, _, count)| std::cmp::Reverse(*count));
    paths
}

fn key_of(result: &JobResult) -> PathKey {
    PathKey { kit: result.kit.clone(), step: result.counted.step.clone() }
}

/// Of a first result of a path. What was measured again after rework tells of the rework.
fn ratio(result: &JobResult) -> Option<f64> {
    result.counted.ratio().filter(|_| result.counted.is_first())
}

/// The chart of one path; the newest [`POINTS_MAX`] points count.
pub fn path_trend(results: &[JobResult], key: &PathKey) -> PathTrend {
    let of_path = results.iter().filter(|result| key_of(result) == *key);
    let mut points: Vec<(PathPoint, &str)> = of_path.filter_map(point).collect();
    points.sort_by_key(|(point, _)| (point.recorded, point.job_number));
    let title = points.last().map_or_else(String::new, |(_, title)| (*title).to_owned());
    let left_out = points.len().saturating_sub(POINTS_MAX);
    let points: Vec<PathPoint> =
        points.into_iter().skip(left_out).map(|(point, _)| point).collect();
    let ratios: Vec<f64> = points.iter().map(|point| point.ratio).collect();
    let settled = ratios.len() >= POINTS_SETTLED;
    let chart = settled.then(|| control_chart(&ratios).ok()).flatten();
    PathTrend { key: key.clone(), title, points, chart }
}

fn point(result: &JobResult) -> Option<(PathPoint, &str)> {
    let counted = &result.counted;
    let point = PathPoint {
        job: result.job,
        job_number: result.job_number,
        recorded: counted.recorded,
        measured_milliohm: counted.figure?.0,
        planned_milliohm: counted.planned?,
        ratio: ratio(result)?,
        person: counted.person,
        instruments: counted.instruments.clone(),
    };
    Some((point, &counted.title))
}

impl PathTrend {
    /// That there are too few points, where there are.
    pub fn too_few(&self) -> Option<String> {
        let count = self.points.len();
        let results = if count == 1 { "result" } else { "results" };
        self.chart.is_none().then(|| {
            format!("{count} {results}: too few to say. A control chart needs {POINTS_SETTLED}.")
        })
    }

    /// Each signal as a sentence that says what to look at, in the order of the chart's signals.
    pub fn signal_words(&self, label: impl Fn(InstrumentId) -> String) -> Vec<String> {
        let signals = self.chart.as_ref().map_or(&[][..], |chart| &chart.signals);
        signals.iter().map(|signal| self.words(*signal, &label)).collect()
    }

    fn words(&self, signal: Signal, label: &impl Fn(InstrumentId) -> String) -> String {
        let points = self.points.get(signal.first..=signal.last).unwrap_or_default();
        let (Some(first), Some(last)) = (points.first(), points.last()) else {
            return String::new();
        };
        let (from, to) = (first.job_number, last.job_number);
        if signal.kind == SignalKind::Beyond {
            return beyond(from, signal.upward);
        }
        let is_still = signal.last + 1 == self.points.len();
        let span = if is_still {
            format!("since job {from}")
        } else {
            format!("from job {from} to job {to}")
        };
        let row = format!("{} in a row {}, {span}", counted(points.len()), shape(signal));
        let with = shared_instrument(points).map_or_else(String::new, |id| {
            format!(" All were measured with {}: look at it too.", label(id))
        });
        format!("{row}: {}.{with}", advice(signal))
    }
}

fn beyond(job: u64, upward: bool) -> String {
    if upward {
        return format!(
            "Job {job} lies above the upper limit: look at its crimps and joints, and at how it was \
             measured."
        );
    }
    format!(
        "Job {job} lies below the lower limit: see whether its cable is as long as planned, and \
         whether both probes reached the ends of the path."
    )
}

fn shape(signal: Signal) -> &'static str {
    match (signal.kind, signal.upward) {
        (SignalKind::Trend, true) => "rising",
        (SignalKind::Trend, false) => "falling",
        (_, true) => "above the centre line",
        (_, false) => "below the centre line",
    }
}

fn advice(signal: Signal) -> &'static str {
    match (signal.kind, signal.upward) {
        (SignalKind::Trend, true) => {
            "wear looks like this; look at the crimp tool and its dies, and at the instrument"
        }
        (_, true) => "look at the crimp tool, and at how lugs are crimped now",
        (_, false) => {
            "something changed for the better, or lengths are planned longer than fitted; find out \
             which"
        }
    }
}

/// The instrument of all points, where there is one.
fn shared_instrument(points: &[PathPoint]) -> Option<InstrumentId> {
    let (first, rest) = points.split_first()?;
    let of_all = |id: &&InstrumentId| rest.iter().all(|point| point.instruments.contains(id));
    first.instruments.iter().find(of_all).copied()
}

/// As a sentence begins with it.
fn counted(count: usize) -> String {
    let words = ["Six", "Seven", "Eight", "Nine", "Ten", "Eleven", "Twelve"];
    let word = count.checked_sub(6).and_then(|at| words.get(at));
    word.map_or_else(|| count.to_string(), |word| (*word).to_owned())
}
