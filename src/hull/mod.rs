//! The hull: closed meshes, the sheer, the edge line that the film goes round, and the things above the deck.

pub mod edge;
mod foot;
pub mod form;
mod limits;
pub mod loft;
pub mod multi;
pub mod offsets;
mod section;
pub mod shape;
mod solids;
pub mod thing;

pub use edge::EdgeLine;
pub use foot::{FootFault, POST_WIDTH};
pub use solids::Solids;
pub use thing::Thing;

use crate::boat::{Boat, End, Hand, HullForm, MonoForm, Problem, Rules, Section};
use crate::geom::mesh::Mesh;
use form::{Form, ShapeFault};
use multi::{Body, DeckSlab, MultiHull, Nose, Tube};
use nalgebra::{Point2, Point3};
use offsets::Offsets;
use shape::{Lines, SectionShape};

/// A boat's hull and all that stands on it.
#[derive(Debug, Clone)]
pub struct Hull {
    /// Closed meshes of the hull's bodies: one, or each tube or hull and the deck.
    pub bodies: Vec<Mesh>,
    /// Boxes and tubes above the deck.
    pub things: Vec<Thing>,
    /// The same as solids.
    pub solids: Solids,
    /// What the film goes round.
    pub edge: EdgeLine,
    /// Port side of the sheer, stern to bow.
    pub sheer: Vec<Point3<f64>>,
    /// Point of the port side under each point of the sheer where the perimeter band runs.
    band: Vec<Point3<f64>>,
    /// The band drawn tight round the hull.
    band_line: Option<EdgeLine>,
    /// How far the rub rail lies under the sheer, m.
    rub_rail: f64,
    /// Length with everything that sticks out, m.
    pub length_overall: f64,
}

/// Stations and girth points of a hull's mesh: fine enough for a picture, coarse enough for a file.
const MESH_STATIONS: usize = 33;
const MESH_GIRTH: usize = 17;

/// Stations of the sheer line, crowded toward the bow where it bends.
const SHEER_STATIONS: usize = 60;

/// How far the film's edge stands off a thing that it goes round, m; house rule, 3 in.
const STAND_OFF: f64 = 0.0762;

/// An edge point this near to the sheer in plan is over the hull's own side, m.
const ON_SHEER: f64 = 0.03;

/// Part of a pontoon's length that is nose cone.
const NOSE_PART: f64 = 0.1;

/// Part of the length that the deck of a tube boat or catamaran covers.
const TUBE_DECK: f64 = 0.97;
const CATAMARAN_DECK: f64 = 0.8;

impl Hull {
    /// Builds the hull of a boat; the rules give clearances and how low the band runs.
    ///
    /// # Errors
    /// What is impossible about it, each with the field of the boat file.
    pub fn build(boat: &Boat, rules: &Rules) -> Result<Hull, Vec<Problem>> {
        let skin = Skin::of(boat).map_err(|faults| {
            faults
                .into_iter()
                .map(|fault| Problem {
                    path: format!("hull.{}", fault.field),
                    place: None,
                    what: fault.message,
                    hint: "check the numbers of the hull against each other".to_owned(),
                })
                .collect::<Vec<_>>()
        })?;
        let mut things: Vec<Thing> = boat
            .boxes
            .iter()
            .map(|deck_box| Thing::from_box(deck_box, rules))
            .collect();
        let mut problems = Vec::new();
        for (index, tube) in boat.tubes.iter().enumerate() {
            match Thing::from_tube(tube) {
                Ok(thing) => things.push(thing),
                Err(fault) => problems.push(Problem {
                    path: format!("tubes[{index}].path"),
                    place: None,
                    what: format!("'{}' cannot be swept: {fault}", tube.name),
                    hint: "give its points in order, without doubling back".to_owned(),
                }),
            }
        }
        if !problems.is_empty() {
            return Err(problems);
        }
        let drop = boat.rub_rail + rules.band_drop;
        let band = skin
            .sheer
            .iter()
            .map(|p| skin.band_under(p, drop))
            .collect();
        let edge = EdgeLine::around(&enclosed(&skin, &things)).ok_or_else(|| {
            vec![Problem {
                path: "hull".to_owned(),
                place: None,
                what: "the hull encloses nothing in plan".to_owned(),
                hint: "check length, beam and shape".to_owned(),
            }]
        })?;
        let (mut aft, mut fore) = (0.0f64, boat.length);
        for p in things.iter().flat_map(|thing| thing.extent()) {
            aft = aft.min(p.x);
            fore = fore.max(p.x);
        }
        let mut hull = Hull {
            bodies: skin.bodies,
            solids: Solids::new(boat, &things),
            things,
            edge,
            sheer: skin.sheer,
            band,
            band_line: None,
            rub_rail: boat.rub_rail,
            length_overall: fore - aft,
        };
        hull.band_line = hull.tight_band(rules.band_drop);
        Ok(hull)
    }

