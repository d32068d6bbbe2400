//! The rules by which a boat is planned: the house's and the trade's numbers, all editable.

use serde::Serialize;

const INCH: f64 = 0.0254;
const FOOT: f64 = 0.3048;

/// Numbers that a user may change, in SI. Each field's default is named with its source.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rules {
    /// Least slope of the film, rad. 15 deg: the slope under which the slippery, unobstructed,
    /// cold-roof curve takes no reduction (ASCE 7 Fig. 7.4-1, Ct >= 1.2, quoted). A house rule:
    /// measured sliding angles of snow on plastics scatter from about 11 to 26 deg.
    pub min_slope: f64,
    /// Clearance of the ridge over a windshield or console, m. 10 in, common practice.
    pub clearance: f64,
    /// Longest span of the ridge strap between supports, m. 8 ft, house rule.
    pub max_span: f64,
    /// Greatest height of a cap over its footing, m. 8 ft, house rule.
    pub max_post: f64,
    /// Least distance between two posts, m. 12 in, house rule.
    pub least_post_gap: f64,
    /// Step of the stations that the frame search tries, m. 3 in.
    pub station_step: f64,
    /// Step of the cap heights that the frame search tries, m. 1 in.
    pub height_step: f64,
    /// Size of the cells at straps, caps and edge of the film that gives the verdict, m; open film is up to twice as
    /// coarse. 2 in.
    pub cell: f64,
    /// The same for the film by which the frame is searched, so that the frame does not depend on `cell`, m. 2 in.
    pub search_cell: f64,
    /// The cover still sheds with all caps lower by so much, m: posts are cut by hand. 1/2 in, house rule.
    pub cap_tolerance: f64,
    /// The cover still sheds with all posts off their stations by so much, aft or forward, m. 1 in, house rule.
    pub station_tolerance: f64,
    /// Tension of the shrunk film, N/m. 100, from memory.
    pub film_tension: f64,
    /// Tension of the ridge strap, N. 800, drawn with a tensioning tool, from memory.
    pub ridge_tension: f64,
    /// Tension of side and hip straps, N. 400, from memory.
    pub side_tension: f64,
    /// Largest holding patch that is tolerated, m2. 1 sq ft, house rule.
    pub holding_patch: f64,
    /// Part of the cover's plan that may be flatter than the least slope in all, caps left out. 0.03, house rule.
    pub flat_part: f64,
    /// Depth from which a hollow counts as a pond, m. 1/4 in, house rule.
    pub pond_depth: f64,
    /// Diameter of a top cap, m. 5 in, demo value.
    pub cap_diameter: f64,
    /// Height that a top cap adds over its post, m. 3/4 in, demo value.
    pub top_cap: f64,
    /// Height that a base cap adds under its post, m. 1/2 in, demo value.
    pub base_cap: f64,
    /// Side of a square base cap, m: all of it lies on the footing. 5 in, demo value.
    pub base_cap_width: f64,
    /// Pressure that a sole takes under a post for a winter, Pa. 40 psi: a heavy person on one heel, from memory.
    pub sole_bearing: f64,
    /// Tail added to a strap at each end, for knot, buckle and pull, m. 12 in, house rule.
    pub strap_tail: f64,
    /// Spacing of drop straps along the edge, m. 3 ft, house rule.
    pub drop_strap_spacing: f64,
    /// Tail added to a looped drop strap, m. 12 in, house rule.
    pub drop_strap_tail: f64,
    /// Perimeter band below the rub rail, m. 8 in, common practice.
    pub band_drop: f64,
    /// Film tucked behind the band for the weld, m. 6 in, common practice.
    pub film_tuck: f64,
    /// Contact force from which a place wants a pad, N. 5, house rule.
    pub pad_force: f64,
    /// Part of its length by which film may shrink, either way. 0.25, common practice.
    pub film_shrink: f64,
    /// How far the flat sheet may be laid out of square with the ridge, rad. 0.15 (8.6 deg): its threads
    /// athwart then run 1 % longer, which the tucked margin has to spare. House rule.
    pub film_skew: f64,
    /// Thickness of the film, m. 7 mil (thousandths of an inch), common practice.
    pub film_thickness: f64,
    /// Film left over at each end of the sheet, m. 6 in, common practice.
    pub film_end: f64,
    /// Overlap of a welded seam, m. 6 in, house rule.
    pub seam_lap: f64,
    /// Widths of film that the yard has on rolls, m, ascending. Demo data.
    pub rolls: Vec<f64>,
    /// Film that a hand smooths out without a fold, m: the sheet may slip by so much even on the ridge.
    /// 1 in, house rule.
    pub least_pleat: f64,
    /// Deepest single fold, m: a deeper pleat is laid in several. 2 ft, house rule.
    pub deepest_fold: f64,
    /// Spacing of belly bands along the boat, m. 6 ft, common practice.
    pub belly_band_spacing: f64,
    /// Net free area of one vent, m2. 30 sq in, demo value.
    pub vent_area: f64,
    /// Length of boat that one pair of vents serves, m. 9 ft: four vents on 18 ft, common practice.
    pub vent_spacing: f64,
    /// Air temperature outside by which condensation is judged, deg C. 5, house rule.
    pub air_temperature: f64,
    /// Relative humidity under the cover by which condensation is judged, part of one. 0.8, house rule.
    pub humidity: f64,
}

impl Default for Rules {
    fn default() -> Rules {
        Rules {
            min_slope: 15f64.to_radians(),
            clearance: 10.0 * INCH,
            max_span: 8.0 * FOOT,
            max_post: 8.0 * FOOT,
            least_post_gap: 2.0 * FOOT,
            station_step: 3.0 * INCH,
            height_step: INCH,
            cell: 2.0 * INCH,
            search_cell: 2.0 * INCH,
            cap_tolerance: 0.5 * INCH,
            station_tolerance: INCH,
            film_tension: 100.0,
            ridge_tension: 800.0,
            side_tension: 400.0,
            holding_patch: FOOT * FOOT,
            flat_part: 0.03,
            pond_depth: 0.25 * INCH,
            cap_diameter: 5.0 * INCH,
            top_cap: 0.75 * INCH,
            base_cap: 0.5 * INCH,
            base_cap_width: 5.0 * INCH,
            sole_bearing: 40.0 * 4.448_221_615_260_5 / (INCH * INCH),
            strap_tail: FOOT,
            drop_strap_spacing: 3.0 * FOOT,
            drop_strap_tail: FOOT,
            band_drop: 8.0 * INCH,
            film_tuck: 6.0 * INCH,
            pad_force: 5.0,
            film_shrink: 0.25,
            film_skew: 0.15,
            film_thickness: 7.0e-3 * INCH,
            film_end: 6.0 * INCH,
            seam_lap: 6.0 * INCH,
            rolls: [
                10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0, 24.0, 26.0, 28.0, 32.0,
            ]
            .map(|feet| feet * FOOT)
            .to_vec(),
            least_pleat: INCH,
            deepest_fold: 2.0 * FOOT,
            belly_band_spacing: 6.0 * FOOT,
            vent_area: 30.0 * INCH * INCH,
            vent_spacing: 9.0 * FOOT,
            air_temperature: 5.0,
            humidity: 0.8,
        }
    }
}

impl Rules {
    /// The same rules on cells this many times as large, of the search's film and of the verdict's: coarser and faster.
    pub fn coarsen(&mut self, times: f64) {
        self.cell *= times;
        self.search_cell *= times;
    }
}
