//! The energy of a film with its load, its gradient and its Hessian.

use super::blocks::add;
use super::strap::{SlidingCable, thick};
use super::stretch::{Facet, Stretched, Tangent};
use super::{COUPLINGS, ElasticFilm, NONE};
use crate::num::newton::{RankOne, Smooth};
use crate::num::sparse::SymmetricMatrix;
use nalgebra::{Matrix3, Point3, Vector3};

/// A film with a load.
pub(super) struct Loaded<'a> {
    pub(super) film: &'a ElasticFilm,
    pub(super) load: &'a [Vector3<f64>],
}

impl Loaded<'_> {
    /// Everything but the film's own energy; small sums.
    fn rest_of_energy(&self, points: &[Point3<f64>]) -> f64 {
        let film = self.film;
        let cables: f64 = film
            .cables
            .iter()
            .map(|cable| {
                let tension = cable.tension(cable.length(points));
                0.5 * tension * tension * cable.drawn / cable.stiffness
            })
            .sum();
        let supports: f64 = film
            .supports
            .iter()
            .map(|support| 0.5 * support.push(points).powi(2) / support.stiffness)
            .sum();
        let grips: f64 = film
            .caps
            .iter()
            .map(|cap| {
                let moved = points[cap.node as usize] - film.points[cap.node as usize];
                let square = moved.component_mul(&moved);
                0.5 * cap.stiffness.dot(&square) - cap.at_rest.dot(&moved)
            })
            .sum();
        let work: f64 = points
            .iter()
            .zip(&film.points)
            .zip(self.load)
            .map(|((point, rest), load)| load.dot(&(point - rest)))
            .sum();
        cables + supports + grips - work
    }

    fn left_over_energy(&self, facet: &Facet, points: &[Point3<f64>]) -> f64 {
        let film = self.film;
        let mut sides = [Vector3::zeros(); 2];
        for (node, hat) in facet.nodes.iter().zip(&facet.hats) {
            let moved = points[*node as usize] - film.points[*node as usize];
            sides[0] += moved * hat.x;
            sides[1] += moved * hat.y;
        }
        0.5 * film.law.left_over
            * film.law.stiffness
            * facet.area
            * (sides[0].norm_squared() + sides[1].norm_squared())
    }
}

impl Smooth for Loaded<'_> {
    fn unknowns(&self) -> usize {
        self.film.unknowns
    }

    fn pattern(&self) -> SymmetricMatrix {
        self.film.pattern.clone()
    }

    fn value(&self, x: &[f64]) -> f64 {
        let points = self.film.positions(x);
        let film: f64 = self
            .film
            .facets
            .iter()
            .filter(|facet| !facet.stiff)
            .map(|facet| {
                let stretched = Stretched::of(facet, &points);
                facet.area * self.film.law.respond(stretched.stretches).energy
                    + self.left_over_energy(facet, &points)
            })
            .sum();
        film + self.rest_of_energy(&points)
    }

    fn derivatives(
        &self,
        x: &[f64],
        gradient: &mut [f64],
        hessian: &mut SymmetricMatrix,
        terms: &mut Vec<RankOne>,
    ) -> f64 {
        let film = self.film;
        let points = film.positions(x);
        hessian.values.fill(0.0);
        terms.clear();
        let mut energy = self.rest_of_energy(&points);
        let mut forces: Vec<Vector3<f64>> = self.load.iter().map(|load| -load).collect();
        for facet in film.facets.iter().filter(|facet| !facet.stiff) {
            let stretched = Stretched::of(facet, &points);
            let response = film.law.respond(stretched.stretches);
            energy += facet.area * response.energy + self.left_over_energy(facet, &points);
            for (k, node) in facet.nodes.iter().enumerate() {
                forces[*node as usize] +=
                    stretched.force(facet, response.pull, k) + film.left_over(facet, &points, k);
            }
            let tangent = Tangent::of(&stretched, &response);
            for (places, (i, j)) in facet.places.iter().zip(COUPLINGS) {
                let block = tangent.block(&stretched, facet.hats[i], facet.hats[j]) * facet.area;
                let left = film.law.left_over
                    * film.law.stiffness
                    * facet.area
                    * facet.hats[i].dot(&facet.hats[j]);
                add(
                    &mut hessian.values,
                    places,
                    &(block + Matrix3::from_diagonal_element(left)),
                );
            }
        }
        for cable in &film.cables {
            self.cable(cable, &points, &mut forces, hessian, terms);
        }
        for support in &film.supports {
            let push = support.push(&points);
            forces[support.node as usize].z -= push;
            let row = film.unknowns_at[support.node as usize][2];
            if push > 0.0
                && row != NONE
                && let Some(place) = hessian.entry(row, row)
            {
                hessian.values[place] += support.stiffness;
            }
        }
        for cap in &film.caps {
            forces[cap.node as usize] -= cap.grip(film, &points);
            for (row, stiffness) in film.unknowns_at[cap.node as usize]
                .iter()
                .zip(cap.stiffness.iter())
            {
                if *row != NONE
                    && let Some(place) = hessian.entry(*row, *row)
                {
                    hessian.values[place] += stiffness;
                }
            }
        }
        gradient.fill(0.0);
        for (force, unknowns) in forces.iter().zip(&film.unknowns_at) {
            for (unknown, part) in unknowns.iter().zip(force.iter()) {
                if *unknown != NONE {
                    gradient[*unknown as usize] += part;
                }
            }
        }
        energy
    }
}

impl Loaded<'_> {
    fn cable(
        &self,
        cable: &SlidingCable,
        points: &[Point3<f64>],
        forces: &mut [Vector3<f64>],
        hessian: &mut SymmetricMatrix,
        terms: &mut Vec<RankOne>,
    ) {
        let tension = cable.tension(cable.length(points));
        if tension <= 0.0 {
            return;
        }
        let mut term = RankOne {
            weight: cable.stiffness / cable.drawn,
            entries: Vec::with_capacity(6 * cable.nodes.len()),
        };
        for (pair, places) in cable.nodes.windows(2).zip(&cable.places) {
            let &[a, b] = pair else { continue };
            let run = points[b as usize] - points[a as usize];
            let length = thick(run);
            let along = run / length;
            forces[a as usize] -= along * tension;
            forces[b as usize] += along * tension;
            let block = (Matrix3::identity() - along * along.transpose()) * (tension / length);
            for (places, sign) in places.iter().zip([1.0, 1.0, -1.0]) {
                add(&mut hessian.values, places, &(block * sign));
            }
            for (node, sign) in [(a, -1.0), (b, 1.0)] {
                let unknowns = self.film.unknowns_at[node as usize];
                if unknowns[0] != NONE {
                    let entries = unknowns.iter().zip(along.iter());
                    term.entries
                        .extend(entries.map(|(row, part)| (*row, sign * part)));
                }
            }
        }
        terms.push(term);
    }
}