    /// The band drawn tight round the hull and whatever the edge stands off it for.
    ///
    /// # Units
    /// `drop` below the rub rail, m.
    fn tight_band(&self, drop: f64) -> Option<EdgeLine> {
        let edge = self.edge.resample(BAND_STEP, &[]);
        let under = edge.iter().map(|p| self.under_edge(p, drop));
        let sides = self.band.iter().zip(&self.sheer).flat_map(|(p, sheer)| {
            // Where no girth is so long the band has nothing to lie on.
            let reached = p.z < sheer.z;
            [1.0, -1.0].map(|side| reached.then(|| Point3::new(p.x, side * p.y, p.z)))
        });
        let all: Vec<Point3<f64>> = under.chain(sides.flatten()).collect();
        EdgeLine::around(&all)
    }

    /// The topmost thing over a point of the plan and its height, m; `None` over open deck or sole.
    ///
    /// # Units
    /// Meters.
    pub fn topmost(&self, p: Point2<f64>) -> Option<(usize, f64)> {
        self.things
            .iter()
            .enumerate()
            .filter(|(_, thing)| !thing.left_out)
            .filter_map(|(index, thing)| Some((index, thing.top_at(p)?)))
            .max_by(|(_, a), (_, b)| a.total_cmp(b))
    }

    /// What is under the middle of a post at a point of the plan, its height, m, and its name: a thing that allows
    /// posts, or a footing; `None` where none may stand. See [`Hull::foot`] for the whole foot.
    ///
    /// # Units
    /// Meters.
    pub fn footing_at(&self, boat: &Boat, p: Point2<f64>) -> Option<(f64, String)> {
        if boat.no_post.iter().any(|zone| zone.contains(p.x, p.y)) {
            return None;
        }
        match self.topmost(p) {
            Some((index, _)) => {
                let thing = self.things.get(index)?;
                let height = thing.level_top_at(p).filter(|_| thing.post_may_stand)?;
                Some((height, thing.name.clone()))
            }
            None => boat
                .footings
                .iter()
                .filter(|footing| footing.zone.contains(p.x, p.y))
                .max_by(|a, b| a.height.total_cmp(&b.height))
                .map(|footing| (footing.height, footing.zone.name.clone())),
        }
    }

    /// The sheer on one side at a station; beyond the deck's ends, on slender hulls, the edge line.
    ///
    /// # Units
    /// Meters.
    pub fn side_at(&self, station: f64, hand: Hand) -> Option<Point3<f64>> {
        let sheer = on_line(&self.sheer, station)?;
        if (sheer.x - station).abs() < ON_SHEER {
            return Some(Point3::new(sheer.x, hand.sign() * sheer.y, sheer.z));
        }
        let [aft, fore] = self.edge.ends();
        let [starboard, port] = self.edge.at_station(station.clamp(aft, fore))?;
        Some(match hand {
            Hand::Port => port,
            Hand::Starboard => starboard,
        })
    }

    /// Height of the sheer at a station, m.
    ///
    /// # Units
    /// Meters.
    pub fn sheer_at(&self, station: f64) -> f64 {
        on_line(&self.sheer, station).map_or(0.0, |p| p.z)
    }

    /// The corner of the edge at an end, on one side.
    pub fn corner(&self, end: End, hand: Hand) -> Option<Point2<f64>> {
        let [aft, fore] = self.edge.ends();
        let inset = CORNER_INSET * (fore - aft);
        let station = match end {
            End::Aft => aft + inset,
            End::Fore => fore - inset,
        };
        let [starboard, port] = self.edge.at_station(station)?;
        Some(match hand {
            Hand::Port => port.xy(),
            Hand::Starboard => starboard.xy(),
        })
    }

    /// The point of the perimeter band under a point of the edge line. The band is drawn tight: on the hull's side,
    /// however it leans, across a transom, and straight past every inward bend.
    ///
    /// # Units
    /// `drop` below the rub rail, m.
    pub fn band_point(&self, edge: &Point3<f64>, drop: f64) -> Point3<f64> {
        let under = self.under_edge(edge, drop);
        self.band_line
            .as_ref()
            .map_or(under, |line| line.at(line.nearest(under.xy())))
    }

