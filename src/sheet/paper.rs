//! Sizes of paper.

/// What pages are printed on, upright.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Paper {
    /// US letter, 8.5 x 11 in.
    #[default]
    Letter,
    /// ISO 216 A4, 210 x 297 mm.
    A4,
}

impl Paper {
    /// Width and height of an upright page, mm.
    pub fn size_mm(self) -> [f64; 2] {
        match self {
            Paper::Letter => [215.9, 279.4],
            Paper::A4 => [210.0, 297.0],
        }
    }
}
