//! The plan as other programs read it: flat records in SI units.

mod film;
mod fittings;
mod loads;

pub use film::{FilmRecord, PleatRecord};
pub use fittings::{
    BandRecord, BearingRecord, BellyBandRecord, CondensationRecord, DoorRecord, DropStrapRecord,
    PadRecord, VentRecord, VentilationRecord,
};

pub use loads::{CheckRecord, LoadedRecord, SnowCapacityRecord};

use super::number::{rounded, three_figures};
use crate::boat::End;
use crate::frame::{Fastening, Strap, StrapKind};
use crate::loads::{CAUTION, Loads};
use crate::num::bounded::Status;
use crate::plan::{Basis, Certificate, Plan};
use crate::sheet::fewer_posts_sentence;
use crate::takeoff::CutStrap;
use crate::units::UnitSystem;
use nalgebra::Point3;
use serde::Serialize;

/// A whole plan for other programs. Fields are only ever added, never renamed.
///
/// # Units
/// SI: meters, newtons, square and cubic meters; names end in the unit. Slopes are in degrees. Places are
/// `[station, offset to port, height over the keel]`. All numbers are finite.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Record {
    /// The boat.
    pub boat: BoatRecord,
    /// Support posts from the stern.
    pub posts: Vec<PostRecord>,
    /// What one post less would do.
    pub fewer_posts: FewerPostsRecord,
    /// How the frame stands against its single changes; null where they were not tried.
    pub certificate: Option<Certificate>,
    /// What would mend a cover that falls short, or what was tried in vain, as a sentence; null where it sheds.
    pub remedy: Option<String>,
    /// Straps of the frame, ridges first.
    pub straps: Vec<StrapRecord>,
    /// Looped drop straps from the stern round by port.
    pub drop_straps: Vec<DropStrapRecord>,
    /// The perimeter band.
    pub band: BandRecord,
    /// The taut film.
    pub cover: CoverRecord,
    /// The flat sheet that takes its shape.
    pub film: FilmRecord,
    /// Where the sheet is gathered: pleats from the stern, then closures.
    pub pleats: Vec<PleatRecord>,
    /// Belly bands from the stern.
    pub belly_bands: Vec<BellyBandRecord>,
    /// Vents from the stern.
    pub vents: Vec<VentRecord>,
    /// Air through them.
    pub ventilation: VentilationRecord,
    /// Whether the film drips.
    pub condensation: CondensationRecord,
    /// The door; null where none is asked for.
    pub door: Option<DoorRecord>,
    /// Places where the film wants a pad.
    pub pads: Vec<PadRecord>,
    /// What the cover at rest puts on things above the deck.
    pub bearings: Vec<BearingRecord>,
    /// How well the forces balance.
    pub equilibrium: EquilibriumRecord,
    /// Whether the cover is good.
    pub verdict: VerdictRecord,
    /// Demand against capacity; empty where the boat was planned for no site.
    pub checks: Vec<CheckRecord>,
    /// The cover under the case that asks most of it; null where the boat was planned for no site.
    pub loaded: Option<LoadedRecord>,
    /// The cover under every case.
    pub load_cases: Vec<LoadedRecord>,
    /// The greatest snow that the cover stands; null where the site has none.
    pub snow_capacity: Option<SnowCapacityRecord>,
    /// The site in words; empty where there is none.
    pub site: Vec<String>,
    /// What the figures of loads are worth.
    pub load_caution: &'static str,
}

/// The boat.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BoatRecord {
    /// Its name.
    pub name: String,
    /// Length with everything that sticks out.
    pub length_overall_m: f64,
    /// Length of the hull at the sheer.
    pub hull_length_m: f64,
    /// Greatest beam of the hull.
    pub beam_m: f64,
}

/// A support post.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PostRecord {
    /// Its name; where none was given, `P1` is the aftmost.
    pub id: String,
    /// Forward from the transom.
    pub station_m: f64,
    /// Aft from the bow.
    pub from_bow_m: f64,
    /// To port from the centerline.
    pub offset_m: f64,
    /// What it stands on.
    pub footing: String,
    /// Height of the footing over the keel.
    pub base_z_m: f64,
    /// Height of the cap's top over the keel.
    pub cap_z_m: f64,
    /// Height of the cap over the sole.
    pub cap_over_sole_m: f64,
    /// Height of the cap over the rub rail beside it.
    pub cap_over_rub_rail_m: f64,
    /// Length to cut, caps subtracted.
    pub cut_length_m: f64,
    /// What film and straps press on it.
    pub load_n: f64,
    /// Whether the user pinned it.
    pub pinned: bool,
    /// Whether it was left where a plan had it.
    pub kept: bool,
    /// What decides its height, as a sentence.
    pub governed_by: String,
}

/// What one post less would do.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FewerPostsRecord {
    /// Whether it would do too.
    pub possible: bool,
    /// Whether that was proved or tried.
    pub basis: Basis,
    /// Posts that are left out of the frame that was tried; empty where it is another frame altogether.
    pub without: Vec<String>,
    /// Posts that were tried.
    pub posts: usize,
    /// Why it does not do, as a sentence.
    pub reason: String,
    /// Aft end of the stretch that forbids it.
    pub from_m: f64,
    /// Fore end of that stretch.
    pub to_m: f64,
    /// What the film over the best such frame would hold; null where none was solved.
    pub holding_area_m2: Option<f64>,
}

