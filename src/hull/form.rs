//! What every hull form can be asked, whatever it was made from.

use nalgebra::Point3;

/// Points of a half section when a length along it is measured: its chords then fall short of a
/// round bilge by a few parts in ten thousand.
const FINE_GIRTH: usize = 49;

/// One thing that makes a shape impossible.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{field}: {message}")]
pub struct ShapeFault {
    /// The field to mend, as a path such as `section.entry_deadrise`.
    pub field: &'static str,
    /// What is impossible about it, and what would do.
    pub message: String,
}

impl ShapeFault {
    pub(crate) fn new(field: &'static str, message: impl Into<String>) -> Self {
        Self {
            field,
            message: message.into(),
        }
    }
}

/// Collects a fault for each field that is not inside its range; not-a-number never is.
pub(crate) fn check_ranges(
    faults: &mut Vec<ShapeFault>,
    rows: &[(&'static str, f64, std::ops::RangeInclusive<f64>, &str)],
) {
    for (field, value, range, message) in rows {
        if !range.contains(value) {
            faults.push(ShapeFault::new(field, *message));
        }
    }
}

/// A hull form: half sections from the keel to the rub rail at any station.
pub trait Form {
    /// Distance from the transom to the foremost point of the rub rail.
    ///
    /// # Units
    /// Meters.
    fn length(&self) -> f64;

    /// The port half section at a station, from the keel up to the rub rail, `girth` points
    /// or a few more or less as the form needs. Stations outside the hull are moved to its ends.
    ///
    /// # Units
    /// Meters.
    fn section(&self, station: f64, girth: usize) -> Vec<Point3<f64>>;

    /// The point on the port side a distance along the section below the rub rail, going on
    /// under the hull where the side is shorter; none where even the keel is nearer.
    ///
    /// # Units
    /// Meters.
    fn girth_point(&self, station: f64, below_rub_rail: f64) -> Option<Point3<f64>> {
        point_below(&self.section(station, FINE_GIRTH), below_rub_rail)
    }

    /// Length of the half section from the keel to the rub rail.
    ///
    /// # Units
    /// Meters.
    fn half_girth(&self, station: f64) -> f64 {
        length_of(&self.section(station, FINE_GIRTH))
    }
}

/// Length of a polyline.
pub(crate) fn length_of(line: &[Point3<f64>]) -> f64 {
    line.iter()
        .zip(line.iter().skip(1))
        .map(|(p, q)| (q - p).norm())
        .sum()
}

/// The point a distance back from the end of a section that runs from keel to rub rail; none
/// when the section is shorter or the distance is negative.
///
/// # Units
/// Meters.
pub fn point_below(section: &[Point3<f64>], distance: f64) -> Option<Point3<f64>> {
    if distance.is_nan() || distance < 0.0 {
        return None;
    }
    let mut left = distance;
    for (high, low) in section.iter().rev().zip(section.iter().rev().skip(1)) {
        let long = (low - high).norm();
        if left <= long {
            let share = if long > 0.0 { left / long } else { 0.0 };
            return Some(high + (low - high) * share);
        }
        left -= long;
    }
    None
}

/// `count` points at even distances along a polyline, both ends kept.
pub(crate) fn resampled(line: &[Point3<f64>], count: usize) -> Vec<Point3<f64>> {
    let steps = count.saturating_sub(1).max(1);
    let shares: Vec<f64> = (0..=steps).map(|k| k as f64 / steps as f64).collect();
    at_shares(line, &shares)
}

/// For each point of a polyline the share of the whole length that lies before it.
pub(crate) fn shares_of(line: &[Point3<f64>]) -> Vec<f64> {
    let whole = length_of(line);
    let share = |k: usize| {
        if whole > 0.0 {
            length_of(line.get(..=k).unwrap_or(line)) / whole
        } else {
            0.0
        }
    };
    (0..line.len()).map(share).collect()
}

/// Points of a polyline at rising shares of its length, the last one its own last point.
pub(crate) fn at_shares(line: &[Point3<f64>], shares: &[f64]) -> Vec<Point3<f64>> {
    let whole = length_of(line);
    let mut out = Vec::with_capacity(shares.len());
    let mut pieces = line.iter().zip(line.iter().skip(1)).peekable();
    let mut passed = 0.0;
    for share in shares.iter().take(shares.len().saturating_sub(1)) {
        let wanted = whole * share;
        let mut at = line.last().copied();
        while let Some((p, q)) = pieces.peek() {
            let long = (*q - *p).norm();
            if passed + long >= wanted {
                let part = if long > 0.0 {
                    (wanted - passed) / long
                } else {
                    0.0
                };
                at = Some(*p + (*q - *p) * part);
                break;
            }
            passed += long;
            pieces.next();
        }
        out.extend(at);
    }
    out.extend(line.last());
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn along_a_line() {
        // By hand: two legs of 3 and 4.
        let line = [[0., 0., 0.], [0., 3., 0.], [0., 3., 4.]].map(Point3::from);
        let cases = [
            (0.0, Some([0., 3., 4.])),
            (1.0, Some([0., 3., 3.])),
            (4.0, Some([0., 3., 0.])),
            (6.0, Some([0., 1., 0.])),
            (7.0, Some([0., 0., 0.])),
            (7.1, None),
            (-0.1, None),
            (f64::NAN, None),
        ];
        for (below, wanted) in cases {
            assert_eq!(
                point_below(&line, below),
                wanted.map(Point3::from),
                "{below}"
            );
        }
        assert_eq!(point_below(&[], 0.0), None);
        let even = resampled(&line, 8);
        assert_eq!(even.len(), 8);
        for (k, p) in even.iter().enumerate() {
            let at = k as f64;
            let wanted = Point3::new(0.0, at.min(3.0), (at - 3.0).max(0.0));
            assert!((p - wanted).norm() < 1e-12, "{k}: {p}");
        }
        let point = [Point3::new(1.0, 0.0, 2.0); 2];
        assert_eq!(resampled(&point, 3), vec![point[0]; 3]);
    }
}
