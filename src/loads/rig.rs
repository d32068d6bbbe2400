//! From a planned cover to an elastic film with its straps, caps and rests.

use super::elastic::{Cable, ElasticFilm, Grip, LoadedShape, Parts, Support};
use super::law::FilmLaw;
use super::loaded::{EdgeForce, Pressed};
use crate::cover::{Cover, Rest};
use crate::frame::{Frame, StrapKind};
use nalgebra::{Point3, Vector3};

/// What film, straps and footings are made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Materials {
    /// The film, with its tension as shrunk.
    pub film: FilmLaw,
    /// Modulus times cross-section of a strap, N.
    pub strap_stiffness: f64,
    /// Load of a post that presses it down by a meter, footing and all, N/m.
    pub footing_stiffness: f64,
}

/// How a thing with its pad gives under film, N/m3: a centimeter under the pressure of a hand.
const PAD_STIFFNESS: f64 = 1.0e6;

/// How film sticks where it rests on the boat when it is taut, over its edges and by friction, N/m3: it does not slide off what
/// carries it.
const STICKING: f64 = 1.0e7;

/// A cover that can be loaded.
pub(super) struct Rig<'a> {
    pub cover: &'a Cover,
    pub frame: &'a Frame,
    film: ElasticFilm,
    /// What each support stands for.
    rests: Vec<(u32, Rest)>,
    /// Whether straps carry film: they lie under it, so that they hold nothing down.
    straps: bool,
    /// Part of the plan that belongs to each node, m2.
    pub plan_areas: Vec<f64>,
    /// Length of edge that belongs to each node of it, in its order, m.
    pub edge_lengths: Vec<f64>,
}

