//! How ridge straps are made fast at the boat's ends, beyond the line that the film follows.

use super::Fastening;
use crate::boat::{Anchor, Boat, End, Hand, HullForm, Rules, SupportKind};
use crate::hull::Hull;
use nalgebra::{Point3, Vector2, Vector3};

/// A ridge strap as far as it is known: its offset and its profile (station, height) from stern to bow.
pub(super) struct Ridge<'a> {
    pub hull: &'a Hull,
    pub boat: &'a Boat,
    pub rules: &'a Rules,
    pub offset: f64,
    pub profile: &'a [(f64, f64)],
    /// Stations of the posts under it.
    pub posts: &'a [f64],
}

/// Anchors of a bridle lie within this part of the length, and this many meters more, of the hull's end; house rule.
const NEAR_END: f64 = 0.15;
/// See [`NEAR_END`].
const NEAR_END_MORE: f64 = 0.3;

/// Legs of a bridle stand off the ridge's line by 45 deg where there is room, as half their spread over their reach;
/// house rule. Each leg then carries 0.71 of the strap's tension.
const LEG_SPREAD: f64 = 1.0;
/// ... and by no more than 60 deg, where each leg carries as much as the strap.
const MAX_LEG_SPREAD: f64 = 1.732;

/// A strap to one anchor turns aside by no more than this at its last cap, athwart over along; house rule, 45 deg.
const MAX_TURN: f64 = 1.0;

/// A support counts as inside an anchor from this distance along the boat, m.
const BESIDE: f64 = 0.1;

/// A strap that is led round a thing keeps this far off its corners, m.
const OFF_CORNER: f64 = 0.02;

/// Pieces of a course along the edge.
const EDGE_PIECES: usize = 8;

/// A straight strap may press so far into a thing, m.
const PRESSED: f64 = 0.005;

