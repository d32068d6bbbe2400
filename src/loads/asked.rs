//! What each case asks of posts, straps, bands and film, held against what they can do.

use super::case::Case;
use super::check::{Check, Kind, Quantity};
use super::column::Standing;
use super::column::{Duration, bearing, capacity};
use super::level::{Method, snow, wind};
use super::loaded::{Loaded, Outcome};
use super::site::Site;
use super::stage::Stage;
use super::strap::spread_load;
use nalgebra::Point3;

/// Water that may stand in hollows, m3: more of it freezes into a block that a gale works on; house rule, 20 L.
const MAX_WATER: f64 = 0.02;

/// Mean stress about a cap over what film may carry elsewhere; house rule: film there yields a little and hands the load to
/// the straps that run over the cap, which an elastic film does not show.
const BESIDE_CAP_MORE: f64 = 2.0;

/// Film on the rail is drawn together over this length of the edge before it is held against a rating, m: one hand.
const GRASP: f64 = 0.1;

/// All checks of one case.
pub(super) fn checks(stage: &Stage, site: &Site, loaded: &Loaded) -> Vec<Check> {
    let case = Some(loaded.case);
    let mut checks = Vec::new();
    let film = &site.gear.film;
    if loaded.outcome == Outcome::Unsolved {
        checks.push(Check {
            kind: Kind::Film,
            name: "film's shape".to_owned(),
            case,
            demand: loaded.residual,
            capacity: 0.0,
            quantity: Quantity::Force,
            source: "the solution was not found: what is left over at a node".to_owned(),
            at: None,
        });
    }
    checks.push(Check {
        kind: Kind::Film,
        name: "film".to_owned(),
        case,
        demand: loaded.max_stress,
        capacity: film.allowable(),
        quantity: Quantity::Stress,
        source: format!("yield over {:.1}, the site's", film.margin),
        at: Some(loaded.max_stress_at),
    });
    if loaded.case.is_snow() {
        let posts = stage.frame.posts.iter().zip(&loaded.cap_stresses);
        checks.extend(posts.map(|(post, stress)| Check {
            kind: Kind::Film,
            name: format!("film over {}", post.id),
            case,
            demand: *stress,
            capacity: BESIDE_CAP_MORE * film.allowable(),
            quantity: Quantity::Stress,
            source: "twice the film's between posts, house rule: at a cap it yields a little and hands the load to the straps"
                .to_owned(),
            at: Some(post.top()),
        }));
    }
    if loaded.case == Case::RainOnSnow {
        checks.push(pond(loaded));
    }
    checks.extend(posts(stage, site, loaded));
    if loaded.case.is_snow() {
        checks.extend(straps(stage, site, loaded));
    }
    checks.extend(bands(stage, site, loaded));
    checks
}

fn pond(loaded: &Loaded) -> Check {
    let runs_away = loaded.outcome == Outcome::RunsAway;
    Check {
        kind: Kind::Pond,
        name: "water in hollows".to_owned(),
        case: Some(loaded.case),
        demand: loaded.pond_volume(),
        capacity: if runs_away { 0.0 } else { MAX_WATER },
        quantity: Quantity::Volume,
        source: if runs_away {
            "the film yields while its hollows still fill".to_owned()
        } else {
            "house rule".to_owned()
        },
        at: loaded.ponds.first().map(|pond| pond.deepest),
    }
}

fn posts(stage: &Stage, site: &Site, loaded: &Loaded) -> Vec<Check> {
    let stock = &site.gear.post;
    let strength = &stock.grade.strength;
    let duration = if loaded.case.is_snow() {
        Duration::Snow
    } else {
        Duration::Wind
    };
    let raise = raised(site, loaded.case, strength.method());
    let mut checks = Vec::new();
    for (post, load) in stage.frame.posts.iter().zip(&loaded.post_loads) {
        let length = post.cap - post.base - stage.rules.top_cap - stage.rules.base_cap;
        let column = capacity(stock, length, duration);
        let row = |kind, name: String, demand, capacity, quantity, source: String| Check {
            kind,
            name,
            case: Some(loaded.case),
            demand,
            capacity,
            quantity,
            source,
            at: Some(post.top()),
        };
        let slender = match column.standing {
            Standing::Column => format!("{}, le/d {:.0}", column.source, column.slenderness),
            Standing::TooSlender => format!(
                "too slender: le/d {:.0} over 50 ({})",
                column.slenderness, column.source
            ),
        };
        checks.push(row(
            Kind::Post,
            format!("post {}", post.id),
            raise * load,
            column.force,
            Quantity::Force,
            slender,
        ));
        let contact = f64::from(stock.pieces) * stock.size.area();
        let across = bearing(strength, contact, duration);
        checks.push(row(
            Kind::BaseCap,
            format!("base cap of {}", post.id),
            raise * load,
            across.force,
            Quantity::Force,
            format!("{}, pad of the same lumber", across.source),
        ));
        checks.push(row(
            Kind::Sole,
            format!("{} under {}", post.footing, post.id),
            load / site.gear.base_cap,
            stage.rules.sole_bearing,
            Quantity::Pressure,
            "the boat file's limit".to_owned(),
        ));
    }
    checks
}

