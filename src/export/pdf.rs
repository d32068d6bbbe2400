//! Drawings as the pages of one PDF: lines and words only, the typeface embedded.

use super::ExportError;
use super::ground::Ground;
use super::paint::{Lines, Paint, RIM, SEAM, gray, millimeters, paint, printable};
use super::typeface::Typefaces;
use crate::sheet::{Align, Drawing, Fill, Item, Pen, set_words};
use krilla::color::{luma, rgb};
use krilla::destination::XyzDestination;
use krilla::geom::{Path, PathBuilder, Point, Transform};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{FillRule, LineCap, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::{Document, SerializeSettings};

/// Points in a millimeter: 72 in an inch.
const POINTS: f32 = 72.0 / 25.4;

/// Handle of a cubic curve that makes a quarter of a circle of radius one, 4 (sqrt 2 - 1) / 3.
const QUARTER: f64 = 0.552_284_749_830_793_6;

/// The drawings as pages of their own sizes, with a table of contents where there is more than one.
/// The same drawings give the same bytes: no date stands in the file, its id is drawn from its contents.
///
/// # Errors
/// Where a page has no size, or the writer refuses, which it does for no drawing of a plan.
pub fn pdf(pages: &[Drawing], title: &str) -> Result<Vec<u8>, ExportError> {
    let faces = Typefaces::read()?;
    let mut document = Document::new_with(SerializeSettings {
        enable_tagging: false,
        ..SerializeSettings::default()
    });
    let mut contents = Outline::new();
    for (index, drawing) in pages.iter().enumerate() {
        let [width, height] = drawing.size.map(|size| number(size) * POINTS);
        let settings = PageSettings::from_wh(width, height).ok_or_else(|| {
            ExportError::new("PDF", format!("page '{}' has no size", drawing.title))
        })?;
        let mut page = document.start_page_with(settings);
        let mut surface = page.surface();
        surface.push_transform(&Transform::from_scale(POINTS, POINTS));
        draw(&mut surface, drawing, &faces);
        surface.pop();
        surface.finish();
        page.finish();
        let top = XyzDestination::new(index, Point::from_xy(0.0, 0.0));
        contents.push_child(OutlineNode::new(plain(&drawing.title), top));
    }
    if pages.len() > 1 {
        document.set_outline(contents);
    }
    document.set_metadata(
        Metadata::new()
            .title(plain(title))
            .creator("hulltent".to_owned())
            .language("en".to_owned()),
    );
    document
        .finish()
        .map_err(|error| ExportError::new("PDF", format!("{error:?}")))
}

fn plain(words: &str) -> String {
    words.chars().map(printable).collect()
}

/// Paper millimeters as the file holds them, rounded so that they are short; zero for what is not finite.
fn number(value: f64) -> f32 {
    millimeters(value).parse().unwrap_or(0.0)
}

fn draw(surface: &mut Surface, drawing: &Drawing, faces: &Typefaces) {
    let mut ground = Ground::default();
    for item in &drawing.items {
        match item {
            Item::Area { loops, fill } => area(surface, loops, *fill),
            Item::Line {
                points,
                closed,
                pen,
            } => {
                if let Some(path) = path(&[points], *closed) {
                    line(surface, &path, *pen);
                }
            }
            Item::Disc {
                center,
                radius,
                fill,
                pen,
            } => {
                if let Some(path) = circle(*center, *radius) {
                    filled(surface, &path, *fill, square(*center, *radius));
                    line(surface, &path, *pen);
                }
            }
            Item::Text { .. } => words(surface, item, faces, &ground),
        }
        ground.note(item);
    }
}

/// A path through rounded corners; `None` where there is nothing to draw.
fn path(lines: &[&Vec<[f64; 2]>], closed: bool) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for points in lines {
        for (index, [x, y]) in points.iter().enumerate() {
            let (x, y) = (number(*x), number(*y));
            if index == 0 {
                builder.move_to(x, y);
            } else {
                builder.line_to(x, y);
            }
        }
        if closed && points.len() > 1 {
            builder.close();
        }
    }
    builder.finish()
}

fn circle([x, y]: [f64; 2], radius: f64) -> Option<Path> {
    let at = |dx: f64, dy: f64| (number(x + radius * dx), number(y + radius * dy));
    let mut builder = PathBuilder::new();
    let (right, middle) = at(1.0, 0.0);
    builder.move_to(right, middle);
    // From each quarter's start over its two handles to its end.
    for (cos, sin) in [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)] {
        let [a, b, c] = [
            at(cos - QUARTER * sin, sin + QUARTER * cos),
            at(QUARTER * cos - sin, QUARTER * sin + cos),
            at(-sin, cos),
        ];
        builder.cubic_to(a.0, a.1, b.0, b.1, c.0, c.1);
    }
    builder.close();
    builder.finish()
}

