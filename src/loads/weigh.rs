//! All cases of a site, one after the other.

use super::asked::checks;
use super::capacity::{SnowCapacity, snow_capacity};
use super::case::Case;
use super::check::{Check, governing, worst_of_each};
use super::law::FilmLaw;
use super::level::{Method, snow, wind};
use super::loaded::{Loaded, Loading, fill, hang};
use super::on_road::road_checks;
use super::rig::{Materials, Rig};
use super::site::{Site, Stored};
use super::snow::{Surface, balanced, one_sided};
use super::stage::Stage;
use super::wind::{road_pressure, uplift, velocity_pressure};
use crate::boat::Hand;
use crate::cover::{Cover, stretch};
use crate::geom::surface::{plan_area, slope};
use nalgebra::{Point3, Vector3};

/// What snow, wind and road do to a cover.
#[derive(Debug, Clone)]
pub struct Loads {
    /// Where it stands.
    pub site: Site,
    /// The cover under each case.
    pub cases: Vec<Loaded>,
    /// For each thing that is checked the case that asks most of it, in the order of kinds.
    pub checks: Vec<Check>,
    /// The greatest snow that the cover stands; `None` where the site has none.
    pub capacity: Option<SnowCapacity>,
}

impl Loads {
    /// Whether every check holds.
    pub fn stands(&self) -> bool {
        self.checks.iter().all(Check::passes)
    }

    /// The check that is nearest to failing, or fails by most.
    pub fn governing(&self) -> Option<&Check> {
        governing(&self.checks)
    }

    /// The checks of the same cases with other gear in the site, as far as it changes only what things can do.
    pub fn checks_with(&self, stage: &Stage, site: &Site) -> Vec<Check> {
        all_checks(stage, site, &self.cases)
    }

    /// The cover under a case.
    pub fn under(&self, case: Case) -> Option<&Loaded> {
        self.cases.iter().find(|loaded| loaded.case == case)
    }
}

/// Loads a cover by all cases of its site and finds the greatest snow that it stands.
pub fn weigh(stage: &Stage, site: &Site) -> Loads {
    let coarse = coarser(stage);
    let quick = Stage {
        cover: coarse.as_ref().unwrap_or(stage.cover),
        ..*stage
    };
    Loads {
        capacity: snow_capacity(&quick, site),
        ..weigh_at_site(stage, site)
    }
}

/// The greatest snow is sought on a film of about so many nodes where the plan's own has more: an 18 ft boat keeps its own.
const QUICK_NODES: f64 = 3000.0;

/// The same cover on a coarser film; `None` where it is coarse already.
fn coarser(stage: &Stage) -> Option<Cover> {
    let nodes = stage.cover.mesh.vertices.len() as f64;
    let times = (nodes / QUICK_NODES).sqrt();
    if times < WORTH_COARSENING {
        return None;
    }
    let cell = (stage.cover.plan_area / nodes).sqrt() * times;
    stretch(stage.hull, stage.frame, stage.rules, cell)
}

/// A film only so much coarser would save nothing.
const WORTH_COARSENING: f64 = 1.3;

/// The same without the greatest snow, which takes as long as several cases.
pub fn weigh_at_site(stage: &Stage, site: &Site) -> Loads {
    let mut cases = Vec::new();
    if site.snow.is_some() {
        let mut winter = Winter::new(stage, site);
        cases.extend(winter.snow(site, &Hand::BOTH));
    }
    cases.extend(from_below(stage, site));
    let checks = all_checks(stage, site, &cases);
    Loads {
        capacity: None,
        checks,
        cases,
        site: site.clone(),
    }
}

/// The cover under one case of dry snow; `None` for other cases and where the site has no snow.
pub fn under_snow(stage: &Stage, site: &Site, case: Case) -> Option<Loaded> {
    site.snow?;
    if !case.is_snow() || case == Case::RainOnSnow {
        return None;
    }
    let loading = loading(stage, site);
    let mut winter = Winter::new(stage, site);
    let load = snow_load(&winter.rig, site, case);
    Some(hang(&mut winter.rig, &loading, case, &load, None))
}

fn all_checks(stage: &Stage, site: &Site, cases: &[Loaded]) -> Vec<Check> {
    let mut all: Vec<Check> = cases
        .iter()
        .flat_map(|loaded| checks(stage, site, loaded))
        .collect();
    all.extend(road_checks(stage, site));
    worst_of_each(all)
}

/// Film, straps and footings of a site, with the tension that the rules shrink film to.
pub(super) fn materials(stage: &Stage, site: &Site) -> Materials {
    Materials {
        film: FilmLaw {
            stiffness: site.gear.film.modulus * stage.rules.film_thickness,
            poisson: site.gear.film.poisson,
            tension: stage.rules.film_tension,
            left_over: FilmLaw::LEFT_OVER,
        },
        strap_stiffness: site.gear.strap.stiffness,
        footing_stiffness: site.gear.footing_stiffness,
    }
}

fn loading<'a>(stage: &'a Stage, site: &Site) -> Loading<'a> {
    Loading {
        rules: stage.rules,
        thickness: stage.rules.film_thickness,
        yields_at: site.gear.film.yield_stress,
    }
}

