//! Sets of files: those of a job sheet and those of a plan.

use super::missing::{FileSet, missing_in};
use super::season::cautions_file;
use super::{
    ExportError, Record, boat_glb, cover_stl, csv, dxf, frame_stl, html, hull_stl, json, pdf, ron,
    svg,
};
use crate::plan::Plan;
use crate::sheet::{Paper, cover_drawing, frame_plot, job_sheet, plan_sheet};
use crate::units::UnitSystem;

/// Names and bytes of a job sheet in all its formats: `sheet.pdf`, `sheet.html`, `frame.dxf`, and a page each
/// `sheet-1.svg`, `sheet-2.svg` and so on; and what of their words stands as boxes in the PDF.
///
/// # Errors
/// When a format's writer refuses.
pub fn sheet_files(plan: &Plan, units: UnitSystem, paper: Paper) -> Result<FileSet, ExportError> {
    let pages = job_sheet(plan, units, paper);
    let title = format!("Job sheet of {}", plan.boat.name);
    let plot = frame_plot(plan, units);
    let mut files = vec![
        ("sheet.pdf".to_owned(), pdf(&pages, &title)?),
        (
            "sheet.html".to_owned(),
            html(&title, &pages, &plan_sheet(plan, units)).into_bytes(),
        ),
        ("frame.dxf".to_owned(), dxf(&plot)?),
    ];
    files.extend(
        (1..)
            .zip(&pages)
            .map(|(number, page)| (sheet_page_name(number), svg(page).into_bytes())),
    );
    let missing = missing_in("sheet.pdf", &pages);
    Ok(FileSet { files, missing })
}

/// How many of the files of a sheet are pages.
pub fn sheet_pages(files: &[(String, Vec<u8>)]) -> usize {
    (1..)
        .take_while(|number| {
            let page = sheet_page_name(*number);
            files.iter().any(|(name, _)| *name == page)
        })
        .count()
}

/// The name of a page of a sheet; pages count from 1.
pub fn sheet_page_name(number: usize) -> String {
    format!("sheet-{number}.svg")
}

/// Names and bytes of a plan in all its formats: `frame.csv`, `plan.json`, `plan.ron`, `cover.svg`, `hull.stl`,
/// `frame.stl`, `cover.stl`, `boat.glb`, and `cautions.txt`, which
/// belongs to the list.
///
/// # Errors
/// When a format's writer refuses.
pub fn plan_files(plan: &Plan, units: UnitSystem) -> Result<Vec<(String, Vec<u8>)>, ExportError> {
    let record = Record::new(plan);
    let files = [
        ("frame.csv", csv(plan, units)?.into_bytes()),
        ("plan.json", json(&record)?.into_bytes()),
        ("plan.ron", ron(&record)?.into_bytes()),
        ("cover.svg", svg(&cover_drawing(plan, units)).into_bytes()),
        ("hull.stl", hull_stl(plan)),
        ("frame.stl", frame_stl(plan)),
        ("cover.stl", cover_stl(plan)),
        ("boat.glb", boat_glb(plan)),
    ];
    let files = files.into_iter();
    Ok(files
        .map(|(name, bytes)| (name.to_owned(), bytes))
        .chain([cautions_file()])
        .collect())
}
