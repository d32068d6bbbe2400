//! What lies under the words of a drawing: where nothing does, they need no white rim.

use crate::sheet::{Align, Fill, Item, text_width};

/// How far letters reach over their baseline and under it, in heights of the words: DejaVu Sans has its ascenders
/// at 0.76 and its descenders at 0.24. A line that only passes by needs no rim.
const REACH: [f64; 2] = [0.76, 0.24];

/// Left, top, right, bottom, mm.
type Rectangle = [f64; 4];

/// Rectangles round all that was drawn so far.
#[derive(Debug, Default)]
pub(super) struct Ground {
    taken: Vec<Rectangle>,
}

impl Ground {
    /// Notes what was drawn.
    pub fn note(&mut self, item: &Item) {
        match item {
            Item::Area { loops, fill } => {
                if !matches!(fill, Fill::Paper) {
                    self.taken
                        .extend(loops.iter().filter_map(|l| around(l, 0.0)));
                }
            }
            Item::Line {
                points,
                closed,
                pen,
            } => {
                let rim = 0.5 * pen.width;
                let back = points.last().zip(points.first()).filter(|_| *closed);
                let back = back.map(|(a, b)| [*a, *b]);
                let pieces = points.windows(2).map(|pair| around(pair, rim));
                self.taken
                    .extend(pieces.chain(back.map(|pair| around(&pair, rim))).flatten());
            }
            Item::Disc {
                center,
                radius,
                pen,
                ..
            } => self
                .taken
                .extend(around(&[*center], radius + 0.5 * pen.width)),
            // Words keep off each other by themselves.
            Item::Text { .. } => {}
        }
    }

    /// Whether anything noted reaches under some words.
    pub fn is_under(&self, words: &Item) -> bool {
        let Some([left, top, right, bottom]) = extent(words) else {
            return false;
        };
        self.taken
            .iter()
            .any(|[l, t, r, b]| *l < right && *r > left && *t < bottom && *b > top)
    }
}

fn around(points: &[[f64; 2]], rim: f64) -> Option<Rectangle> {
    points
        .iter()
        .map(|[x, y]| [x - rim, y - rim, x + rim, y + rim])
        .reduce(|a, b| {
            [
                a[0].min(b[0]),
                a[1].min(b[1]),
                a[2].max(b[2]),
                a[3].max(b[3]),
            ]
        })
}

/// The rectangle that some words take.
fn extent(item: &Item) -> Option<Rectangle> {
    let Item::Text {
        at: [x, y],
        text,
        height,
        align,
        bold,
        upright,
    } = item
    else {
        return None;
    };
    let wide = text_width(text, *height, *bold);
    let start = match align {
        Align::Start => 0.0,
        Align::Middle => -0.5 * wide,
        Align::End => -wide,
    };
    let [over, under] = REACH.map(|part| part * height);
    Some(if *upright {
        [x - over, y - start - wide, x + under, y - start]
    } else {
        [x + start, y - over, x + start + wide, y + under]
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::Pen;

    fn words(at: [f64; 2], align: Align, upright: bool) -> Item {
        Item::Text {
            at,
            text: "HHHHHHHHHH".to_owned(), // 7.5 heights wide
            height: 4.0,
            align,
            bold: false,
            upright,
        }
    }

    #[test]
    fn words_know_what_is_under_them() {
        let line = |from, to| Item::Line {
            points: vec![from, to],
            closed: false,
            pen: Pen::DIMENSION,
        };
        let check = |ground: &Item, words: &Item, wanted: bool| {
            let mut under = Ground::default();
            under.note(ground);
            assert_eq!(under.is_under(words), wanted, "{ground:?} {words:?}");
        };
        let upright_line = line([20.0, 0.0], [20.0, 50.0]);
        check(
            &upright_line,
            &words([10.0, 10.0], Align::Start, false),
            true,
        );
        check(
            &upright_line,
            &words([22.0, 10.0], Align::Start, false),
            false,
        );
        check(&upright_line, &words([22.0, 10.0], Align::End, false), true);
        check(
            &upright_line,
            &words([30.0, 10.0], Align::Middle, false),
            true,
        );
        check(
            &upright_line,
            &words([36.5, 10.0], Align::Middle, false),
            false,
        );
        // Turned, the words go up from their place and stand left of it.
        let level_line = line([0.0, 20.0], [50.0, 20.0]);
        check(&level_line, &words([10.0, 49.0], Align::Start, true), true);
        check(&level_line, &words([10.0, 52.0], Align::Start, true), false);
        check(
            &upright_line,
            &words([18.0, 40.0], Align::Start, true),
            false,
        );
        check(
            &upright_line,
            &words([23.0, 40.0], Align::Start, true),
            true,
        );
        let corners = vec![[0.0, 0.0], [30.0, 0.0], [30.0, 30.0], [0.0, 30.0]];
        for (fill, wanted) in [(Fill::Gray(0.5), true), (Fill::Paper, false)] {
            let area = Item::Area {
                loops: vec![corners.clone()],
                fill,
            };
            check(&area, &words([10.0, 10.0], Align::Start, false), wanted);
        }
        let closing = Item::Line {
            points: vec![[20.0, 0.0], [90.0, 0.0], [90.0, 50.0], [20.0, 50.0]],
            closed: true,
            pen: Pen::OUTLINE,
        };
        check(&closing, &words([10.0, 20.0], Align::Start, false), true);
        let first = words([10.0, 10.0], Align::Start, false);
        check(&first, &words([35.0, 11.0], Align::Start, false), false);
    }
}
