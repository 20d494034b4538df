//! Where the fasteners of a mount stand, in plan view.

use super::units::Millimetres;
use super::{OutOfRange, check};

/// Fasteners a pattern may have.
pub const FASTENERS_MAX: u32 = 100;

/// Fewest fasteners that hold a mount from tilting in every direction.
pub const FASTENERS_MIN: u32 = 3;

/// No mount of a vehicle is longer [mm].
const POSITION_MAX: f64 = 20_000.0;

/// A pattern is one line when it is less than about a thousandth as wide as it is long: the share
/// is of the second moments, so it is squared.
const LINE_SHARE: f64 = 1.0e-6;

/// A place in plan view.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Position {
    /// Forward, in travel direction.
    pub along: Millimetres,
    /// To the left, across the vehicle.
    pub across: Millimetres,
}

impl Position {
    /// A place so far forward and so far to the left.
    #[must_use]
    pub const fn new(along: f64, across: f64) -> Self {
        Self { along: Millimetres(along), across: Millimetres(across) }
    }

    /// Forward and left [mm], checked.
    pub(super) fn checked(self) -> Result<(f64, f64), OutOfRange> {
        let range = (-POSITION_MAX, POSITION_MAX);
        let along = check::within("position along the vehicle", self.along, range)?;
        Ok((along, check::within("position across the vehicle", self.across, range)?))
    }
}

/// How the places were made, so that the same can be made with more fasteners.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Shape {
    /// Two rows along the long sides: length along the vehicle, width across.
    Rectangle(Millimetres, Millimetres),
    /// Given one by one.
    Free,
}

/// Three or more fasteners that do not stand in one line.
#[derive(Clone, Debug, PartialEq)]
pub struct FastenerPattern {
    positions: Vec<Position>,
    shape: Shape,
}

impl FastenerPattern {
    /// Fasteners spread evenly along the two long sides of a rectangle, the corners included, its
    /// centre at zero. An odd one more stands in the right or rear row.
    ///
    /// # Example
    ///
    /// Six on 480 × 330 mm: three in each row, 240 mm apart.
    ///
    /// ```
    /// use fusewright::engineering::fastener_pattern::{FastenerPattern, Position};
    /// use fusewright::engineering::units::Millimetres;
    ///
    /// let (length, width) = (Millimetres(480.0), Millimetres(330.0));
    /// let six = FastenerPattern::rectangle(6, length, width).unwrap();
    /// assert_eq!(six.positions()[1], Position::new(0.0, -165.0));
    /// assert_eq!(six.nearest_spacing(), Millimetres(240.0));
    /// ```
    pub fn rectangle(
        fasteners: u32,
        length: Millimetres,
        width: Millimetres,
    ) -> Result<Self, OutOfRange> {
        check_count(fasteners)?;
        let along = check::positive("length of the pattern", length)?;
        let across = check::positive("width of the pattern", width)?;
        let (row, lever) = if along >= across { (along, across) } else { (across, along) };
        let place = |at: f64, side: f64| {
            if along >= across { Position::new(at, side) } else { Position::new(side, at) }
        };
        let first = spread(fasteners.div_ceil(2), row).map(|at| place(at, -lever / 2.0));
        let second = spread(fasteners / 2, row).map(|at| place(at, lever / 2.0));
        Self::checked(first.chain(second).collect(), Shape::Rectangle(length, width))
    }

    /// Fasteners at places given one by one.
    ///
    /// # Example
    ///
    /// A triangle: two behind, one in front; its centroid is 200 mm forward of the rear row.
    ///
    /// ```
    /// use fusewright::engineering::fastener_pattern::{FastenerPattern, Position};
    ///
    /// let places = [(0.0, -150.0), (0.0, 150.0), (600.0, 0.0)];
    /// let places = places.map(|(along, across)| Position::new(along, across));
    /// let triangle = FastenerPattern::at(places.to_vec()).unwrap();
    /// assert_eq!(triangle.centroid(), Position::new(200.0, 0.0));
    /// ```
    pub fn at(positions: Vec<Position>) -> Result<Self, OutOfRange> {
        Self::checked(positions, Shape::Free)
    }

