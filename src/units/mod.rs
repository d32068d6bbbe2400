//! Lengths, angles and loads at the program's edge: what a person wrote becomes SI, SI becomes what a
//! person reads. Inside the program there are only meters, radians, newtons, pascals, meters per second and degrees
//! Celsius.

mod air;
mod angle;
mod area;
mod error;
mod length;
mod load;
mod mass;
mod plain;
mod reader;
mod speed;
mod stress;
mod system;
mod temperature;

pub use angle::parse_angle;
pub use area::parse_area;
pub use error::{Quantity, UnitError};
pub use length::parse_length;
pub use load::{parse_force, parse_pressure, parse_tension};
pub use mass::parse_mass;
pub use speed::parse_speed;
pub use stress::parse_stress;
pub use system::UnitSystem;
pub use temperature::parse_temperature;

/// Meters in an inch (exact, international yard and pound agreement of 1959).
pub const METERS_PER_INCH: f64 = 0.0254;
/// Meters in a foot (exact, twelve inches).
pub const METERS_PER_FOOT: f64 = 0.3048;
/// Newtons in a pound-force (exact: 0.45359237 kg under standard gravity 9.80665 m/s²).
pub const NEWTONS_PER_POUND: f64 = 4.448_221_615_260_5;
/// Kilograms in a pound (exact, international yard and pound agreement of 1959).
pub const KILOGRAMS_PER_POUND: f64 = 0.453_592_37;
/// Pascals in a pound-force per square foot.
pub const PASCALS_PER_PSF: f64 = NEWTONS_PER_POUND / (METERS_PER_FOOT * METERS_PER_FOOT);
/// Meters per second in a mile per hour (exact, 5280 feet in 3600 seconds).
pub const METERS_PER_SECOND_PER_MPH: f64 = 5280.0 * METERS_PER_FOOT / 3600.0;
/// Pascals in a pound-force per square inch.
pub const PASCALS_PER_PSI: f64 = NEWTONS_PER_POUND / (METERS_PER_INCH * METERS_PER_INCH);
/// Cubic meters in a US gallon (exact, 231 cubic inches).
pub const CUBIC_METERS_PER_GALLON: f64 = 3.785_411_784e-3;
