//! A drawing as SVG.

use super::paint::{self, CROSS, HATCH, Lines, Paint, RIM, SEAM, millimeters as number, printable};
use crate::sheet::{Align, Drawing, Fill, Item, Pen};
use std::fmt::Write;

/// Typefaces from the wished for to the certain.
const FONT: &str = "DejaVu Sans, Verdana, Arial, Helvetica, sans-serif";

/// The drawing as SVG, sized in millimeters, with words as text.
pub fn svg(drawing: &Drawing) -> String {
    let [width, height] = drawing.size.map(number);
    let size = format!("width=\"{width}mm\" height=\"{height}mm\"");
    written(drawing, "", &size)
}

/// The drawing as SVG for a page with more of them: as wide as its place, the names in it behind a prefix.
pub(super) fn svg_inside(drawing: &Drawing, prefix: &str) -> String {
    written(drawing, prefix, "role=\"img\"")
}

fn written(drawing: &Drawing, prefix: &str, size: &str) -> String {
    let [width, height] = drawing.size.map(number);
    let mut text = String::new();
    let _ = write!(
        text,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" {size} viewBox=\"0 0 {width} {height}\" \
         font-family=\"{FONT}\" fill=\"none\" stroke-linecap=\"round\" stroke-linejoin=\"round\">\n\
         <title>{}</title>\n<defs>\n{}{}</defs>\n\
         <rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n",
        escaped(&drawing.title),
        pattern(prefix, HATCH),
        pattern(prefix, CROSS)
    );
    for item in &drawing.items {
        write_item(&mut text, item, prefix);
    }
    text.push_str("</svg>\n");
    text
}

/// A pattern of lines.
fn pattern(prefix: &str, lines: Lines) -> String {
    let (name, turn) = if lines.crossed {
        ("cross", "")
    } else {
        ("hatch", " patternTransform=\"rotate(45)\"")
    };
    let (pitch, middle, end) = (
        number(lines.pitch),
        number(0.5 * lines.pitch),
        number(1.5 * lines.pitch),
    );
    let mut path = format!("M{middle} -1V{end}");
    if lines.crossed {
        let _ = write!(path, "M-1 {middle}H{end}");
    }
    let mut text = format!(
        "<pattern id=\"{prefix}{name}\" width=\"{pitch}\" height=\"{pitch}\" \
         patternUnits=\"userSpaceOnUse\"{turn}>"
    );
    for (color, width) in [("#fff", lines.rim), ("#000", lines.ink)] {
        let width = number(width);
        let _ = write!(
            text,
            "<path d=\"{path}\" stroke=\"{color}\" stroke-width=\"{width}\"/>"
        );
    }
    text.push_str("</pattern>\n");
    text
}

// Writing into a String does not fail, so the results of `write!` are let go below.
fn write_item(text: &mut String, item: &Item, prefix: &str) {
    match item {
        Item::Area { loops, fill } => {
            let path: String = loops.iter().map(|points| path(points, true)).collect();
            let paint = paint(*fill, prefix);
            // A hair of the same color closes the seams between neighbors.
            let seam = match fill {
                Fill::Slope { .. } => format!(" stroke=\"{paint}\" stroke-width=\"{SEAM}\""),
                _ => String::new(),
            };
            let _ = writeln!(
                text,
                "<path d=\"{path}\" fill=\"{paint}\" fill-rule=\"evenodd\"{seam}/>"
            );
        }
        Item::Line {
            points,
            closed,
            pen,
        } => {
            let path = path(points, *closed);
            if pen.rim {
                let width = number(pen.width + RIM);
                let _ = writeln!(
                    text,
                    "<path d=\"{path}\" stroke=\"#fff\" stroke-width=\"{width}\"/>"
                );
            }
            let _ = writeln!(text, "<path d=\"{path}\" {}/>", stroke(*pen));
        }
        Item::Disc {
            center: [x, y],
            radius,
            fill,
            pen,
        } => {
            let _ = writeln!(
                text,
                "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"{}\" {}/>",
                number(*x),
                number(*y),
                number(*radius),
                paint(*fill, prefix),
                stroke(*pen)
            );
        }
        Item::Text {
            at: [x, y],
            text: words,
            height,
            align,
            bold,
            upright,
        } => {
            let anchor = match align {
                Align::Start => "start",
                Align::Middle => "middle",
                Align::End => "end",
            };
            let weight = if *bold { " font-weight=\"bold\"" } else { "" };
            let (x, y) = (number(*x), number(*y));
            let turn = if *upright {
                format!(" transform=\"rotate(-90 {x} {y})\"")
            } else {
                String::new()
            };
            let words = escaped(words);
            let size = number(*height);
            // Twice: a white rim, then the words, since not every viewer knows of an order of painting.
            let rim = format!("stroke=\"#fff\" stroke-width=\"{RIM}\"");
            for ink in [rim.as_str(), "fill=\"#000\""] {
                let _ = writeln!(
                    text,
                    "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\" text-anchor=\"{anchor}\"{weight}{turn} \
                     {ink}>{words}</text>"
                );
            }
        }
    }
}

