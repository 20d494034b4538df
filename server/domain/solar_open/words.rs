//! What is said of an open string: expected voltage, what the deviation amounts to, what to do.

use rust_decimal::RoundingStrategy::{AwayFromZero, MidpointAwayFromZero};

use super::{Decimal, Edge, OpenCircuit, hundredths};
use crate::domain::limits::{CELL_COLDEST_C, CELL_HOTTEST_C};
use crate::domain::verdict::Verdict;

const KEPT: &str = "The first reading stays on the sheet.";
const REVERSED: &str = "Wrong polarity: stop. Leave the input unplugged, find where plus and minus \
                        are swapped, put it right and measure again.";
const LOOK: &str =
    "Leave the input unplugged, look along the string, put it right and measure again.";
const COMPARE: &str = "Leave the input unplugged, compare the modules and their number in series \
                       with the plan, put it right and measure again.";
const STEADY: &str = "Measure again in full, steady sun with the probe shaded and pressed on, or \
                      with better instruments.";

/// Why a reading with such a cell temperature is kept but not counted.
pub fn no_cell_words(voltage_v: Decimal, cell_c: Decimal) -> String {
    let polarity = if voltage_v < Decimal::ZERO {
        " The minus sign of the voltage means wrong polarity: stop."
    } else {
        ""
    };
    format!(
        "No cell in daylight has {} °C; {} °C to {CELL_HOTTEST_C} °C are taken. Press the shaded \
         probe to the back of a module, in its middle, and read both again.{polarity}",
        plain(cell_c),
        plain(CELL_COLDEST_C),
    )
}

impl OpenCircuit {
    /// The whole of what is said.
    pub fn words(&self, verdict: Verdict) -> String {
        let should = format!(
            "With cells at {} °C the string should give {} V ({})",
            plain(self.reading.cell_c),
            hundredths(self.expected_v, MidpointAwayFromZero),
            self.allowed()
        );
        if self.is_reversed() {
            return format!("{REVERSED} {should}. {KEPT}");
        }
        let head = format!("{should}; it gives {}.", self.apart_shown());
        let next = match verdict {
            Verdict::Fail => self.failed(),
            Verdict::Inconclusive => {
                format!("Nearer to {} than the instruments can tell. {STEADY}", self.near())
            }
            _ => "Clear of the limits.".to_owned(),
        };
        format!("{head} {next}")
    }

    /// `38.59 V to 42.64 V, never above 55 V`
    fn allowed(&self) -> String {
        use super::{ToNegativeInfinity, ToPositiveInfinity};
        format!(
            "{} V to {} V, never above {} V",
            hundredths(self.least_v, ToPositiveInfinity),
            hundredths(self.most_v, ToNegativeInfinity),
            self.string.upper_v.normalize()
        )
    }

    /// `0.52 V ± 0.23 V less, 1.3 %`
    fn apart_shown(&self) -> String {
        let apart = self.apart();
        let share = (apart.abs() * Decimal::ONE_HUNDRED)
            .checked_div(self.expected_v)
            .unwrap_or_default()
            .round_dp_with_strategy(1, MidpointAwayFromZero);
        format!(
            "{} V ± {} V {}, {share:.1} %",
            hundredths(apart.abs(), MidpointAwayFromZero),
            hundredths(self.guard(Edge::Least), AwayFromZero),
            if apart < Decimal::ZERO { "less" } else { "more" },
        )
    }

    fn near(&self) -> &'static str {
        match self.deciding() {
            Edge::Input => "the input's maximum",
            Edge::Least => "the lower limit",
            Edge::Most => "the upper limit",
        }
    }

    fn failed(&self) -> String {
        if self.inside(Edge::Input) < Decimal::ZERO {
            return format!("That is more than the input is made for. {COMPARE} {KEPT}");
        }
        let amounts = self.amounts();
        let next = if self.apart() < Decimal::ZERO { LOOK } else { COMPARE };
        format!("{amounts} {next} {KEPT}")
    }

    /// What the deviation comes to in modules, and what mostly makes it.
    fn amounts(&self) -> String {
        let (count, planned) = (self.modules_apart(), self.string.in_series);
        let less = self.apart() < Decimal::ZERO;
        if less && count >= Decimal::from(planned) {
            return "That comes nearest to the whole string: an open connector, a cover, no light, \
                    or modules against each other."
                .to_owned();
        }
        match (less, count.is_zero()) {
            (true, true) => "That is less than half a module: low sun, haze, a covered part or a \
                             shorted bypass diode."
                .to_owned(),
            (true, false) => format!(
                "That comes nearest to {count} of {planned} modules: missing, shaded or, counting \
                 twice, reversed."
            ),
            (false, true) => {
                "That is less than half a module: other modules than planned, or cells \
                              cooler than was measured."
                    .to_owned()
            }
            (false, false) => format!(
                "That comes nearest to {} modules where the plan has {planned}.",
                count + Decimal::from(planned)
            ),
        }
    }

    /// The same, figure by figure, for the one who reviews.
    pub fn figures(&self) -> Vec<(&'static str, String)> {
        let mut figures = vec![
            ("Cells", format!("{} °C", plain(self.reading.cell_c))),
            ("Expected", format!("{} V", hundredths(self.expected_v, MidpointAwayFromZero))),
            ("Allowed", self.allowed()),
            ("Against it", self.apart_shown()),
        ];
        if self.is_reversed() {
            figures.push(("Polarity", "wrong".to_owned()));
        } else if !self.modules_apart().is_zero() {
            let planned = self.string.in_series;
            figures.push(("As modules", format!("{} of {planned}", self.modules_apart())));
        }
        figures
    }

    /// For the line of the paper: at how many degrees the cells were, and the voltage they let expect.
    pub fn remark_figures(&self) -> (String, String) {
        let expected = hundredths(self.expected_v, MidpointAwayFromZero);
        (format!("{} °C", plain(self.reading.cell_c)), format!("{expected} V"))
    }
}

/// Without needless zeros, with a true minus sign: the phone's preview prints the same.
fn plain(figure: Decimal) -> String {
    figure.normalize().to_string().replace('-', "\u{2212}")
}