impl<'a> Rig<'a> {
    /// Rigs a cover; without `straps` for wind from below, which lifts film off them.
    pub fn new(frame: &'a Frame, cover: &'a Cover, materials: &Materials, straps: bool) -> Rig<'a> {
        let count = cover.mesh.vertices.len();
        let mut fixed = vec![false; count];
        for node in &cover.edge {
            fixed[*node as usize] = true;
        }
        let mut plan_areas = vec![0.0; count];
        for triangle in &cover.mesh.triangles {
            let [a, b, c] = triangle.map(|node| cover.mesh.vertices[node as usize].xy());
            let third = (b - a).perp(&(c - a)) / 6.0;
            for node in triangle {
                plan_areas[*node as usize] += third;
            }
        }
        let mut cap_nodes: Vec<Vec<u32>> = vec![Vec::new(); frame.posts.len()];
        let mut supports = Vec::new();
        let mut rests = Vec::new();
        let mut caps = Vec::new();
        for (node, under) in (0u32..).zip(&cover.under) {
            match under.filter(|_| !fixed[node as usize]) {
                Some(Rest::Cap(post)) => {
                    if let Some(nodes) = cap_nodes.get_mut(post) {
                        nodes.push(node);
                    }
                }
                Some(rest) => {
                    let stiffness = PAD_STIFFNESS * plan_areas[node as usize];
                    supports.push(rest_under(cover, &[node], stiffness));
                    rests.push((node, rest));
                    if cover.pushes[node as usize] > 0.0 {
                        let stiffness = STICKING * plan_areas[node as usize];
                        let grip = Grip {
                            stiffness: [stiffness; 2],
                        };
                        caps.push((vec![node], grip));
                    }
                }
                None => {}
            }
        }
        for (post, nodes) in cap_nodes.into_iter().enumerate() {
            let Some(first) = nodes.first() else { continue };
            supports.push(rest_under(cover, &nodes, materials.footing_stiffness));
            rests.push((*first, Rest::Cap(post)));
            let grip = grip(frame, post, materials.strap_stiffness);
            caps.push((nodes, grip));
        }
        let cables: Vec<Cable> = frame
            .straps
            .iter()
            .zip(&cover.straps)
            .filter(|_| straps)
            .map(|(strap, shape)| Cable {
                nodes: shape.nodes.clone(),
                stiffness: materials.strap_stiffness,
                tension: strap.tension,
                lead: strap.lead,
            })
            .collect();
        let parts = Parts {
            points: &cover.mesh.vertices,
            triangles: &cover.mesh.triangles,
            fixed: &fixed,
            caps: &caps,
            cables: &cables,
            supports: &supports,
        };
        let film = ElasticFilm::new(parts, materials.film);
        let at = |k: usize| cover.mesh.vertices[cover.edge[k % cover.edge.len()] as usize];
        let edge_lengths = (0..cover.edge.len())
            .map(|k| {
                let before = at(k + cover.edge.len() - 1);
                0.5 * ((at(k) - before).norm() + (at(k + 1) - at(k)).norm())
            })
            .collect();
        Rig {
            cover,
            frame,
            film,
            rests,
            straps,
            plan_areas,
            edge_lengths,
        }
    }

    /// Solves the film under forces on its nodes, N.
    pub fn load(&mut self, load: &[Vector3<f64>], from: Option<&[Point3<f64>]>) -> LoadedShape {
        self.film.solve(load, from)
    }

    /// Load of each post, N.
    pub fn post_loads(&self, shape: &LoadedShape) -> Vec<f64> {
        let mut loads = vec![0.0; self.frame.posts.len()];
        for ((_, rest), push) in self.rests.iter().zip(&shape.pushes) {
            if let Rest::Cap(post) = rest
                && let Some(load) = loads.get_mut(*post)
            {
                *load += push;
            }
        }
        loads
    }

    /// Things of the boat that carry film.
    pub fn pressed_things(&self, shape: &LoadedShape) -> Vec<Pressed> {
        let mut found: std::collections::BTreeMap<usize, (f64, f64)> = Default::default();
        for ((node, rest), push) in self.rests.iter().zip(&shape.pushes) {
            if let Rest::Thing(thing) = rest
                && *push > 0.0
            {
                let entry = found.entry(*thing).or_default();
                entry.0 += push;
                let area = self.plan_areas[*node as usize];
                entry.1 = entry.1.max(push / area.max(f64::MIN_POSITIVE));
            }
        }
        let pressed = |(thing, (force, pressure))| Pressed {
            thing,
            force,
            pressure,
        };
        found.into_iter().map(pressed).collect()
    }

    /// What the film alone pulls at each node of the edge: straps end at anchors of their own.
    pub fn edge_forces(&self, shape: &LoadedShape) -> Vec<EdgeForce> {
        let mut forces = shape.reactions.clone();
        if self.straps {
            for (strap, tension) in self.cover.straps.iter().zip(&shape.cable_tensions) {
                let mut end = |node: Option<&u32>, next: Option<&u32>| {
                    if let (Some(node), Some(next)) = (node, next) {
                        let run = shape.points[*next as usize] - shape.points[*node as usize];
                        // The strap pulls its end toward its next node, and is held back there.
                        forces[*node as usize] += run.normalize() * *tension;
                    }
                };
                let nodes = &strap.nodes;
                end(nodes.first(), nodes.get(1));
                end(
                    nodes.last(),
                    nodes.len().checked_sub(2).and_then(|k| nodes.get(k)),
                );
            }
        }
        let count = self.cover.edge.len();
        let at = |k: usize| shape.points[self.cover.edge[k % count] as usize];
        (0..count)
            .map(|k| {
                let along = (at(k + 1) - at(k + count - 1)).normalize();
                let force = forces[self.cover.edge[k] as usize];
                let length = self.edge_lengths[k];
                let across = (force - along * force.dot(&along)).norm() / length;
                let skirt = self.cover.band[k] - at(k);
                let upright = (-skirt.z / skirt.norm()).max(0.0);
                EdgeForce {
                    across,
                    lifts_band: across * upright,
                    length,
                }
            })
            .collect()
    }
}

/// What is under some nodes that move together: where the taut film presses on it, it is pressed already.
fn rest_under(cover: &Cover, nodes: &[u32], stiffness: f64) -> Support {
    let node = nodes.first().copied().unwrap_or_default();
    let pushed: f64 = nodes.iter().map(|node| cover.pushes[*node as usize]).sum();
    let height = if pushed > 0.0 {
        cover.mesh.vertices[node as usize].z + pushed / stiffness
    } else {
        cover.floor[node as usize]
    };
    Support {
        node,
        height,
        stiffness,
    }
}

