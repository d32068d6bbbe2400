//! A plot as data: lines and words in real size, for drawing programs.

use super::Align;

/// A plot.
#[derive(Debug, Clone, PartialEq)]
pub struct Plot {
    /// What it shows.
    pub title: String,
    /// Its lines and words.
    pub marks: Vec<Mark>,
}

/// A place, m. A view that is flat lies in the plane of height zero.
pub type Spot = [f64; 3];

/// A line or a word.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Where it belongs.
    pub layer: Layer,
    /// The piece of the frame that it is in true place and size; `None` for all else.
    pub piece: Option<Piece>,
    /// What it looks like.
    pub shape: Shape,
}

/// A piece of the frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// `P1`, `R1`, `S1` ...
    pub id: String,
    /// What it takes beyond the ends that are drawn, both together, m: a strap down to its anchors.
    pub beyond: f64,
}

/// What a mark looks like.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A line through corners.
    Line {
        /// Its corners, m.
        points: Vec<Spot>,
        /// Whether it goes back to its start.
        closed: bool,
    },
    /// A level circle.
    Circle {
        /// Its middle, m.
        center: Spot,
        /// Its radius, m.
        radius: f64,
    },
    /// Words on one line.
    Words {
        /// Where their baseline starts, has its middle or ends, m.
        at: Spot,
        /// What they say.
        text: String,
        /// Height of a capital, m.
        height: f64,
        /// Which part of the baseline stands at the place.
        align: Align,
        /// Turned a quarter, reading from below.
        upright: bool,
    },
}

/// What belongs together, to be shown, hidden or sent to a cutter by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Layer {
    /// The hull.
    Hull,
    /// What stands on the boat.
    Things,
    /// The edge line.
    Edge,
    /// The perimeter band.
    Band,
    /// Support posts.
    Posts,
    /// Straps of the frame.
    Straps,
    /// Dimension lines and their numbers.
    Dimensions,
    /// Names and lengths to cut.
    Labels,
    /// Where the film is cut and trimmed.
    FilmCut,
    /// Lines on the flat film: ridge, edge, band, seams.
    FilmMarks,
    /// Pleats on the flat film.
    Pleats,
}

impl Layer {
    /// All of them.
    pub const ALL: [Layer; 11] = [
        Layer::Hull,
        Layer::Things,
        Layer::Edge,
        Layer::Band,
        Layer::Posts,
        Layer::Straps,
        Layer::Dimensions,
        Layer::Labels,
        Layer::FilmCut,
        Layer::FilmMarks,
        Layer::Pleats,
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Layer::Hull => "HULL",
            Layer::Things => "THINGS",
            Layer::Edge => "EDGE",
            Layer::Band => "BAND",
            Layer::Posts => "POSTS",
            Layer::Straps => "STRAPS",
            Layer::Dimensions => "DIMENSIONS",
            Layer::Labels => "LABELS",
            Layer::FilmCut => "FILM_CUT",
            Layer::FilmMarks => "FILM_MARKS",
            Layer::Pleats => "PLEATS",
        }
    }

    /// Width of its lines, mm of paper.
    pub fn width(self) -> f64 {
        match self {
            Layer::Posts => 0.7,
            Layer::Straps | Layer::FilmCut => 0.5,
            Layer::Hull | Layer::Edge | Layer::Band | Layer::Pleats => 0.35,
            Layer::Things | Layer::Labels | Layer::FilmMarks => 0.25,
            Layer::Dimensions => 0.18,
        }
    }

    /// Whether its lines are dashed.
    pub fn is_dashed(self) -> bool {
        matches!(self, Layer::Band | Layer::FilmMarks)
    }
}

impl Plot {
    pub(super) fn line(&mut self, layer: Layer, points: Vec<Spot>, closed: bool) {
        if points.len() > 1 {
            self.add(layer, None, Shape::Line { points, closed });
        }
    }

    pub(super) fn add(&mut self, layer: Layer, piece: Option<Piece>, shape: Shape) {
        self.marks.push(Mark {
            layer,
            piece,
            shape,
        });
    }

    pub(super) fn words(&mut self, layer: Layer, at: Spot, text: impl Into<String>, align: Align) {
        self.add(
            layer,
            None,
            Shape::Words {
                at,
                text: text.into(),
                height: LETTERS,
                align,
                upright: false,
            },
        );
    }

    /// A dimension between two places of a flat view, either level or upright: line, ticks, number over its
    /// middle.
    pub(super) fn dimension(&mut self, from: [f64; 2], to: [f64; 2], text: String) {
        let upright = from[0] == to[0];
        let (x, y) = if upright { (TICK, 0.0) } else { (0.0, TICK) };
        let flat = |[x, y]: [f64; 2]| [x, y, 0.0];
        self.line(Layer::Dimensions, vec![flat(from), flat(to)], false);
        for [at_x, at_y] in [from, to] {
            let tick = vec![[at_x - x, at_y - y, 0.0], [at_x + x, at_y + y, 0.0]];
            self.line(Layer::Dimensions, tick, false);
        }
        let middle = [0.5 * (from[0] + to[0]), 0.5 * (from[1] + to[1])];
        let at = if upright {
            [middle[0] - TICK, middle[1], 0.0]
        } else {
            [middle[0], middle[1] + TICK, 0.0]
        };
        self.add(
            Layer::Dimensions,
            None,
            Shape::Words {
                at,
                text,
                height: LETTERS,
                align: Align::Middle,
                upright,
            },
        );
    }
}

/// Height of a capital, m: readable where a whole boat fills a screen.
pub(super) const LETTERS: f64 = 0.07;

/// Half the length of a dimension's tick, m.
const TICK: f64 = 0.04;
