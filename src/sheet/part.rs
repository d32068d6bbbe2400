//! Parts of a page: drawn for themselves first, measured, then moved to where they go.

use super::drawing::{Align, Drawing, Item, Pen, Place};
use super::labels::Rectangle;
use super::text_width;

/// How far letters reach over and under their baseline, in heights.
const OVER: f64 = 0.76;
const UNDER: f64 = 0.22;

/// Length of the strokes at the ends of a dimension, mm.
const STROKE: f64 = 1.2;

/// Room between a level dimension and its number, mm.
const OVER_LINE: f64 = 0.8;

/// The room that an item takes, mm; `None` where it has no points.
pub(super) fn bounds_of(item: &Item) -> Option<Rectangle> {
    let around = |points: &mut dyn Iterator<Item = &Place>, by: f64| {
        points.fold(None, |found: Option<Rectangle>, [x, y]| {
            let own = [x - by, y - by, x + by, y + by];
            Some(found.map_or(own, |found| joined(found, own)))
        })
    };
    match item {
        Item::Area { loops, .. } => around(&mut loops.iter().flatten(), 0.0),
        Item::Line { points, pen, .. } => around(&mut points.iter(), 0.5 * pen.width),
        Item::Disc {
            center,
            radius,
            pen,
            ..
        } => around(&mut [center].into_iter(), radius + 0.5 * pen.width),
        Item::Text {
            at: [x, y],
            text,
            height,
            align,
            bold,
            upright,
        } => {
            let wide = text_width(text, *height, *bold);
            let from = match align {
                Align::Start => 0.0,
                Align::Middle => -0.5 * wide,
                Align::End => -wide,
            };
            Some(if *upright {
                [
                    x - OVER * height,
                    y - from - wide,
                    x + UNDER * height,
                    y - from,
                ]
            } else {
                [
                    x + from,
                    y - OVER * height,
                    x + from + wide,
                    y + UNDER * height,
                ]
            })
        }
    }
}

/// The least rectangle round two.
pub(super) fn joined(a: Rectangle, b: Rectangle) -> Rectangle {
    [
        a[0].min(b[0]),
        a[1].min(b[1]),
        a[2].max(b[2]),
        a[3].max(b[3]),
    ]
}

fn moved(item: Item, by: Place) -> Item {
    let shift = |[x, y]: Place| [x + by[0], y + by[1]];
    let all = |points: Vec<Place>| points.into_iter().map(shift).collect();
    match item {
        Item::Area { loops, fill } => Item::Area {
            loops: loops.into_iter().map(all).collect(),
            fill,
        },
        Item::Line {
            points,
            closed,
            pen,
        } => Item::Line {
            points: all(points),
            closed,
            pen,
        },
        Item::Disc {
            center,
            radius,
            fill,
            pen,
        } => Item::Disc {
            center: shift(center),
            radius,
            fill,
            pen,
        },
        Item::Text {
            at,
            text,
            height,
            align,
            bold,
            upright,
        } => Item::Text {
            at: shift(at),
            text,
            height,
            align,
            bold,
            upright,
        },
    }
}

impl Drawing {
    /// A part that is drawn for itself: no size, no title.
    pub(super) fn part() -> Drawing {
        Drawing {
            title: String::new(),
            size: [0.0; 2],
            items: Vec::new(),
        }
    }

    /// The room that all of its items take, mm.
    pub(super) fn bounds(&self) -> Rectangle {
        let found = self.items.iter().filter_map(bounds_of).reduce(joined);
        found.unwrap_or_default()
    }

    /// Takes over the items of a part, moved.
    pub(super) fn put(&mut self, part: Drawing, by: Place) {
        self.items
            .extend(part.items.into_iter().map(|item| moved(item, by)));
    }

    /// A dimension along a level line: line, ends, number over it.
    pub(super) fn level_dimension(
        &mut self,
        y: f64,
        [from, to]: [f64; 2],
        text: String,
        height: f64,
    ) {
        self.line(vec![[from, y], [to, y]], Pen::DIMENSION);
        for x in [from, to] {
            self.line(vec![[x, y - STROKE], [x, y + STROKE]], Pen::DIMENSION);
        }
        let middle = [0.5 * (from + to), y - OVER_LINE - UNDER * height];
        self.words(middle, text, height, Align::Middle, false);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn word(align: Align, upright: bool) -> Item {
        Item::Text {
            at: [10.0, 20.0],
            text: "0000".to_owned(),
            height: 10.0,
            align,
            bold: false,
            upright,
        }
    }

    #[test]
    fn words_take_room_where_they_are_read() {
        // Four noughts of 0.636 heights, by the typeface's table to three places.
        for (align, upright, wanted) in [
            (Align::Start, false, [10.0, 12.4, 35.44, 22.2]),
            (Align::Middle, false, [-2.72, 12.4, 22.72, 22.2]),
            (Align::End, false, [-15.44, 12.4, 10.0, 22.2]),
            // Turned, they read from below: the start is at the bottom.
            (Align::Start, true, [2.4, -5.44, 12.2, 20.0]),
            (Align::End, true, [2.4, 20.0, 12.2, 45.44]),
        ] {
            let found = bounds_of(&word(align, upright)).unwrap();
            let near = found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 0.02);
            assert!(near, "{align:?} {upright}: {found:?}");
        }
    }

    #[test]
    fn a_part_is_moved_as_it_is() {
        let mut part = Drawing::part();
        part.items.push(word(Align::Middle, true));
        part.level_dimension(3.0, [1.0, 9.0], "8".to_owned(), 2.0);
        part.items.push(Item::Disc {
            center: [4.0, 4.0],
            radius: 1.0,
            fill: super::super::Fill::Paper,
            pen: Pen::OUTLINE,
        });
        let before = part.bounds();
        let mut page = Drawing::part();
        page.put(part, [5.0, -2.0]);
        let after = page.bounds();
        for (k, by) in [5.0, -2.0, 5.0, -2.0].into_iter().enumerate() {
            assert!((after[k] - before[k] - by).abs() < 1e-9);
        }
    }
}
