//! Boxes and tubes above the deck as the film meets them: heights over the plan, and closed meshes.

use crate::boat::{BoxKind, DeckBox, Rules, Tube};
use crate::geom::build::SweepFault;
use crate::geom::mesh::Mesh;
use crate::geom::sample::UpperSide;
use nalgebra::{Point2, Point3, Vector3};

/// Something above the deck that film or ridge may meet.
#[derive(Debug, Clone)]
pub struct Thing {
    /// What the crew calls it.
    pub name: String,
    /// Film may rest on it.
    pub film_may_rest: bool,
    /// A post may stand on it.
    pub post_may_stand: bool,
    /// The film's edge goes round it where it reaches past the hull.
    pub film_goes_round: bool,
    /// Low and outside the film altogether (a swim platform).
    pub left_out: bool,
    /// Clearance of the ridge over its top, m.
    pub clearance: f64,
    /// The ridge strap may lie on it instead of on a post.
    pub carries_ridge: bool,
    /// Closed mesh: the one shape that film, sections, drawings and files go by.
    pub mesh: Mesh,
    upper: UpperSide,
    crest: Vec<Point3<f64>>,
    form: Form,
}

#[derive(Debug, Clone)]
enum Form {
    Box(BoxForm),
    Tube { axis: Vec<Point3<f64>>, radius: f64 },
}

/// A frustum: foot and top rectangles, and the planes of its sides.
#[derive(Debug, Clone)]
struct BoxForm {
    /// Foot and top corners, counter-clockwise from above: aft starboard, fore starboard, fore port, aft port.
    foot: [Point3<f64>; 4],
    top: [Point3<f64>; 4],
}

/// A point this near the rim of a box in plan still counts as on it, m: a mesh node on the rim must not
/// slip off by rounding.
const ON_RIM: f64 = 1e-7;

/// Sides of a tube's mesh.
const TUBE_SIDES: usize = 12;

/// A tube whose axis advances less than this in plan is upright there, m.
const UPRIGHT_RUN: f64 = 1e-6;

impl Thing {
    /// From a box of the boat file.
    pub fn from_box(deck_box: &DeckBox, rules: &Rules) -> Thing {
        let clearance = deck_box.ridge_clearance(rules);
        let form = BoxForm::new(deck_box);
        let mesh = Mesh::frustum(form.foot, form.top);
        let upper = UpperSide::of(&mesh);
        Thing {
            name: deck_box.name.clone(),
            film_may_rest: deck_box.film_may_rest,
            post_may_stand: deck_box.post_may_stand,
            film_goes_round: deck_box.film_goes_round,
            left_out: deck_box.kind == BoxKind::Platform && !deck_box.film_goes_round,
            clearance,
            carries_ridge: deck_box.film_may_rest && clearance <= 0.0,
            crest: crest(&mesh, &upper),
            mesh,
            upper,
            form: Form::Box(form),
        }
    }

    /// From a tube of the boat file.
    ///
    /// # Errors
    /// Where the path bends too sharply to be swept.
    pub fn from_tube(tube: &Tube) -> Result<Thing, SweepFault> {
        let axis: Vec<Point3<f64>> = tube.path.iter().map(|p| Point3::from(*p)).collect();
        let radius = 0.5 * tube.diameter;
        let mesh = Mesh::swept_tube(&axis, radius, TUBE_SIDES)?;
        let upper = UpperSide::of(&mesh);
        Ok(Thing {
            name: tube.name.clone(),
            film_may_rest: tube.film_may_rest,
            post_may_stand: false,
            film_goes_round: true,
            left_out: false,
            clearance: 0.0,
            carries_ridge: tube.film_may_rest,
            crest: crest(&mesh, &upper),
            mesh,
            upper,
            form: Form::Tube { axis, radius },
        })
    }