fn path(points: &[[f64; 2]], closed: bool) -> String {
    let mut path = String::new();
    for (index, [x, y]) in points.iter().enumerate() {
        let _ = write!(
            path,
            "{}{} {}",
            if index == 0 { "M" } else { "L" },
            number(*x),
            number(*y)
        );
    }
    if closed {
        path.push('Z');
    }
    path
}

fn paint(fill: Fill, prefix: &str) -> String {
    match paint::paint(fill) {
        Paint::Color(color) => hex(color),
        Paint::Lines(lines) if lines.crossed => format!("url(#{prefix}cross)"),
        Paint::Lines(_) => format!("url(#{prefix}hatch)"),
    }
}

/// A color as short as it goes.
fn hex([r, g, b]: [u8; 3]) -> String {
    if [r, g, b] == [255; 3] {
        return "#fff".to_owned();
    }
    format!("#{r:02x}{g:02x}{b:02x}")
}

fn stroke(pen: Pen) -> String {
    let mut stroke = format!(
        "stroke=\"{}\" stroke-width=\"{}\"",
        hex([paint::gray(pen.gray); 3]),
        number(pen.width)
    );
    if let Some([dash, gap]) = pen.dash {
        let _ = write!(
            stroke,
            " stroke-dasharray=\"{} {}\" stroke-linecap=\"butt\"",
            number(dash),
            number(gap)
        );
    }
    stroke
}

/// Words without what would be read as markup, and without what XML cannot hold.
pub(super) fn escaped(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    for letter in words.chars() {
        match letter {
            '&' => text.push_str("&amp;"),
            '<' => text.push_str("&lt;"),
            '>' => text.push_str("&gt;"),
            '"' => text.push_str("&quot;"),
            letter => text.push(printable(letter)),
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_no_markup() {
        assert_eq!(
            escaped("<a & \"b\"\u{1b}>"),
            "&lt;a &amp; &quot;b&quot; &gt;"
        );
    }

    #[test]
    fn every_item_is_drawn() {
        let corners = vec![[0.0, 0.0], [4.0, 0.0], [4.0, 3.0]];
        let drawing = Drawing {
            title: "a <title>".to_owned(),
            size: [10.0, 8.0],
            items: vec![
                Item::Area {
                    loops: vec![corners.clone()],
                    fill: Fill::Hatch,
                },
                Item::Line {
                    points: corners,
                    closed: false,
                    pen: Pen::RIDGE,
                },
                Item::Disc {
                    center: [1.0, 1.0],
                    radius: 0.5,
                    fill: Fill::Paper,
                    pen: Pen::BAND,
                },
                Item::Text {
                    at: [1.0, 2.0],
                    text: "P1".to_owned(),
                    height: 3.0,
                    align: Align::Middle,
                    bold: true,
                    upright: true,
                },
            ],
        };
        let text = svg(&drawing);
        assert_eq!(text, svg(&drawing), "same drawing, same bytes");
        for part in [
            "a &lt;title&gt;",
            "url(#hatch)",
            "stroke-width=\"1.6\"",
            "<circle",
            "rotate(-90 1 2)",
            "viewBox=\"0 0 10 8\"",
        ] {
            assert!(text.contains(part), "{part} in {text}");
        }
    }
}
