//! Width and height of a boat that is hauled, against what roads usually allow.

use super::check::{Check, Kind, Quantity};
use super::road::{EUROPEAN_UNION, UNITED_STATES};
use super::site::{Code, Site, Stored};
use super::stage::Stage;
use crate::boat::SupportKind;
use nalgebra::Point3;

/// Width and height on the trailer; nothing where the boat is not hauled.
pub(super) fn road_checks(stage: &Stage, site: &Site) -> Vec<Check> {
    let hauled = matches!(site.stored, Stored::Hauled { .. });
    if !hauled || stage.boat.stored_on.kind != SupportKind::Trailer {
        return Vec::new();
    }
    let limit = match site.code {
        Code::En1991 => EUROPEAN_UNION,
        Code::Asce716 | Code::Asce722 | Code::Nbcc => UNITED_STATES,
    };
    let points = || stage.cover.mesh.vertices.iter();
    let top = points().max_by(|a, b| a.z.total_cmp(&b.z));
    let side = |p: &&Point3<f64>| p.y;
    let port = points().max_by(|a, b| side(a).total_cmp(&side(b)));
    let starboard = points().min_by(|a, b| side(a).total_cmp(&side(b)));
    let row = |name: &str, demand, capacity, source: &str, at: &Point3<f64>| Check {
        kind: Kind::Road,
        name: name.to_owned(),
        case: None,
        demand,
        capacity,
        quantity: Quantity::Length,
        source: format!("{}: {source}", limit.name),
        at: Some(*at),
    };
    let mut checks = Vec::new();
    if let (Some(port), Some(starboard)) = (port, starboard) {
        let width = port.y - starboard.y;
        checks.push(row(
            "width on the trailer",
            width,
            limit.width,
            limit.width_source,
            port,
        ));
    }
    if let Some(top) = top {
        let height = top.z + stage.boat.stored_on.keel_height;
        checks.push(row(
            "height on the trailer",
            height,
            limit.height,
            limit.height_source,
            top,
        ));
    }
    checks
}
