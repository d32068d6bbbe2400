//! The boat file as it is written: every dimension still text, every field optional.
//!
//! Only [`super::read`] looks in here; everybody else uses the validated [`super::Boat`]. All heights
//! are over one level (`heights_from`), all stations forward of the transom, all offsets to port.

use super::kept::KeptFile;
use super::quantity::Quantity;
use super::{BoxKind, HeightsFrom, Side, SupportKind, TubeKind};
use serde::Deserialize;

type Q = Option<Quantity>;

/// The whole file.
#[derive(Debug, Default, Deserialize)]
#[serde(default, rename = "Boat")]
pub(super) struct BoatFile {
    pub name: Option<String>,
    pub note: Option<String>,
    pub heights_from: Option<HeightsFrom>,
    pub length: Q,
    pub beam: Q,
    pub sheer: Option<SheerFile>,
    pub hull: Option<HullFile>,
    pub rub_rail: Q,
    pub sole: Q,
    pub boxes: Vec<BoxFile>,
    pub tubes: Vec<TubeFile>,
    pub mast: Option<MastFile>,
    pub antennas: Vec<AntennaFile>,
    pub anchors: Vec<AnchorFile>,
    pub footings: Vec<FootingFile>,
    pub no_post: Vec<ZoneFile>,
    pub stored_on: Option<SupportFile>,
    pub door: Option<DoorFile>,
    pub frame: FrameFile,
    pub rules: RulesFile,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct SheerFile {
    pub bow: Q,
    pub middle: Q,
    pub stern: Q,
}

#[derive(Debug, Deserialize)]
pub(super) enum HullFile {
    V(SectionFile),
    RoundBilge(SectionFile),
    Flat(SectionFile),
    Tubes(TubesFile),
    Catamaran(CatamaranFile),
    Offsets(OffsetsFile),
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct SectionFile {
    pub transom_deadrise: Q,
    pub entry_deadrise: Q,
    pub chine_beam: Q,
    pub transom_beam: Q,
    pub fullness: Option<f64>,
    pub bilge: Option<f64>,
    pub stem_rake: Q,
    pub transom_rake: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct TubesFile {
    pub count: Option<u32>,
    pub diameter: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct CatamaranFile {
    pub hull_beam: Q,
    pub deadrise: Q,
    pub deck_thickness: Q,
    pub stem_rake: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct OffsetsFile {
    pub file: Option<String>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct BoxFile {
    pub name: Option<String>,
    pub kind: BoxKind,
    pub from: Q,
    pub to: Q,
    pub width: Q,
    pub width_fore: Q,
    pub offset: Q,
    pub base: Q,
    pub top: Q,
    pub top_fore: Q,
    pub rake_aft: Q,
    pub rake_fore: Q,
    pub rake_side: Q,
    pub film_may_rest: Option<bool>,
    pub post_may_stand: Option<bool>,
    pub film_goes_round: Option<bool>,
    pub clearance: Q,
    pub bears: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct TubeFile {
    pub name: Option<String>,
    pub kind: TubeKind,
    pub diameter: Q,
    pub path: Vec<(Quantity, Quantity, Quantity)>,
    pub mirrored: bool,
    pub film_may_rest: Option<bool>,
    pub bears: Q,
}

#[derive(Debug, Deserialize)]
pub(super) enum MastFile {
    Up(MastUpFile),
    LaidDown(MastDownFile),
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct MastUpFile {
    pub station: Q,
    pub diameter: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct MastDownFile {
    pub from: Q,
    pub to: Q,
    pub height: Q,
    pub height_fore: Q,
    pub diameter: Q,
    pub bears: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct AntennaFile {
    pub name: Option<String>,
    pub station: Q,
    pub offset: Q,
    pub diameter: Q,
}

#[derive(Debug, Deserialize)]
pub(super) enum AnchorFile {
    BowEye(BowEyeFile),
    SternEye(SternEyeFile),
    SamsonPost(SamsonPostFile),
    Cleat(CleatFile),
    Rail(RailFile),
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct BowEyeFile {
    pub height: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct SternEyeFile {
    pub height: Q,
    pub offset: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct SamsonPostFile {
    pub name: Option<String>,
    pub station: Q,
    pub offset: Q,
    pub height: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct CleatFile {
    pub name: Option<String>,
    pub station: Q,
    pub side: Side,
    pub below_sheer: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct RailFile {
    pub name: Option<String>,
    pub from: Q,
    pub to: Q,
    pub side: Side,
    pub below_sheer: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct FootingFile {
    pub name: Option<String>,
    pub from: Q,
    pub to: Q,
    pub width: Q,
    pub offset: Q,
    pub height: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct ZoneFile {
    pub name: Option<String>,
    pub from: Q,
    pub to: Q,
    pub width: Q,
    pub offset: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct SupportFile {
    pub kind: SupportKind,
    pub keel_height: Q,
    pub supports: Vec<Quantity>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct DoorFile {
    pub station: Q,
    pub side: Option<Side>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct FrameFile {
    pub ridge: Option<RidgeFile>,
    pub only_pinned: bool,
    pub posts: Vec<PostFile>,
    pub straps: Vec<StrapFile>,
}

#[derive(Debug, Deserialize)]
pub(super) enum RidgeFile {
    Single,
    Twin(TwinFile),
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct TwinFile {
    pub spacing: Q,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct PostFile {
    pub name: Option<String>,
    pub name_port: Option<String>,
    pub station: Q,
    pub cap: Q,
    pub kept: Option<KeptFile>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct StrapFile {
    pub post: Q,
    pub station: Q,
    pub side: Side,
    pub kept: Option<KeptFile>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct RulesFile {
    pub min_slope: Q,
    pub clearance: Q,
    pub max_span: Q,
    pub max_post: Q,
    pub least_post_gap: Q,
    pub station_step: Q,
    pub height_step: Q,
    pub cell: Q,
    pub search_cell: Q,
    pub cap_tolerance: Q,
    pub station_tolerance: Q,
    pub film_tension: Q,
    pub ridge_tension: Q,
    pub side_tension: Q,
    pub holding_patch: Option<String>,
    pub flat_part: Option<f64>,
    pub pond_depth: Q,
    pub cap_diameter: Q,
    pub top_cap: Q,
    pub base_cap: Q,
    pub base_cap_width: Q,
    pub sole_bearing: Q,
    pub strap_tail: Q,
    pub drop_strap_spacing: Q,
    pub drop_strap_tail: Q,
    pub band_drop: Q,
    pub film_tuck: Q,
    pub pad_force: Q,
    pub film_shrink: Option<f64>,
    pub film_skew: Q,
    pub film_thickness: Q,
    pub film_end: Q,
    pub seam_lap: Q,
    pub rolls: Vec<Quantity>,
    pub least_pleat: Q,
    pub deepest_fold: Q,
    pub belly_band_spacing: Q,
    pub vent_area: Option<String>,
    pub vent_spacing: Q,
    pub air_temperature: Q,
    pub humidity: Option<f64>,
}