    /// Height of its level top over a point of the plan, m; `None` beside it and on its raked sides, where
    /// nothing can stand.
    pub fn level_top_at(&self, p: Point2<f64>) -> Option<f64> {
        match &self.form {
            Form::Box(form) => inside(&form.top, p).then(|| form.top_plane(p.x)),
            Form::Tube { .. } => None,
        }
    }

    /// Height of its top over a point of the plan, m; `None` beside it.
    pub fn top_at(&self, p: Point2<f64>) -> Option<f64> {
        self.upper.at(p)
    }

    /// Points along the edges of its mesh where nothing of it is higher, at most [`CREST_SPACING`] apart: film that
    /// lies over all of them lies over all of it.
    pub fn crest(&self) -> &[Point3<f64>] {
        &self.crest
    }

    /// Area of its flat top, m2; a tube has none.
    pub fn top_area(&self) -> f64 {
        match &self.form {
            Form::Box(form) => {
                let [a, b, c, d] = form.top.map(|p| p.xy());
                0.5 * (c - a).perp(&(d - b)).abs()
            }
            Form::Tube { .. } => 0.0,
        }
    }

    /// The lines in plan along which film may fold over it: the rim of a box's top, a tube's axis and, of a thick one,
    /// its two ends.
    pub fn fold_lines(&self) -> Vec<Vec<Point2<f64>>> {
        match &self.form {
            Form::Box(form) => {
                let mut rim: Vec<Point2<f64>> = form.top.iter().map(|p| p.xy()).collect();
                rim.push(form.top[0].xy());
                vec![rim]
            }
            Form::Tube { axis, radius } => {
                let mut runs = vec![run_in_plan(axis)];
                if *radius > THICK {
                    runs.extend(end_lines(axis, *radius));
                }
                runs.retain(|run| run.len() > 1);
                runs.iter()
                    .map(|run| run.iter().map(|p| p.xy()).collect())
                    .collect()
            }
        }
    }

    /// The lines along which taut film leaves it: the rim of a box's top; a tube's upper side, led outboard to where film
    /// touches it that comes up steeply from the edge; and the ends of a thick tube.
    ///
    /// `edge` gives the point of the edge nearest to a point of the plan.
    pub fn contact_lines(
        &self,
        edge: impl Fn(Point2<f64>) -> Point3<f64>,
    ) -> Vec<Vec<Point3<f64>>> {
        match &self.form {
            Form::Box(form) => {
                let [a, b, c, d] = form.top;
                vec![vec![a, b, c, d, a]]
            }
            Form::Tube { axis, radius } => {
                let run = run_in_plan(axis);
                let mut lines = vec![touched_line(&run, *radius, edge)];
                if *radius > THICK {
                    lines.extend(end_lines(axis, *radius));
                }
                lines.retain(|line| line.len() > 1);
                lines
            }
        }
    }

    /// Its corners: what the film's edge must enclose in plan.
    pub fn extent(&self) -> &[Point3<f64>] {
        &self.mesh.vertices
    }

    /// Points of its top in the section at a station: (offset, height), m. Empty where it does not reach.
    pub fn section(&self, station: f64) -> Vec<(f64, f64)> {
        match &self.form {
            Form::Box(form) => form.section(station),
            Form::Tube { axis, radius } => {
                let top = |p: Point3<f64>| {
                    let level = p.z + radius;
                    (p.y, self.top_at(p.xy()).map_or(level, |top| top.max(level)))
                };
                let mut points = Vec::new();
                for pair in axis.windows(2) {
                    let &[a, b] = pair else { continue };
                    let (low, high) = (a.x.min(b.x), a.x.max(b.x));
                    if station < low - ON_RIM || station > high + ON_RIM {
                        continue;
                    }
                    if high - low < UPRIGHT_RUN {
                        points.extend([a, b].map(top));
                        if a.y * b.y < 0.0 {
                            points.push(top(a + (b - a) * (a.y / (a.y - b.y))));
                        }
                    } else {
                        let s = ((station - a.x) / (b.x - a.x)).clamp(0.0, 1.0);
                        points.push(top(a + (b - a) * s));
                    }
                }
                points
            }
        }
    }