    /// What lies under a point of the edge line where nothing is drawn tight: the hull's side, the transom between
    /// the sides' ends, or the place straight down where the edge stands off the hull.
    fn under_edge(&self, edge: &Point3<f64>, drop: f64) -> Point3<f64> {
        let side = edge.y.signum();
        let at_end = [self.sheer.first(), self.sheer.last()]
            .iter()
            .flatten()
            .any(|end| (end.x - edge.x).abs() < ON_SHEER && end.y > ON_SHEER);
        if let (Some(sheer), Some(band)) = (
            on_line(&self.sheer, edge.x),
            on_parallel(&self.sheer, &self.band, edge.x),
        ) && (sheer.x - edge.x).abs() < ON_SHEER
        {
            let out = edge.y.abs() - sheer.y;
            if at_end && out < ON_SHEER {
                let part = (edge.y / sheer.y).clamp(-1.0, 1.0);
                return Point3::new(band.x, band.y * part, band.z);
            }
            if out.abs() < ON_SHEER {
                return Point3::new(band.x, side * band.y, band.z);
            }
        }
        Point3::new(edge.x, edge.y, edge.z - self.rub_rail - drop)
    }
}

/// The band is read off the edge at places this far apart, m.
const BAND_STEP: f64 = 0.02;

/// Corners are looked for this part of the length inside the ends.
const CORNER_INSET: f64 = 0.01;

/// The point of a line of rising stations at a station, clamped to its ends.
fn on_line(line: &[Point3<f64>], station: f64) -> Option<Point3<f64>> {
    on_parallel(line, line, station)
}

/// The same, read off a second line with a point for each of the first.
fn on_parallel(line: &[Point3<f64>], other: &[Point3<f64>], station: f64) -> Option<Point3<f64>> {
    let after = line.partition_point(|p| p.x <= station);
    let (i, j) = (
        after.saturating_sub(1),
        after.min(line.len().saturating_sub(1)),
    );
    let (a, b) = (line.get(i)?, line.get(j)?);
    let (u, v) = (other.get(i)?, other.get(j)?);
    let s = if b.x > a.x {
        ((station - a.x) / (b.x - a.x)).clamp(0.0, 1.0)
    } else {
        0.0
    };
    Some(u + (v - u) * s)
}

/// All points in plan that the film's edge must enclose.
fn enclosed(skin: &Skin, things: &[Thing]) -> Vec<Point3<f64>> {
    let mut points: Vec<Point3<f64>> = Vec::new();
    let mirror = |p: &Point3<f64>| Point3::new(p.x, -p.y, p.z);
    for p in skin.sheer.iter().chain(&skin.tips) {
        points.push(*p);
        points.push(mirror(p));
    }
    for thing in things.iter().filter(|thing| thing.film_goes_round) {
        for p in thing.extent() {
            let z = on_line(&skin.sheer, p.x).map_or(p.z, |sheer| sheer.z);
            for (dx, dy) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)] {
                points.push(Point3::new(p.x + dx * STAND_OFF, p.y + dy * STAND_OFF, z));
            }
        }
    }
    points
}

/// The hull's own surface, whatever its form.
struct Skin {
    bodies: Vec<Mesh>,
    sheer: Vec<Point3<f64>>,
    /// Points of the port side that reach past the sheer line in plan: tips of slender hulls.
    tips: Vec<Point3<f64>>,
    form: Option<Box<dyn Form>>,
}

impl Skin {
    fn of(boat: &Boat) -> Result<Skin, Vec<ShapeFault>> {
        match &boat.hull {
            HullForm::Mono(form) => Skin::single(lines_of(boat, form)),
            HullForm::Tubes { count, diameter } => Skin::tubes(boat, *count, *diameter),
            HullForm::Catamaran {
                hull_beam,
                deadrise,
                deck_thickness,
                stem_rake,
            } => Skin::catamaran(boat, *hull_beam, *deadrise, *deck_thickness, *stem_rake),
            HullForm::Offsets { sections, .. } => Skin::table(sections),
        }
    }

    fn single(lines: Lines) -> Result<Skin, Vec<ShapeFault>> {
        let mesh = lines.mesh(MESH_STATIONS, MESH_GIRTH)?.mesh;
        let sheer = (0..=SHEER_STATIONS)
            .map(|i| {
                let u = i as f64 / SHEER_STATIONS as f64;
                // Crowded toward the bow, where the plan form bends.
                let x = lines.length * u * (1.6 - 0.6 * u);
                Point3::new(x, lines.half_breadth(x), lines.sheer_height(x))
            })
            .collect();
        Ok(Skin {
            bodies: vec![mesh],
            sheer,
            tips: Vec::new(),
            form: Some(Box::new(lines)),
        })
    }