/// A cover rigged for snow, which keeps the shapes that it had: near ones are found sooner.
pub(super) struct Winter<'a> {
    stage: &'a Stage<'a>,
    rig: Rig<'a>,
    last: Vec<(Case, Vec<Point3<f64>>)>,
}

impl<'a> Winter<'a> {
    pub fn new(stage: &'a Stage<'a>, site: &Site) -> Winter<'a> {
        Winter {
            rig: Rig::new(stage.frame, stage.cover, &materials(stage, site), true),
            stage,
            last: Vec::new(),
        }
    }

    /// The cases of snow: balanced, drifted to the sides asked for, rain on it.
    pub fn snow(&mut self, site: &Site, sides: &[Hand]) -> Vec<Loaded> {
        let mut found = self.dry_snow(site, sides);
        if let Some(balanced) = found
            .iter()
            .find(|loaded| loaded.case == Case::BalancedSnow)
        {
            let load = snow_load(&self.rig, site, Case::BalancedSnow);
            let wet = fill(&mut self.rig, &loading(self.stage, site), &load, balanced);
            found.push(wet);
        }
        found.sort_by_key(|loaded| loaded.case);
        found
    }

    fn dry_snow(&mut self, site: &Site, sides: &[Hand]) -> Vec<Loaded> {
        let drifts = sides.iter().map(|hand| match hand {
            Hand::Port => Case::SnowToPort,
            Hand::Starboard => Case::SnowToStarboard,
        });
        let dry: Vec<Case> = std::iter::once(Case::BalancedSnow).chain(drifts).collect();
        let loading = loading(self.stage, site);
        let mut found = Vec::new();
        for case in dry {
            let load = snow_load(&self.rig, site, case);
            let from = self.last.iter().find(|(known, _)| *known == case);
            let loaded = hang(
                &mut self.rig,
                &loading,
                case,
                &load,
                from.map(|(_, points)| points.as_slice()),
            );
            self.last.retain(|(known, _)| *known != case);
            self.last.push((case, loaded.mesh.vertices.clone()));
            found.push(loaded);
        }
        found
    }

    /// All checks of some cases of snow.
    pub fn checks(&self, site: &Site, cases: &[Loaded]) -> Vec<Check> {
        let all = cases
            .iter()
            .flat_map(|loaded| checks(self.stage, site, loaded));
        worst_of_each(all.collect())
    }
}

/// Forces of snow on the nodes, N: per plan area by the slope of the taut film under it.
fn snow_load(rig: &Rig, site: &Site, case: Case) -> Vec<Vector3<f64>> {
    let mesh = &rig.cover.mesh;
    let level = snow(site.code, Method::AllowableStress).factor;
    let mut load = vec![Vector3::zeros(); mesh.vertices.len()];
    for (t, triangle) in mesh.triangles.iter().enumerate() {
        let slope = slope(mesh, t);
        let offset: f64 = mesh.triangle(t).iter().map(|p| p.y).sum();
        let pressure = match case.drifted() {
            None => balanced(site, slope, Surface::Other).map(|snow| snow.pressure),
            Some(hand) => one_sided(site, slope).map(|snow| {
                if offset * hand.sign() > 0.0 {
                    snow.loaded
                } else {
                    snow.other
                }
            }),
        };
        let third = level * pressure.unwrap_or(0.0) * plan_area(mesh, t) / 3.0;
        for node in triangle {
            load[*node as usize].z -= third;
        }
    }
    load
}

/// The cases that lift the film: wind where it stands, still air on the road.
fn from_below(stage: &Stage, site: &Site) -> Vec<Loaded> {
    let top = stage
        .cover
        .mesh
        .vertices
        .iter()
        .map(|p| p.z)
        .fold(0.0, f64::max);
    let height = stage.boat.stored_on.keel_height + top;
    let level = wind(site.code, Method::AllowableStress).factor;
    let blown = velocity_pressure(site, height)
        .map(|wind| (Case::WindUplift, level * uplift(site, wind.pressure)));
    let driven = match site.stored {
        Stored::Hauled { speed } => Some((Case::Road, uplift(site, road_pressure(speed)))),
        _ => None,
    };
    let pressures: Vec<(Case, f64)> = [blown, driven].into_iter().flatten().collect();
    if pressures.is_empty() {
        return Vec::new();
    }
    let mut rig = Rig::new(stage.frame, stage.cover, &materials(stage, site), false);
    let loading = loading(stage, site);
    let mut found = Vec::new();
    for (case, pressure) in pressures {
        let load = lifting(&rig, pressure);
        found.push(hang(&mut rig, &loading, case, &load, None));
    }
    found
}

/// Forces of a net pressure from below on the nodes, N: square to the taut film.
fn lifting(rig: &Rig, pressure: f64) -> Vec<Vector3<f64>> {
    let mesh = &rig.cover.mesh;
    let mut load = vec![Vector3::zeros(); mesh.vertices.len()];
    for (t, triangle) in mesh.triangles.iter().enumerate() {
        let [a, b, c] = mesh.triangle(t);
        let third = (b - a).cross(&(c - a)) * (pressure / 6.0);
        for node in triangle {
            load[*node as usize] += third;
        }
    }
    load
}
