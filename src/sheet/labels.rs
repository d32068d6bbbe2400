//! Finds free places for labels, so that none lies on another.

use super::drawing::Place;

/// Width of a letter over the height of the words; a little wide, so that nothing touches.
const LETTER: f64 = 0.58;

/// White kept round a label, mm.
const AROUND: f64 = 0.5;

/// Width that a text takes, mm.
pub(super) fn width(text: &str, height: f64) -> f64 {
    LETTER * height * text.chars().count() as f64
}

/// A rectangle on the paper: left, top, right, bottom, mm.
pub(super) type Rectangle = [f64; 4];

/// Remembers what is taken.
#[derive(Debug, Default)]
pub(super) struct Labels {
    taken: Vec<Rectangle>,
}

impl Labels {
    /// Takes a rectangle.
    pub fn take(&mut self, rectangle: Rectangle) {
        self.taken.push(rectangle);
    }

    fn is_free(&self, [left, top, right, bottom]: Rectangle) -> bool {
        self.taken.iter().all(|[l, t, r, b]| {
            right + AROUND <= *l
                || left - AROUND >= *r
                || bottom + AROUND <= *t
                || top - AROUND >= *b
        })
    }

    /// Takes and returns the first of the places (top left corners) at which a label of a size is free;
    /// `None` where none is.
    pub fn place(
        &mut self,
        size: [f64; 2],
        places: impl IntoIterator<Item = Place>,
    ) -> Option<Place> {
        for [x, y] in places {
            let rectangle = [x, y, x + size[0], y + size[1]];
            if self.is_free(rectangle) {
                self.take(rectangle);
                return Some([x, y]);
            }
        }
        None
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
    }
}