    fn table(sections: &[crate::boat::OffsetSection]) -> Result<Skin, Vec<ShapeFault>> {
        let fault = |message: String| ShapeFault {
            field: "file",
            message,
        };
        let offsets = Offsets::new(sections).map_err(|faults| {
            faults
                .iter()
                .map(|f| fault(f.to_string()))
                .collect::<Vec<_>>()
        })?;
        let mesh = offsets.mesh().map_err(|f| vec![fault(f.to_string())])?.mesh;
        let crossings = mesh.crossings();
        if crossings > 0 {
            return Err(vec![fault(format!(
                "the surface through the offsets crosses itself in {crossings} places: check the order of the \
                 points and sections"
            ))]);
        }
        let length = offsets.length();
        let sheer = (0..=SHEER_STATIONS)
            .filter_map(|i| {
                let station = length * i as f64 / SHEER_STATIONS as f64;
                offsets.section(station, MESH_GIRTH).last().copied()
            })
            .collect();
        Ok(Skin {
            bodies: vec![mesh],
            sheer,
            tips: Vec::new(),
            form: Some(Box::new(offsets)),
        })
    }

    fn tubes(boat: &Boat, count: u32, diameter: f64) -> Result<Skin, Vec<ShapeFault>> {
        let out = 0.5 * (boat.beam - diameter);
        let offsets = if count == 3 {
            vec![-out, 0.0, out]
        } else {
            vec![-out, out]
        };
        let multi = MultiHull {
            body: Body::Tube(Tube {
                length: boat.length,
                diameter,
                nose: Nose::Upturned {
                    length: NOSE_PART * boat.length,
                },
            }),
            offsets,
            deck: DeckSlab {
                start: 0.0,
                end: TUBE_DECK * boat.length,
                beam: boat.beam,
                thickness: boat.sheer[0] - diameter - multi::BODY_GAP,
            },
        };
        let tip = Point3::new(boat.length, out, boat.sheer[0]);
        Skin::multi(boat, &multi, vec![tip])
    }

    fn catamaran(
        boat: &Boat,
        hull_beam: f64,
        deadrise: f64,
        deck_thickness: f64,
        stem_rake: f64,
    ) -> Result<Skin, Vec<ShapeFault>> {
        let out = 0.5 * (boat.beam - hull_beam);
        let top = boat.sheer[0] - deck_thickness - multi::BODY_GAP;
        let multi = MultiHull {
            body: Body::Demihull(Lines {
                length: boat.length,
                beam: hull_beam,
                sheer: [top; 3],
                fullness: 0.3,
                transom_beam_fraction: 0.8,
                stem_rake,
                transom_rake: 0.0,
                section: SectionShape::RoundBilge {
                    bilge: 0.6,
                    deadrise,
                },
            }),
            offsets: vec![-out, out],
            deck: DeckSlab {
                start: 0.0,
                end: CATAMARAN_DECK * boat.length,
                beam: boat.beam,
                thickness: deck_thickness,
            },
        };
        let tip = Point3::new(boat.length, out, boat.sheer[0]);
        Skin::multi(boat, &multi, vec![tip])
    }

    fn multi(
        boat: &Boat,
        multi: &MultiHull,
        tips: Vec<Point3<f64>>,
    ) -> Result<Skin, Vec<ShapeFault>> {
        let bodies = multi.meshes(MESH_STATIONS, MESH_GIRTH)?;
        let half = 0.5 * boat.beam;
        let end = multi.deck.end;
        let sheer = (0..=SHEER_STATIONS)
            .map(|i| {
                let x = end * i as f64 / SHEER_STATIONS as f64;
                Point3::new(x, half, boat.sheer[0])
            })
            .collect();
        Ok(Skin {
            bodies,
            sheer,
            tips,
            form: None,
        })
    }

    /// Where the band runs under a point of the sheer: a girth below it, under the hull where the side
    /// is shorter, and straight down beside slender hulls.
    fn band_under(&self, sheer: &Point3<f64>, drop: f64) -> Point3<f64> {
        self.form
            .as_ref()
            .and_then(|form| form.girth_point(sheer.x, drop))
            .unwrap_or_else(|| Point3::new(sheer.x, sheer.y, sheer.z - drop))
    }
}

fn lines_of(boat: &Boat, form: &MonoForm) -> Lines {
    Lines {
        length: boat.length,
        beam: boat.beam,
        sheer: boat.sheer,
        fullness: form.fullness,
        transom_beam_fraction: form.transom_beam_fraction,
        stem_rake: form.stem_rake,
        transom_rake: form.transom_rake,
        section: match form.section {
            Section::V {
                transom_deadrise,
                entry_deadrise,
                chine_beam_fraction,
            } => SectionShape::V {
                transom_deadrise,
                entry_deadrise,
                chine_beam_fraction,
            },
            Section::RoundBilge { bilge, deadrise } => SectionShape::RoundBilge { bilge, deadrise },
            Section::Flat {
                chine_beam_fraction,
            } => SectionShape::Flat {
                chine_beam_fraction,
            },
        },
    }
}
