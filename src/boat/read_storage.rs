//! What the boat stands on and the door into its cover, from the file.

use super::check::Checker;
use super::file::{DoorFile, SupportFile};
use super::{DoorWish, Hand, Side, Support};

/// Height of the keel over the ground on a trailer where the file has none, m; common practice.
pub(super) const DEFAULT_KEEL_HEIGHT: f64 = 0.55;

/// Most supports that are read: a long cradle has a dozen.
const MAX_SUPPORTS: usize = 60;

pub(super) fn stored_on(file: Option<&SupportFile>, check: &mut Checker, length: f64) -> Support {
    let keel_height = file
        .and_then(|file| check.length("stored_on.keel_height", &file.keel_height, 0.0..=6.0))
        .unwrap_or(DEFAULT_KEEL_HEIGHT);
    let stations = file.map_or(&[][..], |file| &file.supports);
    if stations.len() > MAX_SUPPORTS {
        check.problem(
            "stored_on.supports",
            format!("{} supports are too many", stations.len()),
            format!("give at most {MAX_SUPPORTS}: only those under the hull matter"),
        );
    }
    let mut supports: Vec<f64> = Vec::new();
    for (index, station) in stations.iter().take(MAX_SUPPORTS).enumerate() {
        let path = format!("stored_on.supports[{index}]");
        supports.extend(check.length(&path, &Some(station.clone()), 0.0..=length));
    }
    supports.sort_by(f64::total_cmp);
    Support {
        kind: file.map(|file| file.kind).unwrap_or_default(),
        keel_height,
        supports,
    }
}

pub(super) fn door(file: &DoorFile, check: &mut Checker, length: f64) -> Option<DoorWish> {
    let station = check.required_length("door.station", &file.station, 0.0..=length, 0.5 * length);
    let hand = match file.side {
        Some(Side::Port) => Hand::Port,
        Some(Side::Starboard) => Hand::Starboard,
        Some(Side::Both) => {
            check.problem(
                "door.side",
                "a door has one side",
                "write side: Port or side: Starboard",
            );
            return None;
        }
        None => {
            check.problem(
                "door.side",
                "'side' is missing",
                "add side: Port or side: Starboard",
            );
            return None;
        }
    };
    Some(DoorWish { station, hand })
}

#[cfg(test)]
mod tests {
    use super::super::read;
    use super::*;

    const BOAT: &str = "length: \"18 ft\", beam: \"7 ft\", sheer: (bow: \"3 ft\", middle: \"3 ft\", \
                        stern: \"3 ft\"), hull: Flat()";

    fn boat(more: &str) -> Result<super::super::Boat, String> {
        read(&format!("Boat({BOAT}, {more})"), &|_| Err(String::new()))
            .map_err(|problems| problems.to_string())
    }

    fn check_error(more: &str, part: &str) {
        let error = boat(more).expect_err(more);
        assert!(error.contains(part), "{more}: {error}");
    }

    #[test]
    fn supports_door_and_air_are_read() {
        let boat = boat(
            "stored_on: (kind: Cradle, supports: [\"9 ft\", \"3 ft\"]), door: (station: \"6 ft\", side: Port), \
             rules: (air_temperature: \"41 F\")",
        )
        .unwrap();
        assert_eq!(boat.stored_on.supports.len(), 2);
        assert!((boat.stored_on.supports[0] - 0.9144).abs() < 1e-9);
        let door = boat.door.unwrap();
        assert_eq!(door.hand, Hand::Port);
        assert!((door.station - 1.8288).abs() < 1e-9);
        assert!((boat.rules.air_temperature - 5.0).abs() < 1e-9);
    }

    #[test]
    fn slips_are_told_with_their_field() {
        check_error("door: (station: \"6 ft\")", "door.side");
        check_error("door: (side: Port)", "door.station");
        check_error(
            "door: (station: \"6 ft\", side: Both)",
            "a door has one side",
        );
        check_error("door: (station: \"60 ft\", side: Port)", "door.station");
        check_error(
            "door: (statoin: \"6 ft\", side: Port)",
            "did you mean 'station'?",
        );
        check_error(
            "stored_on: (supports: [\"3 ft\", \"30 ft\"])",
            "stored_on.supports[1]",
        );
        check_error("stored_on: (suports: [])", "did you mean 'supports'?");
        check_error("rules: (air_temperature: \"5\")", "rules.air_temperature");
        check_error("rules: (air_temperature: \"80 C\")", "out of range");
    }
}
