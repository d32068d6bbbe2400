//! A drawing as data: shapes and words in millimeters of paper, x to the right, y down.

/// A drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// What it shows.
    pub title: String,
    /// Width and height of the paper, mm.
    pub size: [f64; 2],
    /// Its shapes, those behind first.
    pub items: Vec<Item>,
}

/// A place on the paper, mm.
pub type Place = [f64; 2];

/// A shape or a word.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A filled area; a place is inside where an odd number of loops go round it.
    Area {
        /// Its outlines, closed.
        loops: Vec<Vec<Place>>,
        /// Its filling.
        fill: Fill,
    },
    /// A line.
    Line {
        /// Its corners.
        points: Vec<Place>,
        /// Whether it goes back to its start.
        closed: bool,
        /// How it is drawn.
        pen: Pen,
    },
    /// A filled disc with an outline.
    Disc {
        /// Its middle.
        center: Place,
        /// Its radius, mm.
        radius: f64,
        /// Its filling.
        fill: Fill,
        /// Its outline.
        pen: Pen,
    },
    /// A word or a few on one line.
    Text {
        /// Where its baseline starts, has its middle or ends.
        at: Place,
        /// What it says.
        text: String,
        /// Height of its letters with their descent, mm.
        height: f64,
        /// Which part of the baseline stands at the place.
        align: Align,
        /// Bold.
        bold: bool,
        /// Turned a quarter, reading from below.
        upright: bool,
    },
}

/// A filling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fill {
    /// The color of a slope against the least slope, both rad.
    Slope {
        /// The slope.
        slope: f64,
        /// The least slope wanted.
        least: f64,
    },
    /// Hatched: a holding patch.
    Hatch,
    /// Crossed: a pond.
    Cross,
    /// Paper.
    Paper,
    /// Gray from 0 (black) to 1 (white).
    Gray(f64),
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    /// Width, mm.
    pub width: f64,
    /// Gray from 0 (black) to 1 (white).
    pub gray: f64,
    /// Lengths of a dash and of its gap, mm; `None` for an unbroken line.
    pub dash: Option<[f64; 2]>,
    /// Whether it has a white rim, so that it stands out from any ground.
    pub rim: bool,
}

/// Which part of a word's baseline stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Its left end.
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

impl Pen {
    const fn plain(width: f64) -> Pen {
        Pen {
            width,
            gray: 0.0,
            dash: None,
            rim: false,
        }
    }

    /// Outline of the boat.
    pub const OUTLINE: Pen = Pen::plain(0.4);
    /// What stands on the boat.
    pub const THING: Pen = Pen {
        gray: 0.25,
        ..Pen::plain(0.25)
    };
    /// Edges of the film.
    pub const FILM: Pen = Pen::plain(0.5);
    /// The ridge strap.
    pub const RIDGE: Pen = Pen {
        rim: true,
        ..Pen::plain(0.9)
    };
    /// Side and hip straps.
    pub const STRAP: Pen = Pen {
        rim: true,
        ..Pen::plain(0.55)
    };
    /// The perimeter band.
    pub const BAND: Pen = Pen {
        dash: Some([3.0, 1.4]),
        ..Pen::plain(0.5)
    };
    /// A support post.
    pub const POST: Pen = Pen::plain(1.3);
    /// Dimension lines, leaders, ticks.
    pub const DIMENSION: Pen = Pen {
        gray: 0.35,
        ..Pen::plain(0.18)
    };
    /// A level, the centerline.
    pub const LEVEL: Pen = Pen {
        gray: 0.45,
        dash: Some([4.0, 1.0]),
        ..Pen::plain(0.18)
    };
}

/// Height of ordinary words, mm.
pub(super) const SMALL: f64 = 3.1;

impl Drawing {
    pub(super) fn line(&mut self, points: Vec<Place>, pen: Pen) {
        self.items.push(Item::Line {
            points,
            closed: false,
            pen,
        });
    }

    pub(super) fn outline(&mut self, points: Vec<Place>, fill: Option<Fill>, pen: Pen) {
        if let Some(fill) = fill {
            self.items.push(Item::Area {
                loops: vec![points.clone()],
                fill,
            });
        }
        self.items.push(Item::Line {
            points,
            closed: true,
            pen,
        });
    }

    pub(super) fn text(&mut self, at: Place, text: impl Into<String>, align: Align) {
        self.words(at, text, SMALL, align, false);
    }

    pub(super) fn words(
        &mut self,
        at: Place,
        text: impl Into<String>,
        height: f64,
        align: Align,
        bold: bool,
    ) {
        self.items.push(Item::Text {
            at,
            text: text.into(),
            height,
            align,
            bold,
            upright: false,
        });
    }

    /// A dimension upright along a view: line, ends, number beside it reading from below.
    pub(super) fn upright_dimension(
        &mut self,
        x: f64,
        from: f64,
        to: f64,
        text: String,
        height: f64,
    ) {
        self.line(vec![[x, from], [x, to]], Pen::DIMENSION);
        for y in [from, to] {
            self.line(vec![[x - 1.2, y], [x + 1.2, y]], Pen::DIMENSION);
        }
        self.items.push(Item::Text {
            at: [x - 1.2, 0.5 * (from + to)],
            text,
            height,
            align: Align::Middle,
            bold: false,
            upright: true,
        });
    }
}
