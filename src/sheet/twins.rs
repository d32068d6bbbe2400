//! Rows of twins, to port and to starboard, as one.

use super::words::CENTER;
use crate::units::{METERS_PER_INCH, UnitSystem};

/// Rows whose distance from the centerline and side, two cells from `at` on, are one: `2'11" port`, `2'11" both`.
pub(super) fn offsets(rows: Vec<Vec<String>>, at: usize) -> Vec<Vec<String>> {
    let joined = |mut row: Vec<String>| {
        if at + 1 < row.len() {
            let side = row.remove(at + 1);
            if let Some(cell) = row.get_mut(at) {
                *cell = if side == CENTER {
                    side
                } else {
                    format!("{cell} {side}")
                };
            }
        }
        row
    };
    rows.into_iter().map(joined).collect()
}

/// Places across the boat that differ by less are twins, m: half of a tape's quarter inch, whatever the units.
pub(super) const TWIN: f64 = 0.125 * METERS_PER_INCH;

/// Part by which forces of twins may differ.
pub(super) const ALIKE_FORCE: f64 = 0.02;

/// A row of a table with the numbers that decide whether it has a twin across the boat.
pub(super) struct Row {
    pub cells: Vec<String>,
    /// Numbers in which twins differ by [`TWIN`] at most.
    pub at: Vec<f64>,
    /// The column that holds a length to cut, and the length, m: of twins the longer is printed.
    pub cut: Option<(usize, f64)>,
}

impl Row {
    /// Whether another row tells of the same on the other side.
    fn is_twin(&self, other: &Row, side: usize) -> bool {
        let sides = (self.cells.get(side), other.cells.get(side));
        let across = matches!(
            (sides.0.map(String::as_str), sides.1.map(String::as_str)),
            (Some("port"), Some("starboard")) | (Some("starboard"), Some("port"))
        );
        let near = |a: f64, b: f64| (a - b).abs() <= TWIN;
        let cut = |row: &Row| row.cut.map_or(0.0, |(_, length)| length);
        across
            && self.at.len() == other.at.len()
            && self.at.iter().zip(&other.at).all(|(a, b)| near(*a, *b))
            && near(cut(self), cut(other))
            && self.words(side).eq(other.words(side))
    }

    /// Its cells that are words and not numbers, without its name and side.
    fn words(&self, side: usize) -> impl Iterator<Item = &str> {
        let name = 0;
        self.cells
            .iter()
            .enumerate()
            .filter(move |(k, _)| *k != name && *k != side)
            .map(|(_, cell)| cell.as_str())
            .filter(|cell| !cell.chars().any(|c| c.is_ascii_digit()))
    }
}

/// Rows of twins to port and to starboard become one: their names are joined, their side is `both`.
pub(super) fn paired(rows: Vec<Row>, side: usize, units: UnitSystem) -> Vec<Vec<String>> {
    let mut found: Vec<Row> = Vec::new();
    for row in rows {
        match found.iter_mut().find(|other| other.is_twin(&row, side)) {
            Some(other) => {
                if let (Some(name), Some(more)) = (other.cells.first_mut(), row.cells.first()) {
                    name.push_str(", ");
                    name.push_str(more);
                }
                if let Some(cell) = other.cells.get_mut(side) {
                    "both".clone_into(cell);
                }
                if let (Some((column, a)), Some((_, b))) = (other.cut, row.cut)
                    && let Some(cell) = other.cells.get_mut(column)
                {
                    *cell = units.format_length_up(a.max(b));
                }
            }
            None => found.push(row),
        }
    }
    found.into_iter().map(|row| row.cells).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn twins_across_the_boat_are_one_row() {
        let row = |cells: [&str; 3]| cells.map(str::to_owned).to_vec();
        let length = |meters: f64| UnitSystem::Metric.format_length(meters);
        let rows: Vec<Row> = [
            ("V1", "port", 1.2194),
            ("V2", "starboard", 1.2196),
            ("V3", "port", 2.74),
            ("V4", "starboard", 2.77),
            ("V5", "center", 2.74),
            ("V6", "starboard", 1.2194),
        ]
        .into_iter()
        .map(|(name, side, at)| Row {
            cells: row([name, side, &length(at)]),
            at: vec![at],
            cut: Some((2, at)),
        })
        .collect();
        let found = paired(rows, 1, UnitSystem::Metric);
        let names: Vec<&str> = found.iter().map(|row| row[0].as_str()).collect();
        assert_eq!(names, ["V1, V2", "V3", "V4", "V5", "V6"]);
        assert_eq!(found[0][1], "both");
        // They read otherwise in millimeters; the longer is cut.
        assert_eq!(found[0][2], "1.220 m");
        assert_eq!(found[1][1], "port");
        let joined = offsets(
            vec![row(["V1", "2'11\"", "both"]), row(["V2", "0\"", "center"])],
            1,
        );
        assert_eq!(joined, [["V1", "2'11\" both"], ["V2", "center"]]);
    }
}
