//! A snow storm over a cover: where snow gathers, where it slides, what stays, what melts into hollows.
//!
//! The storm is a simplification for teaching; [`LEAVES_OUT`] says in words what it leaves out. The cover's shape does not
//! change under the snow, so the way that snow takes changes only when a holding patch is full; between these
//! moments all grows in proportion to time. A storm in many steps is therefore the same as in one.

mod melt;
mod slide;

use crate::boat::Rules;
use crate::cover::Cover;
use crate::geom::mesh::Mesh;
use crate::geom::surface::{Pond, plan_area};
use melt::Hollows;
use slide::{Carried, Ways};

/// What the storm leaves out, to be shown beside it.
pub const LEAVES_OUT: &str = "This storm is a simplification. Snow falls straight down and evenly. It stays \
    where the film is flatter than one sliding angle and slides where it is steeper: real snow slides at \
    angles that scatter with its wetness, the cold and the dirt on the film, and starts late and all at once. \
    What slides goes straight down the slope and never sticks on the way. On a holding patch it spreads evenly, up to \
    a heap as if the patch were round; what does not fit slides on. Left out are: the film and the straps giving \
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
    /// How steeply what slides onto a holding patch may heap up on it, rad.
    pub heap: f64,
}

/// Snow that falls in an hour, kg/m2: two centimeters of fresh snow; house rule.
const FALL: f64 = 2.0;

/// Density of fresh snow, kg/m3: ten of snow to one of water, the weather services' rule of thumb, from memory.
/// Wet fresh snow is up to twice as dense.
const FRESH_SNOW: f64 = 100.0;

/// How steeply fresh snow heaps up, rad: 45 degrees, about its angle of repose, from memory.
const HEAP: f64 = std::f64::consts::FRAC_PI_4;

impl StormRules {
    /// Fresh snow that slides from the least slope up that the rules ask for. That slope is a house rule for just
    /// this; the true angle scatters from about 11 to 26 degrees (see [`Rules::min_slope`]).
    pub fn of(rules: &Rules) -> StormRules {
        StormRules {
            sliding_angle: rules.min_slope,
            fall: FALL,
            density: FRESH_SNOW,
            heap: HEAP,
        }
    }

    /// How long it takes to snow this deep on level ground, hours.
    ///
    /// # Units
    /// `snow` in meters.
    pub fn hours(&self, snow: f64) -> f64 {
        snow * self.density / self.fall
    }

    /// What a heap on a patch of this plan area weighs: a cone on a round patch, a third of its height on average.
    ///
    /// # Units
    /// Square meters; the answer in kilograms.
    pub fn heap_mass(&self, area: f64) -> f64 {
        let radius = (area / std::f64::consts::PI).sqrt();
        self.density * area * radius * self.heap.tan() / 3.0
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
    ways: Ways,
    /// Where snow goes as things stand, by plan area, m2: times the fall it is a mass.
    goes: Carried,
    hollows: Hollows,
    /// Snow on each triangle, kg.
    mass: Vec<f64>,
    /// What has slid onto each holding patch, kg, and whether it takes more.
    heaps: Vec<f64>,
    full: Vec<bool>,
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
        let plan: Vec<f64> = (0..mesh.triangles.len())
            .map(|t| plan_area(mesh, t))
            .collect();
        let ways = Ways::new(mesh, rules.sliding_angle);
        let full = vec![false; ways.heaps.len()];
        Storm {
            rules,
            goes: ways.carry(&plan, &full),
            plan,
            hollows: Hollows::new(mesh, ponds),
            mass: vec![0.0; mesh.triangles.len()],
            heaps: vec![0.0; full.len()],
            full,
            ways,
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
        self.hours += hours;
        let mut left = self.rules.fall * hours;
        // Each turn but the last fills a holding patch.
        while left > 0.0 {
            let next = self.next_full().filter(|(_, fall)| *fall < left);
            let fall = next.map_or(left, |(_, fall)| fall);
            self.snow(fall);
            left -= fall;
            let Some((patch, _)) = next else { break };
            self.full[patch] = true;
            self.goes = self.ways.carry(&self.plan, &self.full);
        }
    }

    /// The holding patch that is full first, and the snowfall until then, kg/m2.
    fn next_full(&self) -> Option<(usize, f64)> {
        (0..self.heaps.len())
            .filter(|p| !self.full[*p] && self.goes.slid[*p] > 0.0)
            .map(|p| {
                let room = self.rules.heap_mass(self.ways.heaps[p].area) - self.heaps[p];
                (p, room.max(0.0) / self.goes.slid[p])
            })
            .min_by(|(_, a), (_, b)| a.total_cmp(b))
    }

    /// A snowfall, kg/m2, while nothing changes its ways.
    fn snow(&mut self, fall: f64) {
        self.fallen += fall * self.plan.iter().sum::<f64>();
        self.slid_off += fall * self.goes.over_edge;
        for (mass, stays) in self.mass.iter_mut().zip(&self.goes.stays) {
            *mass += fall * stays;
        }
        for (p, slid) in self.goes.slid.iter().enumerate() {
            if *slid > 0.0 {
                self.heaps[p] += fall * slid;
                for (t, part) in &self.ways.heaps[p].parts {
                    self.mass[*t] += part * fall * slid;
                }
            }
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
        for heap in &mut self.heaps {
            *heap -= part * *heap;
        }
        self.full.fill(false);
        self.goes = self.ways.carry(&self.plan, &self.full);
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
            held: self.mass.iter().fold(0.0, |sum, mass| sum + mass),
            slid_off: self.slid_off,
            in_hollows: self.water.iter().fold(0.0, |sum, water| sum + water),
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
