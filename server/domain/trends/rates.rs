//! How often the first result of a check passed, and which checks fail most.

use std::collections::BTreeMap;

use super::JobResult;
use crate::domain::verdict::Verdict;

/// With fewer first results a share says more than is known, above all about a person.
pub const RATED_LEAST: u32 = 20;
/// Checks that are listed as failing most.
pub const FAILING_LISTED: usize = 10;

/// First results that passed, of all first results of one kit, person, instrument or month.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rate<K> {
    pub of: K,
    pub passed: u32,
    pub first: u32,
}

impl<K> Rate<K> {
    /// In whole percent, rounded down, so that only all of them make a hundred; nothing while there are
    /// fewer than [`RATED_LEAST`].
    pub fn percent(&self) -> Option<u32> {
        (self.first >= RATED_LEAST).then(|| self.passed * 100 / self.first)
    }

    /// `84 %`, or that there are too few.
    pub fn words(&self) -> String {
        match self.percent() {
            None => "too few to say".to_owned(),
            Some(0) if self.passed > 0 => "less than 1 %".to_owned(),
            Some(percent) => format!("{percent} %"),
        }
    }
}

/// First-time pass rates by what `keys` names; a result may count for several, as with two instruments.
/// In the order of the keys.
pub fn rates<K: Ord, I: IntoIterator<Item = K>>(
    results: &[JobResult],
    keys: impl Fn(&JobResult) -> I,
) -> Vec<Rate<K>> {
    let mut counts: BTreeMap<K, (u32, u32)> = BTreeMap::new();
    for result in results.iter().filter(|result| is_first_measured(result)) {
        let passed = u32::from(result.counted.verdict == Verdict::Pass);
        for key in keys(result) {
            let count = counts.entry(key).or_default();
            count.0 += passed;
            count.1 += 1;
        }
    }
    counts.into_iter().map(|(of, (passed, first))| Rate { of, passed, first }).collect()
}

/// Of steps without a measurement, nothing can be passed.
fn is_first_measured(result: &JobResult) -> bool {
    let measured = !matches!(result.counted.verdict, Verdict::Done | Verdict::Unable);
    result.counted.is_first() && measured
}

/// A check of a kit whose first results did not all pass.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failing {
    pub kit: String,
    pub step: String,
    /// As the newest sheet words it.
    pub title: String,
    pub failed: u32,
    pub inconclusive: u32,
    pub first: u32,
}

/// The checks that failed most often at first, the most first; at most [`FAILING_LISTED`].
pub fn failing(results: &[JobResult]) -> Vec<Failing> {
    let mut checks: BTreeMap<(&str, &str), (Failing, i64)> = BTreeMap::new();
    for result in results.iter().filter(|result| is_first_measured(result)) {
        let counted = &result.counted;
        let blank = || {
            let (kit, step, title) = (result.kit.clone(), counted.step.clone(), String::new());
            (Failing { kit, step, title, failed: 0, inconclusive: 0, first: 0 }, i64::MIN)
        };
        let key = (result.kit.as_str(), counted.step.as_str());
        let (check, newest) = checks.entry(key).or_insert_with(blank);
        if counted.recorded.0 >= *newest {
            *newest = counted.recorded.0;
            check.title.clone_from(&counted.title);
        }
        check.first += 1;
        check.failed += u32::from(counted.verdict == Verdict::Fail);
        check.inconclusive += u32::from(counted.verdict == Verdict::Inconclusive);
    }
    let wrong = |check: &Failing| (check.failed, check.inconclusive);
    let mut found: Vec<Failing> = checks
        .into_values()
        .map(|(check, _)| check)
        .filter(|check| wrong(check) != (0, 0))
        .collect();
    // Equal ones keep the order of kit and step.
    found.sort_by_key(|check| std::cmp::Reverse(wrong(check)));
    found.truncate(FAILING_LISTED);
    found
}