    /// Stations where its section changes abruptly: ends of its top, corners of its axis.
    pub fn key_stations(&self) -> Vec<f64> {
        match &self.form {
            Form::Box(form) => vec![form.top[0].x, form.top[1].x],
            Form::Tube { axis, .. } => axis.iter().map(|p| p.x).collect(),
        }
    }

    /// Where the ridge at an offset may lie on it: (station, height) at the ends of its top there, m.
    pub fn ridge_rests(&self, offset: f64) -> Vec<(f64, f64)> {
        if !self.carries_ridge {
            return Vec::new();
        }
        match &self.form {
            Form::Box(form) => stops(form.top[0].x, form.top[1].x)
                .filter_map(|x| Some((x, self.top_at(Point2::new(x, offset))?)))
                .collect(),
            Form::Tube { axis, radius } => {
                let mut rests = Vec::new();
                for pair in axis.windows(2) {
                    let &[a, b] = pair else { continue };
                    let (ya, yb) = (a.y - offset, b.y - offset);
                    if ya.abs() < *radius && yb.abs() < *radius {
                        rests.extend(stops(a.x, b.x).map(|x| {
                            let s = (x - a.x) / (b.x - a.x);
                            (x, a.z + s * (b.z - a.z) + radius)
                        }));
                    } else if ya * yb <= 0.0 && ya != yb {
                        let s = ya / (ya - yb);
                        rests.push((a.x + s * (b.x - a.x), a.z + s * (b.z - a.z) + radius));
                    }
                }
                rests.dedup();
                rests
            }
        }
    }
}

/// Stations between two that differ, ends included, at most [`REST_SPACING`] apart.
fn stops(from: f64, to: f64) -> impl Iterator<Item = f64> {
    let pieces = ((to - from).abs() / REST_SPACING).ceil().max(1.0);
    (0..=pieces as usize).map(move |i| from + (to - from) * i as f64 / pieces)
}

/// Spacing of the places where the ridge may lie on a thing along it, m.
pub const REST_SPACING: f64 = 1.0;

impl BoxForm {
    fn new(deck_box: &DeckBox) -> BoxForm {
        let [aft, fore, side] = deck_box.rakes.map(f64::tan);
        let (half_aft, half_fore) = (0.5 * deck_box.width, 0.5 * deck_box.width_fore);
        let (from, to, base) = (deck_box.from, deck_box.to, deck_box.base);
        let y = deck_box.offset;
        let at = |x: f64, half: f64, z: f64| Point3::new(x, y + half, z);
        let foot = [
            at(from, -half_aft, base),
            at(to, -half_fore, base),
            at(to, half_fore, base),
            at(from, half_aft, base),
        ];
        let (rise_aft, rise_fore) = (deck_box.top - base, deck_box.top_fore - base);
        let (x_aft, x_fore) = (from + aft * rise_aft, to - fore * rise_fore);
        let half_at = |x: f64| half_aft + (half_fore - half_aft) * (x - from) / (to - from);
        let top_aft_half = half_at(x_aft) - side * rise_aft;
        let top_fore_half = half_at(x_fore) - side * rise_fore;
        let top = [
            at(x_aft, -top_aft_half, deck_box.top),
            at(x_fore, -top_fore_half, deck_box.top_fore),
            at(x_fore, top_fore_half, deck_box.top_fore),
            at(x_aft, top_aft_half, deck_box.top),
        ];
        BoxForm { foot, top }
    }

    fn top_plane(&self, station: f64) -> f64 {
        let (aft, fore) = (self.top[0], self.top[1]);
        aft.z + (fore.z - aft.z) * (station - aft.x) / (fore.x - aft.x)
    }