/// Left, top, right and bottom of a disc.
fn square([x, y]: [f64; 2], radius: f64) -> [f64; 4] {
    [x - radius, y - radius, x + radius, y + radius]
}

fn area(surface: &mut Surface, loops: &[Vec<[f64; 2]>], fill: Fill) {
    let lines: Vec<&Vec<[f64; 2]>> = loops.iter().collect();
    let Some(path) = path(&lines, true) else {
        return;
    };
    let mut reach = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
    for [x, y] in loops.iter().flatten() {
        reach = [
            reach[0].min(*x),
            reach[1].min(*y),
            reach[2].max(*x),
            reach[3].max(*y),
        ];
    }
    filled(surface, &path, fill, reach);
}

/// Fills a path; `reach` is its left, top, right and bottom.
fn filled(surface: &mut Surface, path: &Path, fill: Fill, reach: [f64; 4]) {
    let color = match paint(fill) {
        Paint::Color(color) => color,
        Paint::Lines(lines) => {
            surface.push_clip_path(path, &FillRule::EvenOdd);
            hatch(surface, lines, reach);
            surface.pop();
            return;
        }
    };
    surface.set_fill(Some(krilla::paint::Fill {
        paint: ink(color),
        opacity: NormalizedF32::ONE,
        rule: FillRule::EvenOdd,
    }));
    surface.set_stroke(match fill {
        Fill::Slope { .. } => Some(stroke(ink(color), SEAM)),
        _ => None,
    });
    surface.draw_path(path);
}

/// Lines over a rectangle, on a grid of the whole page, so that neighbors fit.
fn hatch(surface: &mut Surface, lines: Lines, [left, top, right, bottom]: [f64; 4]) {
    let pitch = lines.pitch;
    let grid = |from: f64, to: f64, step: f64| {
        let first = (from / step).floor() as i64;
        let last = (to / step).ceil() as i64;
        (first..=last).map(move |k| k as f64 * step)
    };
    let runs: Vec<Vec<[f64; 2]>> = if lines.crossed {
        grid(left, right, pitch)
            .map(|x| vec![[x, top], [x, bottom]])
            .chain(grid(top, bottom, pitch).map(|y| vec![[left, y], [right, y]]))
            .collect()
    } else {
        // Rising to the right: x + y is the same all along, sqrt 2 times the distance from the origin.
        grid(left + top, right + bottom, pitch * std::f64::consts::SQRT_2)
            .map(|sum| vec![[sum - bottom, bottom], [sum - top, top]])
            .collect()
    };
    let runs: Vec<&Vec<[f64; 2]>> = runs.iter().collect();
    let Some(path) = path(&runs, false) else {
        return;
    };
    surface.set_fill(None);
    for (level, width) in [(255, lines.rim), (0, lines.ink)] {
        surface.set_stroke(Some(stroke(ink([level; 3]), width)));
        surface.draw_path(&path);
    }
}

fn line(surface: &mut Surface, path: &Path, pen: Pen) {
    surface.set_fill(None);
    if pen.rim {
        surface.set_stroke(Some(stroke(ink([255; 3]), pen.width + RIM)));
        surface.draw_path(path);
    }
    let mut drawn = stroke(ink([gray(pen.gray); 3]), pen.width);
    if let Some(dash) = pen.dash {
        drawn.line_cap = LineCap::Butt;
        drawn.dash = Some(StrokeDash {
            array: dash.map(number).to_vec(),
            offset: 0.0,
        });
    }
    surface.set_stroke(Some(drawn));
    surface.draw_path(path);
}

fn stroke(paint: krilla::paint::Paint, width: f64) -> Stroke {
    Stroke {
        paint,
        width: number(width),
        line_cap: LineCap::Round,
        line_join: LineJoin::Round,
        ..Stroke::default()
    }
}

/// A color, as a gray where it is one: printers keep grays clean then.
fn ink([r, g, b]: [u8; 3]) -> krilla::paint::Paint {
    if r == g && g == b {
        luma::Color::new(r).into()
    } else {
        rgb::Color::new(r, g, b).into()
    }
}

