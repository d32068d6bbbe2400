//! The rules from the file, over the defaults.

use super::Rules;
use super::check::Checker;
use super::file::RulesFile;

/// Reads each named field by its kind of quantity, within its range in SI (angles in degrees).
macro_rules! take {
    ($file:ident, $check:ident => $rules:ident: $($kind:ident $field:ident $range:expr;)*) => {
        $(if let Some(value) =
            $check.$kind(concat!("rules.", stringify!($field)), &$file.$field, $range)
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
        tension film_tension 1.0..=5000.0;
        force ridge_tension 1.0..=50_000.0;
        force side_tension 0.0..=50_000.0;
        area holding_patch 0.0..=100.0;
        length pond_depth 0.001..=0.2;
        length cap_diameter 0.03..=0.6;
        length top_cap 0.0..=0.2;
        length base_cap 0.0..=0.2;
        length strap_tail 0.0..=2.0;
        length drop_strap_spacing 0.2..=4.0;
        length drop_strap_tail 0.0..=2.0;
        length band_drop 0.02..=1.0;
        length film_tuck 0.0..=1.0;
        force pad_force 0.0..=10_000.0;
    }
    rules
}