/// How the ridge strap holds a cap that it is threaded through: along the boat, by what it gives toward both of its ends.
fn grip(frame: &Frame, post: usize, strap_stiffness: f64) -> Grip {
    let Some(post) = frame.posts.get(post) else {
        return Grip::default();
    };
    let along: f64 = frame
        .straps
        .iter()
        .filter(|strap| strap.kind == StrapKind::Ridge)
        .filter(|strap| {
            strap
                .plan
                .iter()
                .any(|p| (p - post.top().xy()).norm() < ON_CAP)
        })
        .filter_map(|strap| Some([strap.plan.first()?.x, strap.plan.last()?.x]))
        .flatten()
        .map(|end| strap_stiffness / (end - post.station).abs().max(SHORTEST_STRAP))
        .sum();
    Grip {
        stiffness: [along, 0.0],
    }
}

/// A strap runs over a cap whose middle is this near to one of its corners in plan, m.
const ON_CAP: f64 = 1e-6;

/// No strap between anchors is shorter, m.
const SHORTEST_STRAP: f64 = 0.1;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;
    use crate::num::bounded::Status;
    use crate::plan::{Plan, plan};

    fn planned(name: &str) -> Plan {
        let mut boat = preset(name).unwrap().boat().unwrap();
        boat.rules.coarsen(3.0);
        plan(&boat, &boat.rules).unwrap()
    }

    const MATERIALS: Materials = Materials {
        film: FilmLaw {
            stiffness: 26_670.0,
            poisson: 0.4,
            tension: 100.0,
            left_over: FilmLaw::LEFT_OVER,
        },
        strap_stiffness: 40e3,
        footing_stiffness: 200e3,
    };

    #[test]
    fn without_load_a_cover_hangs_about_as_it_was_drawn() {
        for name in ["open-runabout-18", "flybridge-40"] {
            let plan = planned(name);
            let mut rig = Rig::new(&plan.frame, &plan.cover, &MATERIALS, true);
            let nothing = vec![Vector3::zeros(); plan.cover.mesh.vertices.len()];
            let shape = rig.load(&nothing, None);
            assert_eq!(shape.status, Status::Converged);
            // What the section in plan held sideways settles by the film's own give: an inch at most.
            let moved = shape.points.iter().zip(&plan.cover.mesh.vertices);
            let most = moved.map(|(a, b)| (a - b).norm()).fold(0.0, f64::max);
            assert!(most < 0.0254, "{name}: {most}");
            for (load, taut) in rig.post_loads(&shape).iter().zip(&plan.cover.post_loads) {
                assert!(
                    (load - taut).abs() < 0.05 * taut + 10.0,
                    "{name}: {load} {taut}"
                );
            }
            for (tension, strap) in shape.cable_tensions.iter().zip(&plan.frame.straps) {
                let drawn = strap.tension;
                assert!(
                    (tension - drawn).abs() < 0.1 * drawn,
                    "{name}: {tension} {drawn}"
                );
            }
        }
    }

    #[test]
    fn energy_falls_and_forces_balance_on_boats() {
        for name in ["open-runabout-18", "flybridge-40"] {
            let plan = planned(name);
            let mut rig = Rig::new(&plan.frame, &plan.cover, &MATERIALS, true);
            for pressure in [50.0, 800.0, 3000.0] {
                let load: Vec<_> = rig
                    .plan_areas
                    .iter()
                    .map(|area| Vector3::new(0.0, 0.0, -pressure * area))
                    .collect();
                let shape = rig.load(&load, None);
                assert_eq!(shape.status, Status::Converged, "{name} {pressure}");
                let rounding = 1e-9 * shape.energies.iter().fold(1.0, |a: f64, b| a.max(b.abs()));
                let falls = |pair: &[f64]| pair[1] <= pair[0] + rounding;
                assert!(shape.energies.windows(2).all(falls), "{name} {pressure}");
                let total: Vector3<f64> = load.iter().sum();
                let held: Vector3<f64> = shape.reactions.iter().chain(&shape.grips).sum();
                let pushed: f64 = shape.pushes.iter().sum();
                let left = (total + held + Vector3::z() * pushed).norm();
                assert!(left < 1e-6 * total.norm(), "{name} {pressure}: {left}");
            }
        }
    }
}