/// By what a demand is raised from the level at which the film is loaded to the one that a way of checking asks for.
fn raised(site: &Site, case: Case, method: Method) -> f64 {
    let level = |method| {
        if case.is_snow() {
            snow(site.code, method)
        } else {
            wind(site.code, method)
        }
    };
    level(method).factor / level(Method::AllowableStress).factor
}

fn straps(stage: &Stage, site: &Site, loaded: &Loaded) -> Vec<Check> {
    let stock = &site.gear.strap;
    stage
        .frame
        .straps
        .iter()
        .zip(&loaded.strap_tensions)
        .map(|(strap, tension)| Check {
            kind: Kind::Strap,
            name: format!("{} {}", strap.kind.word(), strap.id),
            case: Some(loaded.case),
            demand: *tension,
            capacity: stock.rating.min(stock.buckle),
            quantity: Quantity::Force,
            source: rating(stock.rating, stock.buckle),
            at: strap.plan.last().map(|end| Point3::new(end.x, end.y, 0.0)),
        })
        .collect()
}

/// Which of two ratings holds.
fn rating(strap: f64, buckle: f64) -> String {
    if buckle < strap {
        "rating of the buckle, the site's".to_owned()
    } else {
        "rating of the strap, the site's".to_owned()
    }
}

/// What pulls the band up within a stretch of stations on one side, N, and the length of edge there, m.
fn lift(stage: &Stage, loaded: &Loaded, [from, to]: [f64; 2], side: f64) -> (f64, f64) {
    stage
        .cover
        .edge
        .iter()
        .zip(&loaded.edge)
        .filter_map(|(node, force)| {
            let at = loaded.mesh.vertices.get(*node as usize)?;
            let here = at.x >= from && at.x < to && at.y * side >= 0.0;
            here.then_some((force.lifts_band * force.length, force.length))
        })
        .fold((0.0, 0.0), |sum, part| (sum.0 + part.0, sum.1 + part.1))
}

/// The perimeter band between belly bands, the belly bands, and the drop straps that hold the band up against them.
fn bands(stage: &Stage, site: &Site, loaded: &Loaded) -> Vec<Check> {
    let stock = &site.gear.strap;
    let drawn = site.gear.belly_band_pull;
    let stations: Vec<f64> = stage
        .fittings
        .belly_bands
        .iter()
        .map(|band| band.station)
        .collect();
    let row = |kind, name: String, demand, capacity, source: String, at| Check {
        kind,
        name,
        case: Some(loaded.case),
        demand,
        capacity,
        quantity: Quantity::Force,
        source,
        at,
    };
    let mut checks = Vec::new();
    let mut held_up: Option<(f64, Point3<f64>)> = None;
    for (k, band) in stage.fittings.belly_bands.iter().enumerate() {
        let before = match k {
            0 => f64::NEG_INFINITY,
            k => 0.5 * (stations[k - 1] + stations[k]),
        };
        let after = stations
            .get(k + 1)
            .map_or(f64::INFINITY, |next| 0.5 * (next + stations[k]));
        let legs = [1.0, -1.0].map(|side| lift(stage, loaded, [before, after], side).0);
        let most = legs[0].max(legs[1]);
        checks.push(row(
            Kind::BellyBand,
            format!("belly band {}", band.id),
            most.max(drawn),
            stock.band.min(stock.buckle),
            rating(stock.band, stock.buckle),
            Some(band.slits[0]),
        ));
        for (slit, leg) in band.slits.iter().zip(legs) {
            let down = drawn - leg;
            if held_up.is_none_or(|(most, _)| down > most) {
                held_up = Some((down, *slit));
            }
        }
    }
    if let Some(band) = band_tension(stage, site, loaded, &stations) {
        checks.push(row(
            Kind::Band,
            "perimeter band".to_owned(),
            band.0,
            stock.band.min(stock.buckle),
            rating(stock.band, stock.buckle),
            Some(band.1),
        ));
    }
    if let Some((down, at)) = held_up.filter(|_| !stage.fittings.drop_straps.is_empty()) {
        // What a belly band pulls down and the film does not pull up hangs on the two drop straps beside it.
        checks.push(row(
            Kind::DropStrap,
            "drop straps".to_owned(),
            0.5 * down.max(0.0),
            stock.rating,
            "rating of the strap, the site's".to_owned(),
            Some(at),
        ));
    }
    checks
}

/// Tension of the band where the film between two belly bands pulls it up most, and where that is: an elastic strap under an
/// even load.
fn band_tension(
    stage: &Stage,
    site: &Site,
    loaded: &Loaded,
    stations: &[f64],
) -> Option<(f64, Point3<f64>)> {
    let mut most: Option<(f64, Point3<f64>)> = None;
    for pair in stations.windows(2) {
        let &[from, to] = pair else { continue };
        for side in [1.0, -1.0] {
            let (force, length) = lift(stage, loaded, [from, to], side);
            if length < GRASP {
                continue;
            }
            let strap = &site.gear.strap;
            let pulled = spread_load(
                force / length,
                length,
                strap.stiffness,
                site.gear.belly_band_pull,
            );
            if most.is_none_or(|(tension, _)| pulled.tension > tension) {
                let beside = stage.hull.edge.at_station(0.5 * (from + to));
                let at =
                    beside.map_or_else(
                        Point3::origin,
                        |[starboard, port]| {
                            if side > 0.0 { port } else { starboard }
                        },
                    );
                most = Some((pulled.tension, at));
            }
        }
    }
    most
}
