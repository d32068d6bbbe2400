//! A snow storm over a cover: where snow gathers, where it slides, what stays, what melts into hollows.
//!
//! The storm is a simplification for teaching; [`LEAVES_OUT`] says in words what it leaves out. It is linear:
//! the cover's shape does not change under the snow, so the way that snow takes is found once, when the
//! storm is made, and a step only adds up.

mod melt;
mod slide;

use crate::boat::Rules;
use crate::cover::Cover;
use crate::geom::mesh::Mesh;
use crate::geom::surface::{Pond, plan_area};
use melt::Hollows;
use slide::Slides;

/// What the storm leaves out, to be shown beside it.
pub const LEAVES_OUT: &str = "This storm is a simplification. Snow falls straight down and evenly. It stays \
    where the film is flatter than one sliding angle and slides where it is steeper: real snow slides at \
    angles that scatter with its wetness, the cold and the dirt on the film, and starts late and all at once. \
    What slides goes straight down the slope, never sticks on the way, and spreads evenly over the holding \
    patch that it comes to, however much that already carries. Left out are: the film and the straps giving \
    way under the load (a real hollow grows as it fills), wind and drifts, snow packing down, rain, \
    refreezing, and ice at the edge. Not a check of strength.";

/// How it snows, and when snow slides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StormRules {
    /// Film flatter than this holds snow, rad.
    pub sliding_angle: f64,
    /// Snow that falls on level ground in an hour, kg/m2.
    pub fall: f64,
    /// Density of the snow where it lies, kg/m3.
    pub density: f64,
}

/// Snow that falls in an hour, kg/m2: two centimetres of fresh snow; house rule.
const FALL: f64 = 2.0;

/// Density of fresh snow, kg/m3: ten of snow to one of water, the weather services' rule of thumb, from memory.
/// Wet fresh snow is up to twice as dense.
const FRESH_SNOW: f64 = 100.0;

impl StormRules {
    /// Fresh snow that slides from the least slope up that the rules ask for. That slope is a house rule for just
    /// this; the true angle scatters from about 11 to 26 degrees (see [`Rules::min_slope`]).
    pub fn of(rules: &Rules) -> StormRules {
        StormRules {
            sliding_angle: rules.min_slope,
            fall: FALL,
            density: FRESH_SNOW,
        }
    }
}

/// What has become of the snow so far.
///
/// # Units
/// Kilograms.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Totals {
    /// All that fell on the cover.
    pub fallen: f64,
    /// Snow that lies on the film.
    pub held: f64,
    /// Snow that slid off over the edge.
    pub slid_off: f64,
    /// Melt water that stands in hollows.
    pub in_hollows: f64,
    /// Melt water that ran off over the edge.
    pub ran_off: f64,
}

/// A storm over one cover. Same cover, rules and steps: same answer, bit by bit.
#[derive(Debug, Clone)]
pub struct Storm {
    rules: StormRules,
    /// Plan area of each triangle, m2.
    plan: Vec<f64>,
    slides: Slides,
    hollows: Hollows,
    /// Snow on each triangle, kg.
    mass: Vec<f64>,
    /// Water in each hollow, kg.
    water: Vec<f64>,
    hours: f64,
    fallen: f64,
    slid_off: f64,
    ran_off: f64,
}

impl Storm {
    /// A storm that has not begun, over the film of a cover inside its edge line.
    pub fn new(cover: &Cover, rules: StormRules) -> Storm {
        Storm::over(&cover.mesh, &cover.ponds, rules)
    }

    /// A storm over any height field with its ponds, as [`crate::geom::surface::ponds`] finds them. Triangles run
    /// counter-clockwise from above; snow leaves over the rim.
    pub fn over(mesh: &Mesh, ponds: &[Pond], rules: StormRules) -> Storm {
        Storm {
            rules,
            plan: (0..mesh.triangles.len())
                .map(|t| plan_area(mesh, t))
                .collect(),
            slides: Slides::new(mesh, rules.sliding_angle),
            hollows: Hollows::new(mesh, ponds),
            mass: vec![0.0; mesh.triangles.len()],
            water: vec![0.0; ponds.len()],
            hours: 0.0,
            fallen: 0.0,
            slid_off: 0.0,
            ran_off: 0.0,
        }
    }

    /// Lets it snow on; a time that is not a positive number does nothing.
    ///
    /// # Units
    /// `hours` in hours.
    pub fn step(&mut self, hours: f64) {
        if !(hours.is_finite() && hours > 0.0) {
            return;
        }
        let fall = self.rules.fall * hours;
        self.hours += hours;
        self.fallen += fall * self.plan.iter().sum::<f64>();
        self.slid_off += fall * self.slides.over_edge;
        for (mass, catch) in self.mass.iter_mut().zip(&self.slides.catch) {
            *mass += fall * catch;
        }
    }

    /// Melts a part of the snow that lies. The water runs down whatever slope there is into the hollows, from a
    /// full one on to the next, at last over the edge.
    ///
    /// # Units
    /// `part` from 0 to 1; 1 melts it all.
    pub fn thaw(&mut self, part: f64) {
        if !(part.is_finite() && part > 0.0) {
            return;
        }
        let part = part.min(1.0);
        let water: Vec<f64> = self.mass.iter().map(|mass| part * mass).collect();
        for mass in &mut self.mass {
            *mass -= part * *mass;
        }
        self.ran_off += self.hollows.fill(&water, &mut self.water);
    }

    /// The rules it was made with.
    pub fn rules(&self) -> StormRules {
        self.rules
    }

    /// How long it has snowed, hours.
    pub fn hours(&self) -> f64 {
        self.hours
    }

    /// What has become of the snow so far. Fallen is the sum of the others, up to rounding.
    pub fn totals(&self) -> Totals {
        Totals {
            fallen: self.fallen,
            held: self.mass.iter().sum(),
            slid_off: self.slid_off,
            in_hollows: self.water.iter().sum(),
            ran_off: self.ran_off,
        }
    }

    /// Snow on each triangle of the mesh, kg.
    pub fn masses(&self) -> &[f64] {
        &self.mass
    }

    /// Snow on a triangle by its area seen from above, as loads are given, kg/m2; none where there is no such
    /// triangle or it has no plan area.
    pub fn mass_per_area(&self, triangle: usize) -> f64 {
        match (self.mass.get(triangle), self.plan.get(triangle)) {
            (Some(mass), Some(area)) if *area > 0.0 => mass / area,
            _ => 0.0,
        }
    }

    /// How deep snow lies on a triangle, plumb, m.
    pub fn depth(&self, triangle: usize) -> f64 {
        self.mass_per_area(triangle) / self.rules.density
    }

    /// The greatest depth anywhere, m.
    pub fn deepest(&self) -> f64 {
        (0..self.mass.len())
            .map(|t| self.depth(t))
            .fold(0.0, f64::max)
    }

    /// Water in each hollow, in the order of the cover's ponds, kg.
    pub fn water(&self) -> &[f64] {
        &self.water
    }

    /// How full each hollow is, from 0 to 1.
    pub fn fill(&self) -> impl Iterator<Item = f64> + '_ {
        self.water
            .iter()
            .zip(self.hollows.holds())
            .map(|(water, holds)| if holds > 0.0 { water / holds } else { 1.0 })
    }
}

#[cfg(test)]
mod tests;
