//! The rules of a boat, as far as they are not the defaults.

use super::Rules;
use super::write::Pen;
use super::write_layout::Node;
use super::write_text::Kind;

/// The rules that differ from the defaults; empty where none does.
pub(super) fn rules(pen: &Pen, rules: &Rules) -> Vec<(&'static str, Node)> {
    let default = Rules::default();
    let mut fields = pen.fields();
    macro_rules! put {
        ($($kind:ident $field:ident,)*) => {
            $(fields.unless(Kind::$kind, stringify!($field), rules.$field, default.$field);)*
        };
    }
    put! {
        Angle min_slope,
        Length clearance,
        Length max_span,
        Length max_post,
        Length least_post_gap,
        Length station_step,
        Length height_step,
        Length cell,
        Length search_cell,
        Length cap_tolerance,
        Length station_tolerance,
        Tension film_tension,
        Force ridge_tension,
        Force side_tension,
        Area holding_patch,
        Fraction flat_part,
        Length pond_depth,
        Length cap_diameter,
        Length top_cap,
        Length base_cap,
        Length base_cap_width,
        Pressure sole_bearing,
        Length strap_tail,
        Length drop_strap_spacing,
        Length drop_strap_tail,
        Length band_drop,
        Length film_tuck,
        Force pad_force,
        Fraction film_shrink,
        Angle film_skew,
        Length film_thickness,
        Length film_end,
        Length seam_lap,
    }
    // Reading sorts them and takes each once.
    let mut rolls = rules.rolls.clone();
    rolls.sort_by(f64::total_cmp);
    let same = rolls.len() == default.rolls.len()
        && rolls
            .iter()
            .zip(&default.rolls)
            .all(|(roll, default)| pen.same(Kind::Length, *roll, *default));
    if !same && !rolls.is_empty() {
        let mut rolls: Vec<Node> = rolls.iter().map(|roll| pen.length(*roll)).collect();
        rolls.dedup();
        fields.put("rolls", Node::List(rolls));
    }
    put! {
        Length least_pleat,
        Length deepest_fold,
        Length belly_band_spacing,
        Area vent_area,
        Length vent_spacing,
        Temperature air_temperature,
        Fraction humidity,
    }
    fields.list
}
