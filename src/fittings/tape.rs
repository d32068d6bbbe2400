//! Tape: over buckles, pleats, slits, vents and the door.

use super::{Band, BellyBand, Door, DoorFit, Vent};
use crate::boat::Rules;
use crate::film::Pleat;
use crate::frame::{Frame, StrapKind};

/// Tape over a buckle, so that hot film does not burn on it, m; house rule, 12 in.
const BUCKLE: f64 = 0.3048;

/// Tape round the slit of a belly band, m; house rule, 12 in.
const SLIT: f64 = 0.3048;

/// Overlap at a corner of what is taped all round, m; house rule, 2 in.
const CORNER: f64 = 0.0508;

/// Buckles of a strap of the frame: the ridge has one at each end.
fn buckles(kind: StrapKind) -> usize {
    match kind {
        StrapKind::Ridge => 2,
        StrapKind::Side | StrapKind::Hip => 1,
    }
}

/// Tape for a cover, m.
pub(super) fn tape(
    rules: &Rules,
    frame: &Frame,
    band: &Band,
    belly_bands: &[BellyBand],
    vents: &[Vent],
    door: Option<&Door>,
    pleats: &[Pleat],
) -> f64 {
    let straps: usize = frame.straps.iter().map(|strap| buckles(strap.kind)).sum();
    let belly: usize = belly_bands.iter().map(|band| band.buckles).sum();
    let buckles = straps + belly + band.buckles;
    let slits: usize = belly_bands.iter().map(|band| band.slits.len()).sum();
    let pleats: f64 = pleats.iter().map(|pleat| pleat.run).sum();
    let round = |width: f64, height: f64| 2.0 * (width + height) + 4.0 * CORNER;
    let side = rules.vent_area.sqrt();
    let door = door
        .filter(|door| door.fit == DoorFit::Fits)
        .map_or(0.0, |door| round(door.width, door.length));
    buckles as f64 * BUCKLE
        + slits as f64 * SLIT
        + vents.len() as f64 * round(side, side)
        + door
        + pleats
}