/// A strap of the frame.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StrapRecord {
    /// `R1`, `S1`, `H1` ...
    pub id: String,
    /// `ridge`, `side` or `hip`.
    pub kind: StrapKind,
    /// Where it starts: a post's id or a place in words.
    pub from: String,
    /// Where it ends.
    pub to: String,
    /// Length between its anchors.
    pub length_m: f64,
    /// Length to cut, tails included.
    pub cut_length_m: f64,
    /// Buckles on it.
    pub buckles: usize,
    /// Tension.
    pub tension_n: f64,
    /// Greatest sag under the straight line between neighboring supports.
    pub sag_m: f64,
    /// Why it is there, as a sentence.
    pub governed_by: String,
    /// How a ridge strap is made fast, stern first; empty for others.
    pub ends: Vec<FasteningRecord>,
}

/// How a ridge strap is made fast at one end.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FasteningRecord {
    /// `stern` or `bow`.
    pub end: &'static str,
    /// What it is tied to, in words.
    pub to: String,
    /// False where nothing is there to tie to: it then goes to what the boat stands on, or under the hull.
    pub anchored: bool,
    /// Its course from where it leaves the ridge's line in plan to the anchor, or to the bridle's knot.
    pub course_m: Vec<[f64; 3]>,
    /// The legs of a bridle from its knot to the anchors; empty without one.
    pub legs_m: Vec<Vec<[f64; 3]>>,
    /// Length of the bridle to cut, tails included; zero without one.
    pub bridle_cut_length_m: f64,
    /// Tension of each leg, or of the strap.
    pub tension_n: f64,
}

/// The taut film.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CoverRecord {
    /// Area down to the band.
    pub area_m2: f64,
    /// Area over the edge line.
    pub spanned_area_m2: f64,
    /// Area inside the edge line in plan.
    pub plan_area_m2: f64,
    /// Least slope off the caps.
    pub min_slope_deg: f64,
    /// Where that is.
    pub min_slope_at_m: [f64; 3],
    /// Least slope wanted.
    pub wanted_slope_deg: f64,
    /// Area of all film flatter than wanted.
    pub holding_area_m2: f64,
    /// Connected film flatter than wanted, the largest first.
    pub holding_patches: Vec<PatchRecord>,
    /// Hollows that would hold water, the largest first.
    pub ponds: Vec<PondRecord>,
    /// Triangles of the film's mesh.
    pub triangles: usize,
    /// Greatest force left over at a free node, N.
    pub residual: f64,
    /// Newton steps.
    pub iterations: usize,
    /// `converged`, `iteration_limit` or `stalled`.
    pub status: Status,
}

/// A holding patch.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PatchRecord {
    /// Its area.
    pub area_m2: f64,
    /// Its middle.
    pub at_m: [f64; 3],
    /// Its least slope.
    pub min_slope_deg: f64,
}

/// A pond.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PondRecord {
    /// Water over its deepest place.
    pub depth_m: f64,
    /// Water in it.
    pub volume_m3: f64,
    /// Its deepest place.
    pub at_m: [f64; 3],
}

/// Balance of forces.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EquilibriumRecord {
    /// Sum of all vertical forces on the film: zero up to the residual.
    pub vertical_n: f64,
}

/// The verdict.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VerdictRecord {
    /// Whether the cover sheds everywhere.
    pub sheds: bool,
    /// Whether every check of loads holds; null where the boat was planned for no site.
    pub stands: Option<bool>,
    /// Whether the cover sheds, and stands its loads where it was planned for a site.
    pub good: bool,
    /// What is wrong and what would mend it, as sentences; empty where it sheds.
    pub shortfalls: Vec<String>,
}

/// Sentences in records are in SI too.
const SI: UnitSystem = UnitSystem::Metric;

fn place(p: &Point3<f64>) -> [f64; 3] {
    [p.x, p.y, p.z].map(rounded)
}

