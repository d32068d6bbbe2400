//! What a film lacks, smoothly enough to be steered by: areas that are nearly flat, and how they answer to the caps.

use crate::boat::Rules;
use crate::cover::{Cover, Rest};
use crate::geom::surface::{area, edge_neighbors, patches};
use crate::hull::Hull;

/// Film up to so much steeper than the least slope belongs to a zone, rad; 4 deg.
const NEARLY: f64 = 0.0698;

/// Width of the step that counts film as flat, rad; 1 deg.
const SOFT: f64 = 0.01745;

/// A zone whose soft area is under this part of a tolerated patch says nothing.
const MIN_ZONE: f64 = 0.1;

/// Connected film that is flatter than the least slope, or nearly.
pub(super) struct Zone {
    /// Area that is flat, softly counted, m2.
    pub soft: f64,
    /// How that answers to each cap, m2 for each m.
    pub answers: Vec<f64>,
    /// Area of the largest patch in it by the hard rule, m2.
    pub patch: f64,
    /// All that is flat in it by the hard rule, m2.
    pub flat: f64,
}

/// Measures of a film, and how they answer to each cap.
pub(super) struct Measures {
    pub zones: Vec<Zone>,
    /// How the area of the film above the edge answers to each cap, m2 for each m.
    pub film: Vec<f64>,
}

/// The part of a triangle that counts as flat at a slope, and how that changes with the slope, 1/rad.
pub(super) fn flatness(least: f64, slope: f64) -> [f64; 2] {
    let part = 1.0 / (1.0 + ((slope - least) / SOFT * STEEPNESS).exp());
    [part, -part * (1.0 - part) * STEEPNESS / SOFT]
}

/// The step falls from nine tenths to one over its width.
const STEEPNESS: f64 = 4.394;

impl Measures {
    /// Reads a film whose heights answer to the caps as told, one field for each post.
    pub fn of(cover: &Cover, rules: &Rules, answers: &[Vec<f64>]) -> Measures {
        let mesh = &cover.mesh;
        let least = rules.min_slope;
        let on_cap = |t: usize| {
            mesh.triangles[t]
                .iter()
                .all(|node| matches!(cover.under.get(*node as usize), Some(Some(Rest::Cap(_)))))
        };
        let slope = |t: usize| cover.slopes.get(t).copied().unwrap_or(f64::INFINITY);
        let mut film = vec![0.0; answers.len()];
        for t in 0..mesh.triangles.len() {
            let face = Face::of(cover, t);
            for (film, answer) in film.iter_mut().zip(answers) {
                *film += face.area_for(answer);
            }
        }
        let neighbors = edge_neighbors(mesh);
        let nearly = patches(mesh, &neighbors, |t| {
            slope(t) < least + NEARLY && !on_cap(t)
        });
        let mut patch_of = vec![0.0; mesh.triangles.len()];
        for patch in &cover.patches {
            for t in &patch.triangles {
                patch_of[*t as usize] = patch.area;
            }
        }
        let zones = nearly.iter().filter_map(|zone| {
            let mut found = Zone {
                soft: 0.0,
                answers: vec![0.0; answers.len()],
                patch: 0.0,
                flat: 0.0,
            };
            for t in zone.triangles.iter().map(|t| *t as usize) {
                let face = Face::of(cover, t);
                let [part, change] = flatness(least, slope(t));
                found.soft += face.area * part;
                found.patch = found.patch.max(patch_of[t]);
                if slope(t) < least {
                    found.flat += area(mesh, t);
                }
                for (sum, answer) in found.answers.iter_mut().zip(answers) {
                    *sum +=
                        part * face.area_for(answer) + face.area * change * face.slope_for(answer);
                }
            }
            (found.soft > MIN_ZONE * rules.holding_patch).then_some(found)
        });
        Measures {
            zones: zones.collect(),
            film,
        }
    }
}

/// A triangle of film with its gradient.
struct Face {
    nodes: [usize; 3],
    /// Gradients of the three hat functions, 1/m.
    hats: [[f64; 2]; 3],
    plan: f64,
    area: f64,
    gradient: [f64; 2],
}

impl Face {
    fn of(cover: &Cover, t: usize) -> Face {
        let [a, b, c] = cover.mesh.triangle(t);
        let doubled = (b.xy() - a.xy()).perp(&(c.xy() - a.xy()));
        let hat = |p: nalgebra::Point3<f64>, q: nalgebra::Point3<f64>| {
            [(p.y - q.y) / doubled, (q.x - p.x) / doubled]
        };
        let hats = [hat(b, c), hat(c, a), hat(a, b)];
        let gradient = [0, 1].map(|k| a.z * hats[0][k] + b.z * hats[1][k] + c.z * hats[2][k]);
        let [p, q] = gradient;
        Face {
            nodes: cover.mesh.triangles[t].map(|node| node as usize),
            hats,
            plan: 0.5 * doubled,
            area: 0.5 * doubled * (1.0 + p * p + q * q).sqrt(),
            gradient,
        }
    }

    /// Half the change of the gradient's square, for a change of the heights.
    fn steeper(&self, change: &[f64]) -> f64 {
        let along = |k: usize| -> f64 {
            let corners = self.nodes.iter().zip(&self.hats);
            corners.map(|(node, hat)| change[*node] * hat[k]).sum()
        };
        self.gradient[0] * along(0) + self.gradient[1] * along(1)
    }

    fn area_for(&self, change: &[f64]) -> f64 {
        self.plan * self.plan * self.steeper(change) / self.area.max(f64::MIN_POSITIVE)
    }

    fn slope_for(&self, change: &[f64]) -> f64 {
        let square = self.gradient[0].powi(2) + self.gradient[1].powi(2);
        self.steeper(change) / (square.sqrt().max(LEVEL) * (1.0 + square))
    }
}

/// Film flatter than this has no direction in which it gets steeper.
const LEVEL: f64 = 1e-3;

/// How far a film is from holding no more than is allowed, by a part of what is tolerated: flat film, hollows, film on
/// what it must not touch, m2. Zero where it sheds.
pub(super) fn lacking(hull: &Hull, rules: &Rules, cover: &Cover, part: f64) -> f64 {
    let patches: f64 = cover
        .patches
        .iter()
        .map(|patch| (patch.area - part * rules.holding_patch).max(0.0))
        .sum();
    let flat = (cover.flat_area() - part * rules.flat_part * cover.plan_area).max(0.0);
    let ponds: f64 = cover.ponds.iter().map(|pond| pond.plan_area + HOLLOW).sum();
    let touched = cover.contacts.iter().filter(|contact| {
        hull.things
            .get(contact.thing)
            .is_some_and(|thing| !thing.film_may_rest)
    });
    let idle = cover.post_loads.iter().filter(|load| **load <= 0.0);
    patches + flat + ponds + TOUCHED * touched.count() as f64 + HOLLOW * idle.count() as f64
}

/// What a hollow, and a cap that carries nothing, weigh beside flat film, m2.
const HOLLOW: f64 = 0.05;

/// What film on something that it must not touch weighs, m2.
const TOUCHED: f64 = 0.1;
