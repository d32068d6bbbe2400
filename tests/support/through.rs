//! How far boxes and tubes stand through the film, from the meshes that are handed out.

use super::film::Film;
use hulltent::plan::Plan;
use nalgebra::Point3;

/// Spacing of the points that are compared, m.
const SPACING: f64 = 0.01;

/// Less is not looked at, m.
const NOTHING: f64 = 1e-3;

/// How far a thing stands through the film, which thing, and where, m: its distance from the film where it is higher.
pub fn deepest(plan: &Plan, film: &Film) -> (f64, String, Point3<f64>) {
    let mut worst = (0.0, String::new(), Point3::origin());
    for thing in plan.hull.things.iter().filter(|thing| !thing.left_out) {
        let mesh = &thing.mesh;
        for t in &mesh.triangles {
            for k in 0..3 {
                let (a, b) = (t[k], t[(k + 1) % 3]);
                if a > b {
                    continue;
                }
                let [a, b] = [a, b].map(|v| mesh.vertices[v as usize]);
                let pieces = ((b - a).norm() / SPACING).ceil().max(1.0) as usize;
                for i in 0..=pieces {
                    let p = a + (b - a) * (i as f64 / pieces as f64);
                    let over = film.height(p.x, p.y).map_or(0.0, |z| p.z - z);
                    if over > NOTHING.max(worst.0) {
                        let through = film.distance(&p);
                        if through > worst.0 {
                            worst = (through, thing.name.clone(), p);
                        }
                    }
                }
            }
        }
    }
    worst
}
