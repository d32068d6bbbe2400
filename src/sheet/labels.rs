//! Finds free places for labels, so that none lies on another.

use super::drawing::Place;
use super::text_width::text_width;

/// White kept round a label, mm.
const AROUND: f64 = 0.5;

/// Width that a text takes, mm.
pub(super) fn width(text: &str, height: f64) -> f64 {
    text_width(text, height, false)
}

/// Width that some lines take of which the first is bold, mm.
pub(super) fn width_of_lines(lines: &[String], height: f64) -> f64 {
    let widths = lines
        .iter()
        .enumerate()
        .map(|(row, line)| text_width(line, height, row == 0));
    widths.fold(0.0, f64::max)
}

/// A rectangle on the paper: left, top, right, bottom, mm.
pub(super) type Rectangle = [f64; 4];

/// Step at which a line is looked at, mm.
const STEP: f64 = 1.0;

/// Remembers what is taken.
#[derive(Debug, Default)]
pub(super) struct Labels {
    taken: Vec<Rectangle>,
    lines: Vec<Place>,
}

impl Labels {
    /// Takes a rectangle: no label will lie on it.
    pub fn take(&mut self, rectangle: Rectangle) {
        self.taken.push(rectangle);
    }

    /// Notes a line: labels keep off it where they can.
    pub fn keep_off(&mut self, line: &[Place]) {
        for pair in line.windows(2) {
            let &[[ax, ay], [bx, by]] = pair else {
                continue;
            };
            let steps = ((bx - ax).hypot(by - ay) / STEP).ceil().max(1.0);
            let count = steps as usize;
            self.lines.extend((0..=count).map(|k| {
                let part = k as f64 / steps;
                [ax + part * (bx - ax), ay + part * (by - ay)]
            }));
        }
    }

    fn is_free(&self, [left, top, right, bottom]: Rectangle) -> bool {
        self.taken.iter().all(|[l, t, r, b]| {
            right + AROUND <= *l
                || left - AROUND >= *r
                || bottom + AROUND <= *t
                || top - AROUND >= *b
        })
    }

    fn is_off_lines(&self, [left, top, right, bottom]: Rectangle) -> bool {
        self.lines
            .iter()
            .all(|[x, y]| *x <= left || *x >= right || *y <= top || *y >= bottom)
    }

    /// The same for labels with a leader, whose place and leader come together: the first of them whose label is
    /// off all lines and whose leader runs over no label, else the first whose leader does so, else the first
    /// that is free. Keeps other labels off the leader.
    pub fn place_led(
        &mut self,
        size: [f64; 2],
        places: impl IntoIterator<Item = (Place, [Place; 2])>,
    ) -> Option<(Place, [Place; 2])> {
        let around = |[x, y]: Place| [x, y, x + size[0], y + size[1]];
        let free: Vec<(Place, [Place; 2])> = places
            .into_iter()
            .filter(|(place, _)| self.is_free(around(*place)))
            .collect();
        let clear = |(_, leader): &&(Place, [Place; 2])| self.is_clear(leader);
        let chosen = *free
            .iter()
            .find(|led| clear(led) && self.is_off_lines(around(led.0)))
            .or_else(|| free.iter().find(clear))
            .or(free.first())?;
        self.take(around(chosen.0));
        self.keep_off(&chosen.1);
        Some(chosen)
    }

    /// Whether a line runs over nothing that is taken.
    fn is_clear(&self, [[ax, ay], [bx, by]]: &[Place; 2]) -> bool {
        let steps = ((bx - ax).hypot(by - ay) / STEP).ceil().max(1.0);
        (0..=steps as usize).all(|k| {
            let part = k as f64 / steps;
            let [x, y] = [ax + part * (bx - ax), ay + part * (by - ay)];
            let over = |[l, t, r, b]: &Rectangle| x > *l && x < *r && y > *t && y < *b;
            !self.taken.iter().any(over)
        })
    }

    /// Takes and returns a place (top left corner) if a label of a size is free and off all lines there.
    pub fn place_off_lines(&mut self, size: [f64; 2], [x, y]: Place) -> Option<Place> {
        let rectangle = [x, y, x + size[0], y + size[1]];
        (self.is_free(rectangle) && self.is_off_lines(rectangle)).then(|| {
            self.take(rectangle);
            [x, y]
        })
    }

    /// Takes and returns the first of the places (top left corners) at which a label of a size is free and
    /// off all lines, else the first at which it is free; `None` where none is.
    pub fn place(
        &mut self,
        size: [f64; 2],
        places: impl IntoIterator<Item = Place>,
    ) -> Option<Place> {
        let free: Vec<Rectangle> = places
            .into_iter()
            .map(|[x, y]| [x, y, x + size[0], y + size[1]])
            .filter(|rectangle| self.is_free(*rectangle))
            .collect();
        let chosen = free
            .iter()
            .find(|rectangle| self.is_off_lines(**rectangle))
            .or(free.first())?;
        self.take(*chosen);
        Some([chosen[0], chosen[1]])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_labels_share_a_place() {
        let mut labels = Labels::default();
        let candidates = || (0..4).map(|row| [0.0, 4.0 * f64::from(row)]);
        for wanted in [Some(0.0), Some(4.0), Some(8.0), Some(12.0), None] {
            let found = labels.place([10.0, 3.0], candidates());
            assert_eq!(found.map(|[_, y]| y), wanted);
        }
        assert!(labels.place([3.0, 3.0], [[11.0, 0.0]]).is_some());
        // Off a line where there is another place, on it where there is none.
        labels.keep_off(&[[20.0, 0.0], [20.0, 9.0]]);
        let places = [[18.0, 1.0], [22.0, 1.0]];
        assert_eq!(labels.place([3.0, 3.0], places), Some([22.0, 1.0]));
        assert_eq!(labels.place([3.0, 3.0], places), Some([18.0, 1.0]));
    }

    #[test]
    fn leaders_run_over_no_label() {
        let mut labels = Labels::default();
        labels.take([0.0, 10.0, 10.0, 14.0]);
        // Straight up is behind what is taken, aside is not.
        let foot = [5.0, 20.0];
        let led = |place: Place| (place, [foot, [place[0] + 2.0, place[1] + 3.0]]);
        let places = [[3.0, 5.0], [18.0, 5.0]].map(led);
        let found = labels.place_led([4.0, 3.0], places);
        assert_eq!(found.map(|(place, _)| place), Some([18.0, 5.0]));
        // Where there is no other way, it runs over it.
        let found = labels.place_led([4.0, 3.0], [led([3.0, 5.0])]);
        assert_eq!(found.map(|(place, _)| place), Some([3.0, 5.0]));
        assert!(labels.place_led([4.0, 3.0], [led([3.0, 5.0])]).is_none());
    }
}
