//! The rules from the file, over the defaults.

use super::Rules;
use super::check::Checker;
use super::file::RulesFile;

/// Widths of film that a roll may have, m.
const WIDTHS_OF_ROLLS: std::ops::RangeInclusive<f64> = 0.5..=30.0;

/// Reads each named field by its kind of quantity, within its range in SI (angles in degrees).
macro_rules! take {
    (@from fraction $value:expr) => { $value };
    (@from $kind:ident $value:expr) => { &$value };
    ($file:ident, $check:ident => $rules:ident: $($kind:ident $field:ident $range:expr;)*) => {
        $(if let Some(value) =
            $check.$kind(concat!("rules.", stringify!($field)), take!(@from $kind $file.$field), $range)
        {
            $rules.$field = value;
        })*
    };
}

pub(super) fn rules(file: &RulesFile, check: &mut Checker) -> Rules {
    let mut rules = Rules::default();
    take! { file, check => rules:
        angle min_slope 1.0..=60.0;
        length clearance 0.0..=1.5;
        length max_span 0.5..=10.0;
        length max_post 0.3..=8.0;
        length least_post_gap 0.05..=3.0;
        length station_step 0.02..=0.5;
        length height_step 0.01..=0.3;
        length cell 0.01..=0.5;
        length search_cell 0.01..=0.5;
        length cap_tolerance 0.0..=0.1;
        length station_tolerance 0.0..=0.3;
        tension film_tension 1.0..=5000.0;
        force ridge_tension 1.0..=50_000.0;
        force side_tension 0.0..=50_000.0;
        area holding_patch 0.0..=100.0;
        fraction flat_part 0.0..=1.0;
        length pond_depth 0.001..=0.2;
        length cap_diameter 0.03..=0.6;
        length top_cap 0.0..=0.2;
        length base_cap 0.0..=0.2;
        length base_cap_width 0.03..=0.6;
        pressure sole_bearing 1000.0..=2e7;
        length strap_tail 0.0..=2.0;
        length drop_strap_spacing 0.2..=4.0;
        length drop_strap_tail 0.0..=2.0;
        length band_drop 0.02..=1.0;
        length film_tuck 0.0..=1.0;
        force pad_force 0.0..=10_000.0;
        fraction film_shrink 0.0..=0.6;
        angle film_skew 0.0..=30.0;
        length film_thickness 2e-5..=1e-3;
        length film_end 0.0..=1.0;
        length seam_lap 0.02..=0.6;
        length least_pleat 0.0..=0.3;
        length deepest_fold 0.05..=3.0;
        length belly_band_spacing 0.5..=6.0;
        area vent_area 1e-4..=0.5;
        length vent_spacing 0.5..=12.0;
        temperature air_temperature -60.0..=60.0;
        fraction humidity 0.05..=1.0;
    }
    let mut rolls: Vec<f64> = Vec::new();
    for (index, roll) in file.rolls.iter().enumerate() {
        let path = format!("rules.rolls[{index}]");
        rolls.extend(check.length(&path, &Some(roll.clone()), WIDTHS_OF_ROLLS));
    }
    if !rolls.is_empty() {
        rolls.sort_by(f64::total_cmp);
        rolls.dedup();
        rules.rolls = rolls;
    }
    rules
}
