//! Units as types, so that a length cannot be passed where a current belongs.
//!
//! A number leaves its unit type only to be calculated with, printed, stored or drawn.
//! `Display` prints the number and the symbol, and rounds only when a precision is asked for:
//!
//! ```
//! use fusewright::engineering::units::{Newtons, Volts};
//!
//! assert_eq!(format!("{:.3}", Volts(0.434_329)), "0.434 V");
//! assert_eq!(Newtons(4900.0).to_string(), "4900 N");
//! ```

use std::fmt;

/// What every unit type can do, so that a range check can name the value it refuses.
pub trait Unit: Copy + fmt::Display {
    /// The symbol printed after the number; empty for a plain number.
    const SYMBOL: &'static str;

    /// The number in this unit.
    fn value(self) -> f64;
}

/// A plain number: a factor, a percentage, a multiple.
impl Unit for f64 {
    const SYMBOL: &'static str = "";

    fn value(self) -> f64 {
        self
    }
}

macro_rules! units {
    ($($(#[$doc:meta])* $name:ident $symbol:literal)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(pub f64);

        impl Unit for $name {
            const SYMBOL: &'static str = $symbol;

            fn value(self) -> f64 {
                self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                match f.precision() {
                    Some(digits) => write!(f, "{:.*} {}", digits, self.0, $symbol),
                    None => write!(f, "{} {}", self.0, $symbol),
                }
            }
        }
    )*};
}

units! {
    /// Electric potential difference, in V.
    Volts "V"
    /// Electric current, in A.
    Amps "A"
    /// Resistance, in Ω.
    Ohms "Ω"
    /// Resistance of one metre of conductor, in Ω/m.
    OhmsPerMetre "Ω/m"
    /// Let-through of a fuse or withstand of a conductor, I²t, in A²·s.
    AmpsSquaredSeconds "A²·s"
    /// Length of a run, in m.
    Metres "m"
    /// Length of a part: diameter, thickness, distance of a fastener, in mm.
    Millimetres "mm"
    /// Cross-section, in mm².
    SquareMillimetres "mm²"
    /// Cross-section as the American rules count it: the square of the diameter in thousandths of
    /// an inch.
    CircularMils "cmil"
    /// Force, in N.
    Newtons "N"
    /// Torque, in N·m.
    NewtonMetres "N·m"
    /// Mass, in kg.
    Kilograms "kg"
    /// Density, in kg/m³.
    KilogramsPerCubicMetre "kg/m³"
    /// Temperature, in °C.
    Celsius "°C"
    /// Time, in s.
    Seconds "s"
    /// Stress, printed in megapascals, in N/mm².
    Megapascals "MPa"
    /// Electric power, in W.
    Watts "W"
    /// Energy, in Wh.
    WattHours "Wh"
    /// Charge, as the capacity of a battery is printed, in Ah.
    AmpereHours "Ah"
    /// Time of charging, in h.
    Hours "h"
    /// Time of standing, in days of 24 h.
    Days "d"
    /// Irradiance: the power of sunlight on a square metre, in W/m².
    WattsPerSquareMetre "W/m²"
    /// Speed of the wind, in m/s.
    MetresPerSecond "m/s"
    /// How much a voltage changes with temperature, in mV/K.
    MillivoltsPerKelvin "mV/K"
}

/// Standard acceleration of free fall, in m/s².
///
/// # Source
///
/// 3rd General Conference on Weights and Measures, 1901; exact by definition.
pub const STANDARD_GRAVITY: f64 = 9.806_65;

/// Millimetres in one inch.
///
/// # Source
///
/// International yard and pound agreement, 1959; exact by definition.
pub const MILLIMETRES_PER_INCH: f64 = 25.4;

/// Metres in one foot: twelve inches.
pub const METRES_PER_FOOT: f64 = 0.304_8;

/// Newtons in one pound-force: the pound (0.453 592 37 kg, exact) times standard gravity.
///
/// # Source
///
/// International yard and pound agreement, 1959; exact by definition.
pub const NEWTONS_PER_POUND_FORCE: f64 = 4.448_221_615_260_5;

/// Square millimetres in one circular mil: π/4 · (0.0254 mm)².
pub const SQUARE_MILLIMETRES_PER_CIRCULAR_MIL: f64 = 5.067_074_790_974_977e-4;

impl NewtonMetres {
    /// The same torque in pound-force feet: T / (4.448 221 615 260 5 · 0.3048).
    #[must_use]
    pub fn to_pound_force_feet(self) -> f64 {
        self.0 / (NEWTONS_PER_POUND_FORCE * METRES_PER_FOOT)
    }

    /// The same torque in pound-force inches, twelve to the pound-force foot.
    #[must_use]
    pub fn to_pound_force_inches(self) -> f64 {
        self.to_pound_force_feet() * 12.0
    }

    /// A torque given in pound-force feet.
    #[must_use]
    pub fn from_pound_force_feet(pound_force_feet: f64) -> Self {
        Self(pound_force_feet * NEWTONS_PER_POUND_FORCE * METRES_PER_FOOT)
    }

    /// A torque given in pound-force inches.
    #[must_use]
    pub fn from_pound_force_inches(pound_force_inches: f64) -> Self {
        Self::from_pound_force_feet(pound_force_inches / 12.0)
    }
}

impl Megapascals {
    /// A stress given in kips per square inch: 1000 lbf on 1 in².
    #[must_use]
    pub fn from_kips_per_square_inch(kips_per_square_inch: f64) -> Self {
        let square_inch = MILLIMETRES_PER_INCH * MILLIMETRES_PER_INCH;
        Self(kips_per_square_inch * 1000.0 * NEWTONS_PER_POUND_FORCE / square_inch)
    }
}

impl Newtons {
    /// A force given in pounds-force.
    #[must_use]
    pub fn from_pounds_force(pounds_force: f64) -> Self {
        Self(pounds_force * NEWTONS_PER_POUND_FORCE)
    }

    /// The same force in pounds-force.
    #[must_use]
    pub fn to_pounds_force(self) -> f64 {
        self.0 / NEWTONS_PER_POUND_FORCE
    }
}

impl Ohms {
    /// The same resistance in milliohms, as it is shown and read.
    #[must_use]
    pub fn to_milliohms(self) -> f64 {
        self.0 * 1000.0
    }

    /// A resistance given in milliohms.
    #[must_use]
    pub fn from_milliohms(milliohms: f64) -> Self {
        Self(milliohms / 1000.0)
    }

    /// The same resistance in megohms, as insulation is read.
    #[must_use]
    pub fn to_megohms(self) -> f64 {
        self.0 / 1.0e6
    }

    /// A resistance given in megohms.
    #[must_use]
    pub fn from_megohms(megohms: f64) -> Self {
        Self(megohms * 1.0e6)
    }
}

impl Metres {
    /// A length given in feet.
    #[must_use]
    pub fn from_feet(feet: f64) -> Self {
        Self(feet * METRES_PER_FOOT)
    }

    /// The same length in feet.
    #[must_use]
    pub fn to_feet(self) -> f64 {
        self.0 / METRES_PER_FOOT
    }

    /// The same length in millimetres.
    #[must_use]
    pub fn to_millimetres(self) -> Millimetres {
        Millimetres(self.0 * 1000.0)
    }
}

impl Millimetres {
    /// A length given in inches.
    #[must_use]
    pub fn from_inches(inches: f64) -> Self {
        Self(inches * MILLIMETRES_PER_INCH)
    }

    /// The same length in metres.
    #[must_use]
    pub fn to_metres(self) -> Metres {
        Metres(self.0 / 1000.0)
    }
}

impl CircularMils {
    /// The same cross-section in square millimetres.
    #[must_use]
    pub fn to_square_millimetres(self) -> SquareMillimetres {
        SquareMillimetres(self.0 * SQUARE_MILLIMETRES_PER_CIRCULAR_MIL)
    }
}

impl SquareMillimetres {
    /// The same cross-section in circular mils.
    #[must_use]
    pub fn to_circular_mils(self) -> CircularMils {
        CircularMils(self.0 / SQUARE_MILLIMETRES_PER_CIRCULAR_MIL)
    }
}