    fn section(&self, station: f64) -> Vec<(f64, f64)> {
        let (aft, fore) = (self.top[0].x, self.top[1].x);
        if station < aft - ON_RIM || station > fore + ON_RIM {
            return Vec::new();
        }
        let s = ((station - aft) / (fore - aft)).clamp(0.0, 1.0);
        let height = self.top_plane(station);
        let starboard = self.top[0].y + s * (self.top[1].y - self.top[0].y);
        let port = self.top[3].y + s * (self.top[2].y - self.top[3].y);
        vec![(starboard, height), (port, height)]
    }
}

/// Whether a plan point lies in a convex quadrangle that runs counter-clockwise from above.
fn inside(corners: &[Point3<f64>; 4], p: Point2<f64>) -> bool {
    (0..4).all(|i| {
        let (a, b) = (corners[i].xy(), corners[(i + 1) % 4].xy());
        let edge = b - a;
        edge.perp(&(p - a)) >= -ON_RIM * edge.norm().max(ON_RIM)
    })
}

/// From this radius on the film folds over the ends of a tube as over a rim, m; 1 in.
const THICK: f64 = 0.0254;

/// Film that comes up from the edge more steeply than this touches a tube's outboard side, tangent of the angle: 45 deg.
const STEEP: f64 = 1.0;

/// A line of contact lies at most this far over the tangent point, m: the film is drawn over a thin tube's top in one
/// fold, not round it.
const OVER_TANGENT: f64 = 0.01;

/// A sharply bent tube's mitre reaches out by at most this many radii.
const LONGEST_MITRE: f64 = 1.5;

/// A tube's axis as seen from above: upright pieces are one point, their highest.
fn run_in_plan(axis: &[Point3<f64>]) -> Vec<Point3<f64>> {
    let mut run: Vec<Point3<f64>> = Vec::new();
    for p in axis {
        match run.last_mut() {
            Some(last) if (p.xy() - last.xy()).norm() <= UPRIGHT_RUN => last.z = last.z.max(p.z),
            _ => run.push(*p),
        }
    }
    run
}

/// The line along which film lies on a tube.
fn touched_line(
    run: &[Point3<f64>],
    radius: f64,
    edge: impl Fn(Point2<f64>) -> Point3<f64>,
) -> Vec<Point3<f64>> {
    let direction = |from: Option<&Point3<f64>>, to: Option<&Point3<f64>>| {
        (to?.xy() - from?.xy()).try_normalize(UPRIGHT_RUN)
    };
    run.iter()
        .enumerate()
        .map(|(i, p)| {
            let before = direction(run.get(i.wrapping_sub(1)), Some(p));
            let after = direction(Some(p), run.get(i + 1));
            let mean = match (before, after) {
                (Some(u), Some(v)) => 0.5 * (u + v),
                (one, other) => one.or(other).unwrap_or_default(),
            };
            let foot = edge(p.xy());
            let out = foot.xy() - p.xy();
            let rise = p.z + radius - foot.z;
            // Along its way film touches the tube's side, at its end the outer corner of the end as well.
            let along = mean.try_normalize(UPRIGHT_RUN).unwrap_or_default();
            let side = out - along * out.dot(&along);
            let (aside, mitre) = match (before, after) {
                (Some(_), Some(_)) => (side, mean.norm()),
                _ => (out, side.norm() / out.norm().max(UPRIGHT_RUN)),
            };
            match aside.try_normalize(UPRIGHT_RUN) {
                Some(unit) if rise > STEEP * out.norm() => {
                    let slant = rise.hypot(out.norm());
                    let aside = unit * (radius * rise / slant / mitre.max(1.0 / LONGEST_MITRE));
                    let up = radius.min(radius * out.norm() / slant + OVER_TANGENT);
                    Point3::new(p.x + aside.x, p.y + aside.y, p.z + up)
                }
                _ => Point3::new(p.x, p.y, p.z + radius),
            }
        })
        .collect()
}