    /// The pattern, if it is one.
    fn checked(positions: Vec<Position>, shape: Shape) -> Result<Self, OutOfRange> {
        check_count(u32::try_from(positions.len()).unwrap_or(u32::MAX))?;
        for position in &positions {
            position.checked()?;
        }
        let pattern = Self { positions, shape };
        let spread = pattern.spread();
        if spread.determinant() <= LINE_SHARE * spread.polar().powi(2) {
            let allowed = "wide as well as long: fasteners in one line let the mount tilt over it";
            return Err(check::refusal("pattern of the fasteners", &"one line", allowed));
        }
        Ok(pattern)
    }

    /// Every place, in the order in which the fasteners are numbered.
    #[must_use]
    pub fn positions(&self) -> &[Position] {
        &self.positions
    }

    /// The same rectangle with another number of fasteners; `None` where the places were given one
    /// by one, or the number is out of range.
    #[must_use]
    pub fn with_fasteners(&self, fasteners: u32) -> Option<Self> {
        match self.shape {
            Shape::Rectangle(length, width) => Self::rectangle(fasteners, length, width).ok(),
            Shape::Free => None,
        }
    }

    /// Number of fasteners.
    #[expect(clippy::cast_precision_loss, reason = "at most a hundred")]
    pub(super) fn count(&self) -> f64 {
        self.positions.len() as f64
    }

    /// Mean of all places.
    #[must_use]
    pub fn centroid(&self) -> Position {
        let sum = |coordinate: fn(&Position) -> f64| self.positions.iter().map(coordinate).sum();
        let (along, across): (f64, f64) = (sum(|place| place.along.0), sum(|place| place.across.0));
        Position::new(along / self.count(), across / self.count())
    }

    /// Distance of the two fasteners that are nearest to each other.
    #[must_use]
    pub fn nearest_spacing(&self) -> Millimetres {
        let mut nearest = f64::INFINITY;
        for (number, one) in self.positions.iter().enumerate() {
            for other in self.positions.iter().skip(number + 1) {
                let (along, across) = (one.along.0 - other.along.0, one.across.0 - other.across.0);
                nearest = nearest.min(along.hypot(across));
            }
        }
        Millimetres(nearest)
    }

    /// Every place as seen from the centroid [mm].
    pub(super) fn levers(&self) -> impl Iterator<Item = (f64, f64)> {
        let centroid = self.centroid();
        self.positions.iter().map(move |place| {
            (place.along.0 - centroid.along.0, place.across.0 - centroid.across.0)
        })
    }

    /// Second moments about the centroid.
    pub(super) fn spread(&self) -> Spread {
        self.levers().fold(Spread::default(), |sum, (along, across)| Spread {
            along: sum.along + along * along,
            across: sum.across + across * across,
            product: sum.product + along * across,
        })
    }
}

/// Second moments of a pattern about its centroid [mm²].
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Spread {
    /// Σx², levers along the vehicle.
    pub(super) along: f64,
    /// Σy², levers across.
    pub(super) across: f64,
    /// Σx·y; zero for a rectangle.
    pub(super) product: f64,
}

impl Spread {
    /// Σr², what twist in the plane works on.
    pub(super) fn polar(self) -> f64 {
        self.along + self.across
    }

    /// Σx²·Σy² − (Σx·y)²; zero for fasteners in one line.
    pub(super) fn determinant(self) -> f64 {
        self.along * self.across - self.product * self.product
    }
}

/// Refuses fewer than three fasteners and more than a hundred.
fn check_count(fasteners: u32) -> Result<(), OutOfRange> {
    if (FASTENERS_MIN..=FASTENERS_MAX).contains(&fasteners) {
        return Ok(());
    }
    let allowed = format!("from {FASTENERS_MIN} to {FASTENERS_MAX}");
    Err(check::refusal("number of fasteners", &fasteners, allowed))
}

/// Places of a row: evenly from end to end, a single one in the middle [mm].
fn spread(fasteners: u32, length: f64) -> impl Iterator<Item = f64> {
    let gaps = f64::from(fasteners.max(2) - 1);
    let start = if fasteners == 1 { 0.0 } else { -length / 2.0 };
    (0..fasteners).map(move |number| start + length * f64::from(number) / gaps)
}