impl Record {
    /// The record of a plan.
    pub fn new(plan: &Plan) -> Record {
        let cover = &plan.cover;
        Record {
            boat: BoatRecord {
                name: plan.boat.name.clone(),
                length_overall_m: rounded(plan.hull.length_overall),
                hull_length_m: rounded(plan.boat.length),
                beam_m: rounded(plan.boat.beam),
            },
            posts: posts(plan),
            certificate: plan.certificate,
            remedy: plan.remedy.as_ref().map(|remedy| remedy.sentence(SI)),
            fewer_posts: FewerPostsRecord {
                possible: plan.fewer.possible,
                basis: plan.fewer.basis,
                without: plan.fewer.without.clone(),
                posts: plan.fewer.posts,
                reason: fewer_posts_sentence(plan, SI),
                from_m: rounded(plan.fewer.stretch[0]),
                to_m: rounded(plan.fewer.stretch[1]),
                holding_area_m2: plan.fewer.holding_area.map(rounded),
            },
            straps: straps(plan),
            drop_straps: fittings::drop_straps(&plan.fittings),
            band: fittings::band(&plan.fittings),
            cover: cover_record(plan),
            film: film::film(plan),
            pleats: film::pleats(plan),
            belly_bands: fittings::belly_bands(&plan.fittings),
            vents: fittings::vents(&plan.fittings),
            ventilation: fittings::ventilation(&plan.fittings),
            condensation: fittings::condensation(&plan.fittings),
            door: plan.fittings.door.as_ref().map(fittings::door),
            pads: fittings::pads(&plan.fittings),
            bearings: fittings::bearings(plan),
            equilibrium: EquilibriumRecord {
                vertical_n: three_figures(cover.vertical),
            },
            verdict: VerdictRecord {
                sheds: plan.sheds(),
                stands: plan.loads.as_ref().map(Loads::stands),
                good: plan.is_good(),
                shortfalls: plan
                    .shortfalls
                    .iter()
                    .map(|shortfall| shortfall.sentence(SI))
                    .collect(),
            },
            checks: loads::checks(plan),
            loaded: loads::governing_case(plan),
            load_cases: loads::cases(plan),
            snow_capacity: plan.loads.as_ref().and_then(loads::capacity),
            site: plan
                .loads
                .as_ref()
                .map_or_else(Vec::new, |loads| loads.site.describe(SI)),
            load_caution: CAUTION,
        }
    }
}

fn posts(plan: &Plan) -> Vec<PostRecord> {
    plan.frame
        .posts
        .iter()
        .zip(&plan.takeoff.posts)
        .zip(&plan.cover.post_loads)
        .map(|((post, cut), load)| PostRecord {
            id: post.id.clone(),
            station_m: rounded(post.station),
            from_bow_m: rounded(cut.from_bow),
            offset_m: rounded(post.offset),
            footing: post.footing.clone(),
            base_z_m: rounded(post.base),
            cap_z_m: rounded(post.cap),
            cap_over_sole_m: rounded(cut.over_sole),
            cap_over_rub_rail_m: rounded(cut.over_rub_rail),
            cut_length_m: rounded(cut.cut),
            load_n: rounded(*load),
            pinned: post.pinned && !post.kept,
            kept: post.kept,
            governed_by: post.reason.sentence(SI),
        })
        .collect()
}

fn straps(plan: &Plan) -> Vec<StrapRecord> {
    plan.frame
        .straps
        .iter()
        .zip(&plan.takeoff.straps)
        .zip(&plan.cover.straps)
        .map(|((strap, cut), shape)| StrapRecord {
            id: strap.id.clone(),
            kind: strap.kind,
            from: strap.from.clone(),
            to: strap.to.clone(),
            length_m: rounded(cut.length),
            cut_length_m: rounded(cut.cut),
            buckles: cut.buckles,
            tension_n: rounded(strap.tension),
            sag_m: rounded(shape.sag),
            governed_by: strap.reason.sentence(SI),
            ends: ends(strap, cut),
        })
        .collect()
}

fn ends(strap: &Strap, cut: &CutStrap) -> Vec<FasteningRecord> {
    let places = |course: &[nalgebra::Point3<f64>]| course.iter().map(place).collect();
    let record = |end: &Fastening| FasteningRecord {
        end: match end.end {
            End::Aft => "stern",
            End::Fore => "bow",
        },
        to: end.to.clone(),
        anchored: end.found,
        course_m: places(&end.course),
        legs_m: end.legs.iter().map(|leg| places(leg)).collect(),
        bridle_cut_length_m: cut
            .bridles
            .iter()
            .filter(|bridle| bridle.end == end.end)
            .map(|bridle| rounded(bridle.cut))
            .fold(0.0, |sum, cut| sum + cut),
        tension_n: rounded(end.tension),
    };
    strap.ends.iter().map(record).collect()
}

fn cover_record(plan: &Plan) -> CoverRecord {
    let cover = &plan.cover;
    CoverRecord {
        area_m2: rounded(cover.area),
        spanned_area_m2: rounded(cover.spanned_area),
        plan_area_m2: rounded(cover.plan_area),
        min_slope_deg: rounded(cover.least_slope.to_degrees()),
        min_slope_at_m: place(&cover.least_slope_at),
        wanted_slope_deg: rounded(plan.rules.min_slope.to_degrees()),
        holding_area_m2: rounded(cover.holding_area()),
        holding_patches: cover
            .patches
            .iter()
            .map(|patch| PatchRecord {
                area_m2: rounded(patch.area),
                at_m: place(&patch.centroid),
                min_slope_deg: rounded(patch.least_slope.to_degrees()),
            })
            .collect(),
        ponds: cover
            .ponds
            .iter()
            .map(|pond| PondRecord {
                depth_m: rounded(pond.depth),
                volume_m3: rounded(pond.volume),
                at_m: place(&pond.deepest),
            })
            .collect(),
        triangles: cover.mesh.triangles.len(),
        residual: three_figures(cover.residual),
        iterations: cover.iterations,
        status: cover.status,
    }
}