/// The two ends of a tube as seen from above, each a line square to its axis at the axis's height; none where it ends
/// upright.
fn end_lines(axis: &[Point3<f64>], radius: f64) -> impl Iterator<Item = Vec<Point3<f64>>> {
    let ends = [
        (axis.first(), axis.get(1)),
        (axis.last(), axis.iter().rev().nth(1)),
    ];
    ends.into_iter().filter_map(move |(end, next)| {
        let (end, run) = (end?, next?.xy() - end?.xy());
        let aside = Vector3::new(-run.y, run.x, 0.0).try_normalize(UPRIGHT_RUN)? * radius;
        Some(vec![end - aside, end + aside])
    })
}

/// Spacing of the points along a crest, m; 1 in.
pub const CREST_SPACING: f64 = 0.0254;

/// A point this far under the upper side is still on it, m: rounding.
const ON_UPPER: f64 = 1e-6;

/// Points along the edges of a mesh that lie on its upper side.
fn crest(mesh: &Mesh, upper: &UpperSide) -> Vec<Point3<f64>> {
    let mut edges: Vec<(u32, u32)> = mesh
        .triangles
        .iter()
        .flat_map(|&[a, b, c]| [(a, b), (b, c), (c, a)])
        .filter(|(a, b)| a < b)
        .collect();
    edges.sort_unstable();
    edges.dedup();
    let mut points = Vec::new();
    for (from, to) in edges {
        let (Some(from), Some(to)) = (
            mesh.vertices.get(from as usize),
            mesh.vertices.get(to as usize),
        ) else {
            continue;
        };
        let run = (to.xy() - from.xy()).norm();
        let pieces = (run / CREST_SPACING).ceil().max(1.0) as usize;
        points.extend(
            (0..=pieces)
                .map(|i| from + (to - from) * (i as f64 / pieces as f64))
                .filter(|p| upper.at(p.xy()).is_none_or(|top| p.z >= top - ON_UPPER)),
        );
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::TubeKind;

    fn raked_box() -> Thing {
        Thing::from_box(
            &DeckBox {
                name: "cabin".into(),
                kind: BoxKind::Cabin,
                from: 1.0,
                to: 3.0,
                width: 2.0,
                width_fore: 2.0,
                offset: 0.0,
                base: 1.0,
                top: 2.0,
                top_fore: 2.0,
                rakes: [0.0, 45f64.to_radians(), 0.0],
                film_may_rest: true,
                post_may_stand: true,
                film_goes_round: true,
                clearance: None,
                bears: None,
            },
            &Rules::default(),
        )
    }

    #[test]
    fn heights_over_a_raked_box_are_those_of_its_planes() {
        let thing = raked_box();
        for (x, y, height) in [
            (1.5, 0.0, Some(2.0)),
            (2.0, 1.0, Some(2.0)),
            (2.5, 0.5, Some(1.5)), // half way down a 45 deg front
            (3.5, 0.0, None),
            (1.5, 1.1, None),
        ] {
            let found = thing.top_at(Point2::new(x, y));
            match (found, height) {
                (Some(a), Some(b)) => assert!((a - b).abs() < 1e-9, "{x} {y}: {a} {b}"),
                (a, b) => assert_eq!(a.is_some(), b.is_some(), "{x} {y}"),
            }
        }
        assert_eq!(thing.section(1.5), vec![(-1.0, 2.0), (1.0, 2.0)]);
        assert!(thing.section(2.5).is_empty());
        assert!(thing.mesh.sanity_check().is_ok());
    }

    #[test]
    fn an_arch_carries_the_ridge_where_it_crosses_the_centerline() {
        let arch = Thing::from_tube(&Tube {
            name: "arch".into(),
            kind: TubeKind::Arch,
            diameter: 0.05,
            path: vec![
                [1.0, 1.0, 1.0],
                [1.2, 0.9, 2.0],
                [1.2, -0.9, 2.0],
                [1.0, -1.0, 1.0],
            ],
            film_may_rest: true,
            bears: None,
        })
        .unwrap();
        assert_eq!(arch.ridge_rests(0.0), vec![(1.2, 2.025)]);
        assert!(arch.mesh.sanity_check().is_ok());
    }
}
