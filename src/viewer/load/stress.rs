//! Loaded film colored by its stress, as a share of what the site's film may bear.

use crate::export::slope_color;
use crate::geom::surface::area;
use crate::loads::{Loaded, Site};

/// Greatest share on the scale.
pub const MOST: f64 = 1.5;

/// Slopes whose colors shares borrow, rad: at the limit the least slope, for nothing borne the steepest that
/// [`slope_color`] tells apart over it.
const AT_LIMIT: f64 = std::f64::consts::FRAC_PI_4;
/// See [`AT_LIMIT`].
const AT_NOTHING: f64 = 1.5 * AT_LIMIT;

/// The color of a share: dark where little is borne, with the break in lightness at the limit, over which film is yellow,
/// as it is where it is too flat.
pub fn color(share: f64) -> [f32; 4] {
    let slope = if share > 1.0 {
        AT_LIMIT * (MOST - share) / (MOST - 1.0)
    } else {
        AT_LIMIT + (AT_NOTHING - AT_LIMIT) * (1.0 - share)
    };
    slope_color(slope, AT_LIMIT)
}

/// For each vertex of the loaded film the color of the mean stress about it, weighted by area: linear red, green, blue,
/// alpha.
pub fn colors(loaded: &Loaded, site: &Site) -> Vec<[f32; 4]> {
    let allowed = site.gear.film.allowable();
    let mesh = &loaded.mesh;
    let mut sums = vec![(0.0, 0.0); mesh.vertices.len()];
    for (t, (corners, stress)) in mesh.triangles.iter().zip(&loaded.stresses).enumerate() {
        let weight = area(mesh, t);
        for corner in corners {
            if let Some((weights, stresses)) = sums.get_mut(*corner as usize) {
                *weights += weight;
                *stresses += weight * stress;
            }
        }
    }
    sums.into_iter()
        .map(|(weight, stress)| {
            let mean = if weight > 0.0 { stress / weight } else { 0.0 };
            color(mean / allowed)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn film_grows_lighter_with_its_stress_and_breaks_at_the_limit() {
        let light = |share: f64| {
            let [red, green, blue, _] = color(share);
            0.2126 * red + 0.7152 * green + 0.0722 * blue
        };
        let shares = [0.0, 0.3, 0.6, 0.9, 1.0, 1.01, 1.2, 1.4];
        let lights = shares.map(light);
        assert!(lights.is_sorted(), "{lights:?}");
        let step = |k: usize| lights[k + 1] - lights[k];
        assert!(step(4) > 3.0 * step(3), "a break at the limit: {lights:?}");
    }
}
