//! Bytes from a plan or a sheet; somebody else chooses where they go.

mod csv;
mod dxf;
mod dxf_finish;
mod files;
mod glb;
mod ground;
mod html;
mod ical;
mod json;
mod meshes;
mod missing;
mod number;
mod paint;
mod pdf;
mod quote;
mod record;
mod ron;
mod season;
mod slope_color;
mod stl;
mod svg;
mod table;
mod text;
mod typeface;

pub use csv::{csv, tabbed};
pub use dxf::dxf;
pub use files::{plan_files, sheet_files, sheet_page_name, sheet_pages};
pub use glb::{Paint, Part, glb};
pub use html::html;
pub use json::json;
pub use meshes::{boat_glb, cover_stl, frame_mesh, frame_stl, hull_stl, slope_colors};
pub use missing::{FileSet, Missing, missing_in};
pub use pdf::pdf;
pub use quote::{quote_csv, quote_json};
pub use record::Record;
pub use ron::ron;
pub use season::{season_files, season_names};
pub use slope_color::{slope_color, slope_color_hex};
pub use stl::stl;
pub use svg::svg;
pub use table::csv_table;
pub use text::text;

/// Why a plan could not be turned into bytes.
#[derive(Debug, thiserror::Error)]
#[error("the plan cannot be written as {format}: {reason}")]
pub struct ExportError {
    /// The format.
    pub format: &'static str,
    /// What its writer says.
    pub reason: String,
}

impl ExportError {
    fn new(format: &'static str, reason: impl ToString) -> ExportError {
        ExportError {
            format,
            reason: reason.to_string(),
        }
    }
}