impl Ridge<'_> {
    /// How it is made fast at an end, and how much longer it is than its line up to the film's edge, m; shorter where
    /// it leaves that line before.
    pub fn fasten(&self, end: End) -> Option<(Fastening, f64)> {
        let edge = self.edge(end)?;
        self.to_eye(end, edge)
            .or_else(|| self.to_samson_post(end, edge))
            .or_else(|| self.to_side_anchors(end, edge))
            .or_else(|| self.to_support(end, edge))
    }

    fn is_twin(&self) -> bool {
        self.offset != 0.0
    }

    fn hand(&self) -> Hand {
        if self.offset > 0.0 {
            Hand::Port
        } else {
            Hand::Starboard
        }
    }

    /// Where it goes over the edge.
    fn edge(&self, end: End) -> Option<Point3<f64>> {
        let [stern, bow] = self.hull.edge.at_offset(self.offset)?;
        Some(match end {
            End::Aft => stern,
            End::Fore => bow,
        })
    }

    /// The eyes of an end: one in the middle, or a pair, port first.
    fn eyes(&self, end: End) -> Option<(&'static str, Vec<Point3<f64>>)> {
        let rake = |of: fn(&crate::boat::MonoForm) -> f64| match &self.boat.hull {
            HullForm::Mono(form) => of(form).tan(),
            _ => 0.0,
        };
        let [stern, _, bow] = self.boat.sheer;
        self.boat.anchors.iter().find_map(|anchor| match *anchor {
            Anchor::BowEye { height } if end == End::Fore => {
                let back = rake(|form| form.stem_rake) * (bow - height);
                let eye = Point3::new(self.boat.length - back, 0.0, height);
                Some(("bow eye", vec![eye]))
            }
            Anchor::SternEye { height, offset } if end == End::Aft => {
                let forward = rake(|form| form.transom_rake) * (stern - height);
                let eye = |y: f64| Point3::new(forward, y, height);
                Some(if offset > 0.0 {
                    ("stern eyes", vec![eye(offset), eye(-offset)])
                } else {
                    ("stern eye", vec![eye(0.0)])
                })
            }
            _ => None,
        })
    }

    /// Over the edge and down to an eye, or with a bridle to a pair of eyes.
    fn to_eye(&self, end: End, edge: Point3<f64>) -> Option<(Fastening, f64)> {
        let (name, eyes) = self.eyes(end)?;
        match eyes.as_slice() {
            [port, starboard] if !self.is_twin() => {
                self.bridle(end, name, vec![edge], [*port, *starboard], 0.0)
            }
            [port, starboard] => {
                let hand = self.hand();
                let eye = if hand == Hand::Port { port } else { starboard };
                let course = self.led(edge, *eye)?;
                Some(self.tied(end, format!("stern eye, {}", hand.word()), course, 0.0))
            }
            [eye] => {
                let mut course = self.along_edge(edge, end)?;
                let last = course.pop()?;
                course.extend(self.led(last, *eye)?);
                Some(self.tied(end, name.to_owned(), course, 0.0))
            }
            _ => None,
        }
    }

    /// From a point of the edge along it to its middle at an end.
    fn along_edge(&self, from: Point3<f64>, end: End) -> Option<Vec<Point3<f64>>> {
        if !self.is_twin() {
            return Some(vec![from]);
        }
        let edge = &self.hull.edge;
        let [stern, bow] = edge.at_offset(0.0)?;
        let middle = match end {
            End::Aft => stern,
            End::Fore => bow,
        };
        let start = edge.nearest(from.xy());
        let whole = edge.length();
        let run = (edge.nearest(middle.xy()) - start + 0.5 * whole).rem_euclid(whole) - 0.5 * whole;
        let at = |i: usize| edge.at(start + run * i as f64 / EDGE_PIECES as f64);
        Some((0..=EDGE_PIECES).map(at).collect())
    }

    /// From the last support straight to a samson post under the film.
    fn to_samson_post(&self, end: End, edge: Point3<f64>) -> Option<(Fastening, f64)> {
        self.boat.anchors.iter().find_map(|anchor| {
            let Anchor::SamsonPost {
                name,
                station,
                offset,
                height,
            } = anchor
            else {
                return None;
            };
            let head = Point3::new(*station, *offset, *height);
            self.straight_to(end, edge, name.clone(), head)
        })
    }

    /// From the last support straight to one anchor, where that does not turn the strap too far aside.
    fn straight_to(
        &self,
        end: End,
        edge: Point3<f64>,
        name: String,
        anchor: Point3<f64>,
    ) -> Option<(Fastening, f64)> {
        if !self.is_near(end, anchor.x) {
            return None;
        }
        let (leaves, line) = self.leaves(end, edge, anchor.x)?;
        let run = anchor - leaves;
        if run.y.abs() > MAX_TURN * run.x.abs() || self.is_blocked(&leaves, &anchor) {
            return None;
        }
        Some(self.tied(end, name, vec![leaves, anchor], line))
    }

    /// To the outermost pair of cleats or rails near the end that holds it fairly; a twin ridge to one of its side.
    fn to_side_anchors(&self, end: End, edge: Point3<f64>) -> Option<(Fastening, f64)> {
        let mut found: Vec<(f64, (Fastening, f64))> = Vec::new();
        for anchor in &self.boat.anchors {
            let (name, side, station, below) = match anchor {
                Anchor::BowEye { .. } | Anchor::SternEye { .. } | Anchor::SamsonPost { .. } => {
                    continue;
                }
                Anchor::Cleat {
                    name,
                    station,
                    side,
                    below_sheer,
                } => (name, *side, *station, *below_sheer),
                Anchor::Rail {
                    name,
                    from,
                    to,
                    side,
                    below_sheer,
                } => {
                    let station = if end == End::Aft { *from } else { *to };
                    (name, *side, station, *below_sheer)
                }
            };
            let at = |hand: Hand| {
                let mut p = self.hull.side_at(station, hand)?;
                p.z -= below;
                side.includes(hand).then_some(p)
            };
            let fastened = if self.is_twin() {
                let hand = self.hand();
                at(hand).and_then(|p| {
                    self.straight_to(end, edge, format!("{name}, {}", hand.word()), p)
                })
            } else {
                at(Hand::Port)
                    .zip(at(Hand::Starboard))
                    .and_then(|(port, starboard)| self.yoke(end, edge, name, [port, starboard]))
            };
            found.extend(fastened.map(|fastened| (station, fastened)));
        }
        let outward = |station: f64| match end {
            End::Aft => -station,
            End::Fore => station,
        };
        found
            .into_iter()
            .max_by(|a, b| outward(a.0).total_cmp(&outward(b.0)))
            .map(|(_, fastened)| fastened)
    }

    /// A bridle whose knot lies inside the edge, so that its legs pull outward.
    fn yoke(
        &self,
        end: End,
        edge: Point3<f64>,
        name: &str,
        anchors: [Point3<f64>; 2],
    ) -> Option<(Fastening, f64)> {
        let middle = nalgebra::center(&anchors[0], &anchors[1]);
        if !self.is_near(end, middle.x) {
            return None;
        }
        let (leaves, line) = self.leaves(end, edge, middle.x)?;
        let reach = (leaves - middle).norm();
        let half = (anchors[0] - middle).norm();
        let back = reach.min(half / LEG_SPREAD);
        if back * MAX_LEG_SPREAD < half || reach <= 0.0 {
            return None;
        }
        let knot = middle + (leaves - middle) * (back / reach);
        if self.is_blocked(&leaves, &knot) {
            return None;
        }
        self.bridle(end, &format!("{name}s"), vec![leaves, knot], anchors, line)
    }

    /// A bridle from the last point of a course to two anchors.
    fn bridle(
        &self,
        end: End,
        to: &str,
        course: Vec<Point3<f64>>,
        anchors: [Point3<f64>; 2],
        line: f64,
    ) -> Option<(Fastening, f64)> {
        let knot = *course.last()?;
        let legs = [self.led(knot, anchors[0])?, self.led(knot, anchors[1])?];
        let ways = legs.each_ref().map(|leg| {
            let way = leg.get(1).map_or_else(Vector3::zeros, |p| p - knot);
            way.try_normalize(f64::EPSILON).unwrap_or_default()
        });
        // Two equal legs share the pull along their middle. Legs that bend round a thing are judged by their anchors.
        let straight = anchors.map(|anchor| (anchor - knot).try_normalize(f64::EPSILON));
        let ways = match straight {
            [Some(a), Some(b)] if legs.iter().any(|leg| leg.len() > 2) => [a, b],
            _ => ways,
        };
        let along = 0.5 * (ways[0] + ways[1]).norm();
        if along * (1.0 + MAX_LEG_SPREAD * MAX_LEG_SPREAD).sqrt() < 1.0 - 1e-9 {
            return None;
        }
        let over = length(&course) - line;
        let fastening = Fastening {
            end,
            to: to.to_owned(),
            course,
            legs: legs.to_vec(),
            tension: 0.5 * self.rules.ridge_tension / along,
            found: true,
        };
        Some((fastening, over))
    }

    /// Where nothing is to tie to: down to the trailer, or to the strap under the hull.
    fn to_support(&self, end: End, edge: Point3<f64>) -> Option<(Fastening, f64)> {
        let to = match self.boat.stored_on.kind {
            SupportKind::Trailer => "trailer",
            SupportKind::Cradle | SupportKind::Stands => "strap under the hull",
        };
        let keel = Point3::new(edge.x, edge.y, 0.0);
        let (mut fastening, over) = self.tied(end, to.to_owned(), vec![edge, keel], 0.0);
        fastening.found = false;
        Some((fastening, over))
    }

    /// The strap itself tied to an anchor: `line` is what its course replaces, m.
    fn tied(&self, end: End, to: String, course: Vec<Point3<f64>>, line: f64) -> (Fastening, f64) {
        let over = length(&course) - line;
        let fastening = Fastening {
            end,
            to,
            course,
            legs: Vec::new(),
            tension: self.rules.ridge_tension,
            found: true,
        };
        (fastening, over)
    }

    /// Whether an anchor is near enough to an end, and no post stands beyond it.
    fn is_near(&self, end: End, station: f64) -> bool {
        let reach = NEAR_END * self.boat.length + NEAR_END_MORE;
        match end {
            End::Aft => station <= reach && self.posts.iter().all(|post| *post > station + BESIDE),
            End::Fore => {
                station >= self.boat.length - reach
                    && self.posts.iter().all(|post| *post < station - BESIDE)
            }
        }
    }

    /// The outermost support inside a station, and the length of the line from it to the edge, m.
    fn leaves(&self, end: End, edge: Point3<f64>, station: f64) -> Option<(Point3<f64>, f64)> {
        let at = |(x, z): &(f64, f64)| Point3::new(*x, self.offset, *z);
        let inside = |p: &Point3<f64>| match end {
            End::Aft => p.x > station + BESIDE,
            End::Fore => p.x < station - BESIDE,
        };
        let mut inward: Vec<Point3<f64>> = self.profile.iter().map(at).collect();
        if end == End::Fore {
            inward.reverse();
        }
        let mut last = edge;
        let mut line = 0.0;
        for p in inward.into_iter().skip(1) {
            line += (p - last).norm();
            last = p;
            if inside(&p) {
                return Some((p, line));
            }
        }
        None
    }

    fn is_blocked(&self, from: &Point3<f64>, to: &Point3<f64>) -> bool {
        self.hull.solids.on_line(from, to, PRESSED).is_some()
    }

    /// The course between two points: straight, or round what is in the way on its shorter side.
    fn led(&self, from: Point3<f64>, to: Point3<f64>) -> Option<Vec<Point3<f64>>> {
        let Some((thing, _)) = self.hull.solids.on_line(&from, &to, PRESSED) else {
            return Some(vec![from, to]);
        };
        let corners = &self.hull.things.get(thing)?.mesh.vertices;
        let first = corners.first()?.xy().coords;
        let (low, high) = corners.iter().fold((first, first), |(low, high), p| {
            (low.inf(&p.xy().coords), high.sup(&p.xy().coords))
        });
        let (low, high) = (low.add_scalar(-OFF_CORNER), high.add_scalar(OFF_CORNER));
        let run = (to - from).xy();
        [-1.0, 1.0]
            .into_iter()
            .filter_map(|side| {
                let mut round: Vec<Vector2<f64>> = [
                    [low.x, low.y],
                    [high.x, low.y],
                    [high.x, high.y],
                    [low.x, high.y],
                ]
                .into_iter()
                .map(Vector2::from)
                .filter(|corner| side * run.perp(&(corner - from.xy().coords)) > 0.0)
                .collect();
                round.sort_by(|a, b| run.dot(a).total_cmp(&run.dot(b)));
                let mut course = vec![from];
                course.extend(round.iter().map(|p| Point3::new(p.x, p.y, 0.0)));
                course.push(to);
                fall_evenly(&mut course);
                let clear = course.windows(2).all(|pair| match pair {
                    [a, b] => !self.is_blocked(a, b),
                    _ => true,
                });
                clear.then_some(course)
            })
            .min_by(|a, b| length(a).total_cmp(&length(b)))
    }
}

/// Gives the points between the ends of a course the heights of a taut strap along upright walls.
fn fall_evenly(course: &mut [Point3<f64>]) {
    let (Some(&first), Some(&last)) = (course.first(), course.last()) else {
        return;
    };
    let runs: Vec<f64> = course
        .iter()
        .zip(course.iter().skip(1))
        .map(|(a, b)| (b.xy() - a.xy()).norm())
        .collect();
    let whole: f64 = runs.iter().sum();
    let mut run = 0.0;
    for (p, step) in course.iter_mut().skip(1).zip(&runs) {
        run += step;
        p.z = first.z + (last.z - first.z) * (run / whole.max(f64::EPSILON));
    }
}

/// Length of a course, m.
pub(super) fn length(course: &[Point3<f64>]) -> f64 {
    course
        .iter()
        .zip(course.iter().skip(1))
        .map(|(a, b)| (b - a).norm())
        .sum()
}
