//! Geometry of a metric thread, coarse or fine, from its diameter and its pitch.

use super::units::{Millimetres, SquareMillimetres};
use super::{OutOfRange, check};

/// Nominal diameters taken [mm].
const DIAMETER_RANGE: (f64, f64) = (1.0, 100.0);

/// No ISO 261 pitch is coarser than this share of the diameter; a coarser one is a slipped number.
const PITCH_SHARE_MAX: f64 = 0.25;

/// A metric thread by diameter and pitch: M8 × 1 as well as M8 × 1.25.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThreadGeometry {
    /// Nominal diameter.
    diameter: Millimetres,
    /// Pitch.
    pitch: Millimetres,
}

impl ThreadGeometry {
    /// A thread of a diameter from 1 mm to 100 mm and a pitch up to a quarter of it.
    ///
    /// # Source
    ///
    /// ISO 261 (from memory): no pitch of its table is coarser.
    ///
    /// # Example
    ///
    /// M8 × 1, fine. By hand: d2 = 8 − 0.6495 × 1 = 7.350 mm, As = 39.2 mm².
    ///
    /// ```
    /// use fusewright::engineering::{thread_geometry::ThreadGeometry, units::Millimetres};
    ///
    /// let fine = ThreadGeometry::new(Millimetres(8.0), Millimetres(1.0)).unwrap();
    /// assert_eq!(format!("{:.3}", fine.pitch_diameter()), "7.350 mm");
    /// assert_eq!(format!("{:.1}", fine.stress_area()), "39.2 mm²");
    /// ```
    pub fn new(diameter: Millimetres, pitch: Millimetres) -> Result<Self, OutOfRange> {
        let nominal = check::within("thread diameter", diameter, DIAMETER_RANGE)?;
        let given = check::positive("pitch", pitch)?;
        if given > nominal * PITCH_SHARE_MAX {
            let allowed = format!("at most {PITCH_SHARE_MAX} of the diameter of {diameter}");
            return Err(check::refusal("pitch", &pitch, allowed));
        }
        Ok(Self { diameter, pitch })
    }

    /// A thread of the printed table.
    pub(super) const fn listed(diameter: f64, pitch: f64) -> Self {
        Self { diameter: Millimetres(diameter), pitch: Millimetres(pitch) }
    }

    /// Nominal diameter d.
    #[must_use]
    pub const fn diameter(self) -> Millimetres {
        self.diameter
    }

    /// Pitch P.
    #[must_use]
    pub const fn pitch(self) -> Millimetres {
        self.pitch
    }

    /// Pitch diameter: d2 = d − 0.649 519 · P (ISO 724; formula from memory).
    #[must_use]
    pub fn pitch_diameter(self) -> Millimetres {
        Millimetres(self.diameter.0 - 0.649_519 * self.pitch.0)
    }

    /// Minor diameter of the bolt: d3 = d − 1.226 869 · P (ISO 724; formula from memory).
    #[must_use]
    pub fn minor_diameter(self) -> Millimetres {
        Millimetres(self.diameter.0 - 1.226_869 * self.pitch.0)
    }

    /// Diameter of the stress area: d0 = (d2 + d3) / 2 (ISO 898-1; formula from memory).
    #[must_use]
    pub fn stress_diameter(self) -> Millimetres {
        Millimetres(f64::midpoint(self.pitch_diameter().0, self.minor_diameter().0))
    }

    /// Stress area: As = π/4 · d0² (ISO 898-1:2013, 9.1.6.1; formula from memory).
    #[must_use]
    pub fn stress_area(self) -> SquareMillimetres {
        SquareMillimetres(std::f64::consts::FRAC_PI_4 * self.stress_diameter().0.powi(2))
    }
}
