//! The dimensioned list as CSV: one row for each post, each strap and the band.

use super::ExportError;
use super::number::rounded;
use crate::fittings::Fittings;
use crate::plan::Plan;
use crate::season::guarded;
use crate::units::{NEWTONS_PER_POUND, UnitSystem};

/// Columns whose headings do not depend on the units; lengths and forces get their unit appended.
const LENGTHS: [&str; 9] = [
    "station",
    "from_bow",
    "offset",
    "base",
    "cap_over_sole",
    "cap_over_rub_rail",
    "length",
    "cut_length",
    "sag",
];

/// A row before it is printed.
#[derive(Default)]
struct Row<'a> {
    piece: &'static str,
    id: &'a str,
    count: usize,
    from: &'a str,
    to: &'a str,
    lengths: [Option<f64>; 9],
    buckles: Option<usize>,
    force: Option<f64>,
    governed_by: String,
}

/// The dimensioned list with a row of headings. Lengths are in feet and inches to the nearest 1/4 in, as
/// the crew cuts, or in meters as plain numbers; the headings say which. Cells that do not apply are empty.
///
/// # Errors
/// When the writer refuses, which it does for no plan.
pub fn csv(plan: &Plan, units: UnitSystem) -> Result<String, ExportError> {
    let writer = ::csv::Writer::from_writer(Vec::new());
    written(plan, units, writer, |cell| cell)
}

/// The same list with a tab between cells and no quotes round them, as a spreadsheet takes it from the clipboard.
///
/// # Errors
/// When the writer refuses, which it does for no plan.
pub fn tabbed(plan: &Plan, units: UnitSystem) -> Result<String, ExportError> {
    let writer = ::csv::WriterBuilder::new()
        .delimiter(b'\t')
        .quote_style(::csv::QuoteStyle::Never)
        .from_writer(Vec::new());
    // A name may hold anything: a row is one line, and a tab parts cells.
    written(plan, units, writer, |cell| {
        cell.split_whitespace().collect::<Vec<_>>().join(" ")
    })
}

fn written(
    plan: &Plan,
    units: UnitSystem,
    mut writer: ::csv::Writer<Vec<u8>>,
    cell: fn(String) -> String,
) -> Result<String, ExportError> {
    let refuse = |error: ::csv::Error| ExportError::new("CSV", error);
    let (length_unit, force_unit) = match units {
        UnitSystem::FeetInches => ("ft_in", "lbf"),
        UnitSystem::Metric => ("m", "n"),
    };
    let mut headings: Vec<String> = ["piece", "id", "count", "from", "to"]
        .map(str::to_owned)
        .to_vec();
    headings.extend(LENGTHS.map(|name| format!("{name}_{length_unit}")));
    headings.push("buckles".to_owned());
    headings.push(format!("force_{force_unit}"));
    headings.push("governed_by".to_owned());
    writer.write_record(&headings).map_err(refuse)?;
    for row in rows(plan, units) {
        let mut cells = vec![
            row.piece.to_owned(),
            row.id.to_owned(),
            row.count.to_string(),
            row.from.to_owned(),
            row.to.to_owned(),
        ];
        cells.extend(row.lengths.map(|length| match (length, units) {
            (None, _) => String::new(),
            (Some(meters), UnitSystem::FeetInches) => units.format_length(meters),
            (Some(meters), UnitSystem::Metric) => format!("{:.3}", rounded(meters)),
        }));
        cells.push(
            row.buckles
                .map_or_else(String::new, |count| count.to_string()),
        );
        cells.push(row.force.map_or_else(String::new, |newtons| match units {
            UnitSystem::FeetInches => format!("{:.0}", rounded(newtons / NEWTONS_PER_POUND)),
            UnitSystem::Metric => format!("{:.0}", rounded(newtons)),
        }));
        cells.push(row.governed_by);
        writer
            .write_record(
                cells
                    .into_iter()
                    .map(|text| guarded(&cell(text)).into_owned()),
            )
            .map_err(refuse)?;
    }
    let bytes = writer
        .into_inner()
        .map_err(|error| ExportError::new("CSV", error))?;
    String::from_utf8(bytes).map_err(|error| ExportError::new("CSV", error))
}

fn rows(plan: &Plan, units: UnitSystem) -> Vec<Row<'_>> {
    let mut rows = Vec::new();
    let posts = plan.frame.posts.iter().zip(&plan.takeoff.posts);
    for ((post, cut), load) in posts.zip(&plan.cover.post_loads) {
        rows.push(Row {
            piece: "support post",
            id: &post.id,
            count: 1,
            from: &post.footing,
            lengths: [
                Some(post.station),
                Some(cut.from_bow),
                Some(post.offset),
                Some(post.base),
                Some(cut.over_sole),
                Some(cut.over_rub_rail),
                None,
                Some(cut.cut),
                None,
            ],
            force: Some(*load),
            governed_by: post.reason.sentence(units),
            ..Row::default()
        });
    }
    let straps = plan.frame.straps.iter().zip(&plan.takeoff.straps);
    for ((strap, cut), shape) in straps.zip(&plan.cover.straps) {
        let mut lengths = [None; 9];
        lengths[6] = Some(cut.length);
        lengths[7] = Some(cut.cut);
        lengths[8] = Some(shape.sag);
        rows.push(Row {
            piece: strap.kind.word(),
            id: &strap.id,
            count: 1,
            from: &strap.from,
            to: &strap.to,
            lengths,
            buckles: Some(cut.buckles),
            force: Some(strap.tension),
            governed_by: strap.reason.sentence(units),
        });
        for bridle in &cut.bridles {
            let fastening = strap.ends.iter().find(|end| end.end == bridle.end);
            let mut lengths = [None; 9];
            lengths[6] = Some(bridle.length);
            lengths[7] = Some(bridle.cut);
            rows.push(Row {
                piece: "bridle",
                id: &bridle.id,
                count: 1,
                from: &strap.id,
                to: fastening.map_or("", |end| end.to.as_str()),
                lengths,
                force: fastening.map(|end| end.tension),
                governed_by: fastening.map_or_else(String::new, |end| end.sentence(units)),
                ..Row::default()
            });
        }
    }
    rows.extend(fitted(&plan.fittings));
    rows
}

/// Band, drop straps and belly bands.
fn fitted(fittings: &Fittings) -> Vec<Row<'_>> {
    let lengths = |station: Option<f64>, offset: Option<f64>, length: f64, cut: f64| {
        let mut lengths = [None; 9];
        (lengths[0], lengths[2]) = (station, offset);
        (lengths[6], lengths[7]) = (Some(length), Some(cut));
        lengths
    };
    let mut rows: Vec<Row> = fittings
        .drop_straps
        .iter()
        .map(|strap| Row {
            piece: "drop strap",
            id: &strap.id,
            count: 1,
            from: &strap.anchor,
            to: "perimeter band",
            lengths: lengths(
                Some(strap.top.x),
                Some(strap.top.y),
                strap.length,
                strap.cut,
            ),
            ..Row::default()
        })
        .collect();
    rows.push(Row {
        piece: "perimeter band",
        id: "band",
        count: 1,
        lengths: lengths(None, None, fittings.band.length, fittings.band.cut),
        buckles: Some(fittings.band.buckles),
        ..Row::default()
    });
    rows.extend(fittings.belly_bands.iter().map(|band| Row {
        piece: "belly band",
        id: &band.id,
        count: 1,
        to: &band.goes,
        lengths: lengths(Some(band.station), None, band.length, band.cut),
        buckles: Some(band.buckles),
        ..Row::default()
    }));
    rows
}
