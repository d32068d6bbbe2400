//! Snow walked down a cover in short steps, point by point: slow, and unlike the program's own way.

use hulltent::geom::mesh::Mesh;
use nalgebra::{Point2, Vector2};

/// Length of a step, m: a tenth of a cell.
const STEP: f64 = 0.005;

/// Steps after which a walk that goes on in a circle rests: longer than the boats here.
const MAX_STEPS: usize = 2_000;

/// Slices of a snowfall: heaps fill from all sides at once.
const SLICES: usize = 40;

pub struct Walker<'a> {
    mesh: &'a Mesh,
    /// Triangles about each vertex.
    about: Vec<Vec<usize>>,
    /// Unit direction of descent of each triangle; nothing where it is level.
    down: Vec<Vector2<f64>>,
    area: Vec<f64>,
    /// Number of the holding patch that a flat triangle belongs to.
    patch: Vec<Option<usize>>,
    patches: usize,
}

impl Walker<'_> {
    pub fn new(mesh: &Mesh, sliding_angle: f64) -> Walker<'_> {
        let count = mesh.triangles.len();
        let mut about = vec![Vec::new(); mesh.vertices.len()];
        let (mut down, mut area, mut flat) = (Vec::new(), Vec::new(), Vec::new());
        for t in 0..count {
            let [a, b, c] = mesh.triangle(t);
            let normal = (b - a).cross(&(c - a)).normalize();
            down.push(normal.xy().try_normalize(1e-12).unwrap_or_default());
            flat.push(normal.z > sliding_angle.cos());
            area.push(0.5 * (b - a).xy().perp(&(c - a).xy()));
            for v in mesh.triangles[t] {
                about[v as usize].push(t);
            }
        }
        let mut walker = Walker {
            mesh,
            about,
            down,
            area,
            patch: vec![None; count],
            patches: 0,
        };
        for t in 0..count {
            if flat[t] && walker.patch[t].is_none() {
                walker.flood(t, &flat);
            }
        }
        walker
    }

    /// Numbers a holding patch: triangles that share two vertices.
    fn flood(&mut self, first: usize, flat: &[bool]) {
        let mut queue = vec![first];
        while let Some(t) = queue.pop() {
            if self.patch[t].replace(self.patches).is_some() {
                continue;
            }
            let corners = self.mesh.triangles[t];
            for u in corners.iter().flat_map(|v| &self.about[*v as usize]) {
                let other = self.mesh.triangles[*u];
                let shared = corners.iter().filter(|v| other.contains(v)).count();
                if shared == 2 && flat[*u] && self.patch[*u].is_none() {
                    queue.push(*u);
                }
            }
        }
        self.patches += 1;
    }

    fn contains(&self, t: usize, p: Point2<f64>) -> bool {
        let corners = self.mesh.triangle(t).map(|c| c.xy());
        (0..3).all(|k| {
            let (a, b) = (corners[k], corners[(k + 1) % 3]);
            (b - a).perp(&(p - a)) >= -1e-12
        })
    }

    /// The triangle about a point, near another; the rim's outside has none.
    fn locate(&self, near: usize, p: Point2<f64>) -> Option<usize> {
        if self.contains(near, p) {
            return Some(near);
        }
        let around = |t: usize| {
            let corners = self.mesh.triangles[t].into_iter();
            corners.flat_map(|v| self.about[v as usize].iter().copied())
        };
        around(near)
            .find(|t| self.contains(*t, p))
            .or_else(|| around(near).flat_map(around).find(|t| self.contains(*t, p)))
    }

    /// The holding patches that snow from a point of a triangle would cross on its way down, in their order, and
    /// whether it comes to rest on the cover. Where no heap is ever full it goes no further than the first.
    fn walk(&self, start: usize, from: Point2<f64>, boundless: bool) -> (Vec<usize>, bool) {
        let (mut t, mut p) = (start, from);
        let mut crossed = Vec::new();
        for _ in 0..MAX_STEPS {
            if let Some(patch) = self.patch[t]
                && crossed.last() != Some(&patch)
            {
                crossed.push(patch);
                if boundless {
                    return (crossed, true);
                }
            }
            if self.down[t] == Vector2::zeros() {
                return (crossed, true);
            }
            p += STEP * self.down[t];
            match self.locate(t, p) {
                Some(next) => t = next,
                None => return (crossed, false),
            }
        }
        (crossed, true)
    }

    /// Mass held, kg, after a snowfall of so much, kg/m2, where heaps stand up to a slope (its tangent).
    pub fn held(&self, fall: f64, density: f64, heap: f64) -> f64 {
        let mut areas = vec![0.0; self.patches];
        let mut held = 0.0;
        let mut walks = Vec::new();
        for t in 0..self.area.len() {
            if let Some(patch) = self.patch[t] {
                areas[patch] += self.area[t];
                held += fall * self.area[t];
                continue;
            }
            let corners = self.mesh.triangle(t).map(|c| c.xy().coords);
            let middle = (corners[0] + corners[1] + corners[2]) / 3.0;
            for part in [corners[0], corners[1], corners[2], middle] {
                let point = Point2::from(0.5 * (part + middle));
                walks.push((self.walk(t, point, heap.is_infinite()), 0.25 * self.area[t]));
            }
        }
        let mut room: Vec<f64> = areas
            .iter()
            .map(|area| {
                let volume = area * (area / std::f64::consts::PI).sqrt() * heap / 3.0;
                density * volume
            })
            .collect();
        for _ in 0..SLICES {
            for ((crossed, rests), area) in &walks {
                let mut snow = fall * area / SLICES as f64;
                for patch in crossed {
                    let taken = snow.min(room[*patch]);
                    room[*patch] -= taken;
                    snow -= taken;
                    held += taken;
                }
                if *rests {
                    held += snow;
                }
            }
        }
        held
    }
}
