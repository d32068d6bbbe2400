//! Pictures compared as an eye would from some way off: mean colors of blocks, by how far they are apart in a space in
//! which equal distances look equally far. Other fonts, other drivers and their smoothing pass; a film, a label or a
//! color that is missing does not.
//!
//! Colors go from sRGB to linear light (IEC 61966-2-1), are averaged there, and go over CIE XYZ (D65) to L*a*b*;
//! distances are CIE 1976 color differences (CIE 15:2004 for both, from memory).

/// Side of a block, pixels.
const BLOCK: usize = 12;

/// A block that is farther off than this looks different at a glance; about 2.3 can just be told side by side.
const GLANCE: f64 = 5.0;

/// Bounds of what counts as the same picture: mean difference of all blocks, and the part of them that looks different
/// at a glance. A label takes 10 blocks or more of the 1000 of a kept picture.
const MEAN: f64 = 1.0;
/// See [`MEAN`].
const PART: f64 = 0.006;
/// See [`MEAN`]; no block may be farther off: ink for paper.
const GREATEST: f64 = 20.0;

/// A picture: rows of pixels.
pub struct Picture {
    pub width: usize,
    pub pixels: Vec<[u8; 3]>,
}

/// How far two pictures are apart.
#[derive(Debug, Clone, Copy)]
pub struct Apart {
    /// Mean difference of blocks.
    pub mean: f64,
    /// Greatest difference of a block.
    pub greatest: f64,
    /// Part of the blocks that looks different at a glance.
    pub part: f64,
}

impl Apart {
    /// Whether they pass for the same.
    pub fn same(self) -> bool {
        self.mean <= MEAN && self.part <= PART && self.greatest <= GREATEST
    }
}

/// Linear light of a part of a color in sRGB.
fn linear(part: u8) -> f64 {
    let part = f64::from(part) / 255.0;
    if part <= 0.04045 {
        part / 12.92
    } else {
        ((part + 0.055) / 1.055).powf(2.4)
    }
}

/// L*, a*, b* of linear light.
fn lab([r, g, b]: [f64; 3]) -> [f64; 3] {
    let xyz = [
        0.412_456_4 * r + 0.357_576_1 * g + 0.180_437_5 * b,
        0.212_672_9 * r + 0.715_152_2 * g + 0.072_175 * b,
        0.019_333_9 * r + 0.119_192 * g + 0.950_304_1 * b,
    ];
    let white = [0.950_47, 1.0, 1.088_83];
    let bend = |t: f64| {
        if t > (6.0f64 / 29.0).powi(3) {
            t.cbrt()
        } else {
            t / (3.0 * (6.0f64 / 29.0).powi(2)) + 4.0 / 29.0
        }
    };
    let [x, y, z] = [0, 1, 2].map(|k| bend(xyz[k] / white[k]));
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

impl Picture {
    /// Mean colors of its blocks, row by row; what is left over at the right and below is left out.
    fn blocks(&self) -> Vec<[f64; 3]> {
        let height = self.pixels.len() / self.width;
        let mut means = Vec::new();
        for top in (0..height / BLOCK).map(|k| k * BLOCK) {
            for left in (0..self.width / BLOCK).map(|k| k * BLOCK) {
                let mut sum = [0.0; 3];
                for y in top..top + BLOCK {
                    for x in left..left + BLOCK {
                        let pixel = self.pixels[y * self.width + x];
                        for k in 0..3 {
                            sum[k] += linear(pixel[k]);
                        }
                    }
                }
                means.push(lab(sum.map(|part| part / (BLOCK * BLOCK) as f64)));
            }
        }
        means
    }

    /// How far another picture of the same size is from it.
    pub fn apart(&self, other: &Picture) -> Apart {
        assert_eq!(
            (self.width, self.pixels.len()),
            (other.width, other.pixels.len())
        );
        let differences: Vec<f64> = self
            .blocks()
            .iter()
            .zip(other.blocks())
            .map(|(a, b)| (0..3).map(|k| (a[k] - b[k]).powi(2)).sum::<f64>().sqrt())
            .collect();
        let count = differences.len() as f64;
        Apart {
            mean: differences.iter().sum::<f64>() / count,
            greatest: differences.iter().copied().fold(0.0, f64::max),
            part: differences.iter().filter(|d| **d > GLANCE).count() as f64 / count,
        }
    }

    /// As another machine might draw it: half a pixel aside, and a little brighter.
    pub fn as_elsewhere(&self) -> Picture {
        let pixels = self
            .pixels
            .iter()
            .enumerate()
            .map(|(at, pixel)| {
                let next = if (at + 1) % self.width == 0 {
                    at
                } else {
                    at + 1
                };
                [0, 1, 2].map(|k| {
                    let mean = (u16::from(pixel[k]) + u16::from(self.pixels[next][k])) / 2 + 2;
                    mean.min(255) as u8
                })
            })
            .collect();
        Picture {
            width: self.width,
            pixels,
        }
    }
}

/// Colors whose L*a*b* are published: white, black, and the primaries of sRGB under D65 (from memory, two figures).
pub fn check_colors() {
    for (color, wanted) in [
        ([255, 255, 255], [100.0, 0.0, 0.0]),
        ([0, 0, 0], [0.0, 0.0, 0.0]),
        ([255, 0, 0], [53.24, 80.09, 67.20]),
        ([0, 255, 0], [87.73, -86.18, 83.18]),
        ([0, 0, 255], [32.30, 79.19, -107.86]),
    ] {
        let found = lab(color.map(linear));
        for k in 0..3 {
            assert!((found[k] - wanted[k]).abs() < 0.05, "{color:?}: {found:?}");
        }
    }
}
