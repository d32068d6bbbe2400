//! A drawing as SVG.

use super::slope_colour_hex;
use crate::sheet::{Align, Drawing, Fill, Item, Pen};
use std::fmt::Write;

/// Typefaces from the wished for to the certain.
const FONT: &str = "DejaVu Sans, Verdana, Arial, Helvetica, sans-serif";

/// How much of a slope's colour is kept against white, so that black lines and words stand out.
const STRENGTH: f64 = 0.78;

/// Width of the white rim round words and marked lines, mm.
const RIM: f64 = 0.7;

/// The drawing as SVG, sized in millimetres, with words as text.
pub fn svg(drawing: &Drawing) -> String {
    let [width, height] = drawing.size.map(number);
    let mut text = String::new();
    let _ = write!(
        text,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {width} {height}\" font-family=\"{FONT}\" fill=\"none\" \
         stroke-linecap=\"round\" stroke-linejoin=\"round\">\n\
         <title>{}</title>\n{HATCHES}\
         <rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n",
        escaped(&drawing.title)
    );
    for item in &drawing.items {
        write_item(&mut text, item);
    }
    text.push_str("</svg>\n");
    text
}

/// Patterns of holding patches and ponds: black on a white rim, so that they show on any ground.
const HATCHES: &str = "<defs>\n\
    <pattern id=\"hatch\" width=\"1.6\" height=\"1.6\" patternUnits=\"userSpaceOnUse\" \
    patternTransform=\"rotate(45)\"><path d=\"M.8 -1V3\" stroke=\"#fff\" stroke-width=\".7\"/>\
    <path d=\"M.8 -1V3\" stroke=\"#000\" stroke-width=\".32\"/></pattern>\n\
    <pattern id=\"cross\" width=\"1.4\" height=\"1.4\" patternUnits=\"userSpaceOnUse\">\
    <path d=\"M.7 -1V3M-1 .7H3\" stroke=\"#fff\" stroke-width=\".6\"/>\
    <path d=\"M.7 -1V3M-1 .7H3\" stroke=\"#000\" stroke-width=\".3\"/></pattern>\n</defs>\n";

// Writing into a String does not fail, so the results of `write!` are let go below.
fn write_item(text: &mut String, item: &Item) {
    match item {
        Item::Area { loops, fill } => {
            let path: String = loops.iter().map(|points| path(points, true)).collect();
            let paint = paint(*fill);
            // A hair of the same colour closes the seams between neighbours.
            let seam = match fill {
                Fill::Slope { .. } => format!(" stroke=\"{paint}\" stroke-width=\".12\""),
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
            centre: [x, y],
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
                paint(*fill),
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
            for ink in ["stroke=\"#fff\" stroke-width=\".7\"", "fill=\"#000\""] {
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

fn paint(fill: Fill) -> String {
    match fill {
        Fill::Slope { slope, least } => washed(&slope_colour_hex(slope, least)),
        Fill::Hatch => "url(#hatch)".to_owned(),
        Fill::Cross => "url(#cross)".to_owned(),
        Fill::Paper => "#fff".to_owned(),
        Fill::Grey(share) => grey(share),
    }
}

/// A colour `#rrggbb` mixed with white.
fn washed(hex: &str) -> String {
    let value = u32::from_str_radix(hex.trim_start_matches('#'), 16).unwrap_or(0);
    let mixed = [16, 8, 0].map(|shift| {
        let part = f64::from((value >> shift) & 0xff);
        (255.0 + STRENGTH * (part - 255.0)).round() as u8
    });
    format!("#{:02x}{:02x}{:02x}", mixed[0], mixed[1], mixed[2])
}

fn grey(share: f64) -> String {
    let part = (255.0 * share.clamp(0.0, 1.0)).round() as u8;
    format!("#{part:02x}{part:02x}{part:02x}")
}

fn stroke(pen: Pen) -> String {
    let mut stroke = format!(
        "stroke=\"{}\" stroke-width=\"{}\"",
        grey(pen.grey),
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

/// A number to a hundredth of a millimetre, without needless zeros.
fn number(value: f64) -> String {
    let value = if value.is_finite() { value } else { 0.0 };
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    match text {
        "-0" | "" => "0".to_owned(),
        text => text.to_owned(),
    }
}

/// Words without what would be read as markup, and without what XML cannot hold.
fn escaped(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    for letter in words.chars() {
        match letter {
            '&' => text.push_str("&amp;"),
            '<' => text.push_str("&lt;"),
            '>' => text.push_str("&gt;"),
            '"' => text.push_str("&quot;"),
            letter if letter.is_control() || matches!(letter, '\u{fffe}' | '\u{ffff}') => {
                text.push(' ');
            }
            letter => text.push(letter),
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_words_are_plain() {
        for (value, wanted) in [
            (1.0, "1"),
            (10.0, "10"),
            (-0.001, "0"),
            (0.254, "0.25"),
            (f64::NAN, "0"),
        ] {
            assert_eq!(number(value), wanted);
        }
        assert_eq!(
            escaped("<a & \"b\"\u{1b}>"),
            "&lt;a &amp; &quot;b&quot; &gt;"
        );
        assert_eq!(washed("#000000"), "#383838");
        assert_eq!(washed("#ffffff"), "#ffffff");
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
                    centre: [1.0, 1.0],
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