/// Words, on a white rim where there is something under them. The rim is drawn as outlines, so that a
/// reader who selects or searches finds each word once.
fn words(surface: &mut Surface, item: &Item, faces: &Typefaces, ground: &Ground) {
    let Item::Text {
        at: [x, y],
        text,
        height,
        align,
        bold,
        upright,
    } = item
    else {
        return;
    };
    let text = plain(text);
    let set = set_words(&text, *bold);
    let runs: Vec<_> = set.iter().filter_map(|run| faces.set(run)).collect();
    let wide: f64 = runs.iter().map(|(_, _, wide)| wide).sum();
    let size = number(*height);
    let before = match align {
        Align::Start => 0.0,
        Align::Middle => 0.5,
        Align::End => 1.0,
    };
    let (x, y) = (number(*x), number(*y));
    let back = number(before * wide * height);
    let start = if *upright {
        // A quarter turn against the clock: along the page's y, backwards.
        surface.push_transform(&Transform::from_row(0.0, -1.0, 1.0, 0.0, x, y));
        Point::from_xy(-back, 0.0)
    } else {
        Point::from_xy(x - back, y)
    };
    let mut write = |fill, stroke, outlined| {
        surface.set_fill(fill);
        surface.set_stroke(stroke);
        let mut from = start;
        for (font, glyphs, wide) in &runs {
            surface.draw_glyphs(from, glyphs, font.clone(), &text, size, outlined);
            from.x += number(wide * height);
        }
    };
    if ground.is_under(item) {
        write(None, Some(stroke(ink([255; 3]), RIM)), true);
    }
    write(Some(krilla::paint::Fill::default()), None, false);
    if *upright {
        surface.pop();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawing(words: &str, size: [f64; 2]) -> Drawing {
        let corners = vec![[1.0, 1.0], [40.0, 1.0], [40.0, 30.0]];
        let area = |fill| Item::Area {
            loops: vec![corners.clone(), vec![[10.0, 5.0], [20.0, 5.0], [20.0, 9.0]]],
            fill,
        };
        let slope = Fill::Slope {
            slope: 0.1,
            least: 0.2,
        };
        let mut items: Vec<Item> = [slope, Fill::Hatch, Fill::Cross, Fill::Gray(0.5)]
            .map(area)
            .to_vec();
        items.push(Item::Line {
            points: vec![[f64::NAN, 2.0], [f64::INFINITY, 3.0], [4.0, 5.0]],
            closed: true,
            pen: Pen::RIDGE,
        });
        items.push(Item::Line {
            points: Vec::new(),
            closed: true,
            pen: Pen::BAND,
        });
        items.push(Item::Disc {
            center: [5.0, 5.0],
            radius: 2.0,
            fill: Fill::Cross,
            pen: Pen::BAND,
        });
        for upright in [false, true] {
            items.push(Item::Text {
                at: [10.0, 10.0],
                text: words.to_owned(),
                height: 3.0,
                align: Align::Middle,
                bold: upright,
                upright,
            });
        }
        Drawing {
            title: words.to_owned(),
            size,
            items,
        }
    }

    fn count(bytes: &[u8], part: &str) -> usize {
        let part = part.as_bytes();
        bytes.windows(part.len()).filter(|w| *w == part).count()
    }

    #[test]
    fn any_words_make_the_same_bytes_twice() {
        let long = "x".repeat(1000);
        for words in ["P1", "", "\u{1b}[2J\u{0}", "漢字 🚤 עברית e\u{301}", &long] {
            let pages = [
                drawing(words, [215.9, 279.4]),
                drawing(words, [297.0, 210.0]),
            ];
            let bytes = pdf(&pages, words).unwrap();
            assert!(bytes.starts_with(b"%PDF-"), "{words}");
            assert_eq!(bytes, pdf(&pages, words).unwrap(), "{words}");
            assert_eq!(count(&bytes, "/Type/Page/"), 2, "{words}");
            // Letter: 8.5 x 11 in of 72 points.
            assert_eq!(count(&bytes, "/MediaBox[0 0 612 792]"), 1, "{words}");
            for dated in ["CreationDate", "ModDate", "CreateDate", "ModifyDate"] {
                assert_eq!(count(&bytes, dated), 0, "{words}: {dated}");
            }
            assert_eq!(
                count(&bytes, "/Subtype/Image"),
                0,
                "{words}: lines and words only"
            );
        }
    }

    #[test]
    fn a_page_has_a_size() {
        for size in [[0.0, 100.0], [100.0, -1.0], [f64::NAN, 100.0]] {
            let error = pdf(&[drawing("P1", size)], "one").unwrap_err();
            assert!(error.to_string().contains("has no size"), "{error}");
        }
    }

    #[test]
    fn a_circle_is_round() {
        // The handle that gives a quarter the right middle: (1/2, 1/2) sqrt 2 away from the corner.
        let middle = (1.0 + 3.0 * 1.0 + 3.0 * QUARTER) / 8.0;
        assert!((middle - std::f64::consts::FRAC_1_SQRT_2).abs() < 1e-12);
    }
}
