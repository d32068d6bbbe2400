//! A plot as DXF (version AC1024 of 2010, text), in millimeters.

use super::ExportError;
use super::dxf_finish::finished;
use super::paint::printable;
use crate::sheet::{Align, Layer, Mark, Piece, Plot, Shape, Spot};
use ::dxf::entities::{Circle, Entity, EntityType, Line, LwPolyline, Polyline, Text, Vertex};
use ::dxf::enums::{AcadVersion, HorizontalTextJustification, Units};
use ::dxf::tables::{AppId, Layer as LayerEntry, LineType};
use ::dxf::{Color, Drawing, LwPolylineVertex, Point, XData, XDataItem};

/// Drawing units in a meter: the drawing is in millimeters, whatever the words on it are in.
const UNITS: f64 = 1000.0;

/// Finest step that is written, parts of a millimeter: sums over many corners stay true to a thousandth.
const STEP: f64 = 1e5;

/// Name under which a piece's id and what it takes beyond its drawn ends (mm) stand in extended data.
const APPLICATION: &str = "HULLTENT";

/// Black on paper and white on a dark screen.
const INK: u8 = 7;

/// Dashed lines: dash and gap, mm.
const DASHED: &str = "DASHED";
const DASH: [f64; 2] = [120.0, 60.0];

/// The plot as DXF, one layer for each kind of thing. Pieces of the frame are in true place: lines and 3D
/// polylines whose extended data hold the piece's id and the millimeters that it takes beyond its drawn
/// ends. The same plot gives the same bytes: dates and random ids are left out.
///
/// # Errors
/// When the writer refuses, which it does for no plot.
pub fn dxf(plot: &Plot) -> Result<Vec<u8>, ExportError> {
    let mut drawing = Drawing::new();
    let header = &mut drawing.header;
    header.version = AcadVersion::R2010;
    header.default_drawing_units = Units::Millimeters;
    header.project_name = plot.title.chars().map(printable).collect();
    extents(&mut drawing, plot);
    drawing.add_app_id(AppId {
        name: APPLICATION.to_owned(),
        ..AppId::default()
    });
    drawing.add_line_type(LineType {
        name: DASHED.to_owned(),
        description: "_ _ _".to_owned(),
        alignment_code: 65,
        element_count: 2,
        total_pattern_length: DASH[0] + DASH[1],
        dash_dot_space_lengths: vec![DASH[0], -DASH[1]],
        complex_line_type_element_types: vec![0, 0],
        ..LineType::default()
    });
    for layer in Layer::ALL {
        drawing.add_layer(LayerEntry {
            name: layer.name().to_owned(),
            color: Color::from_index(INK),
            line_type_name: if layer.is_dashed() {
                DASHED
            } else {
                "CONTINUOUS"
            }
            .to_owned(),
            ..LayerEntry::default()
        });
    }
    for mark in &plot.marks {
        add(&mut drawing, mark);
    }
    let mut text = Vec::new();
    drawing
        .save(&mut text)
        .map_err(|error| ExportError::new("DXF", error))?;
    let text = String::from_utf8(text).map_err(|error| ExportError::new("DXF", error))?;
    let widths: Vec<(&str, f64)> = Layer::ALL.map(|l| (l.name(), l.width())).to_vec();
    Ok(finished(&text, &widths).into_bytes())
}

fn add(drawing: &mut Drawing, mark: &Mark) {
    let specific = match &mark.shape {
        Shape::Line { points, closed } => line(drawing, points, *closed, mark.piece.is_some()),
        Shape::Circle { center, radius } => {
            EntityType::Circle(Circle::new(point(center), number(*radius)))
        }
        Shape::Words {
            at,
            text,
            height,
            align,
            upright,
        } => EntityType::Text(Text {
            location: point(at),
            second_alignment_point: point(at),
            text_height: number(*height),
            value: text.chars().map(printable).collect(),
            rotation: if *upright { 90.0 } else { 0.0 },
            horizontal_text_justification: match align {
                Align::Start => HorizontalTextJustification::Left,
                Align::Middle => HorizontalTextJustification::Center,
                Align::End => HorizontalTextJustification::Right,
            },
            ..Text::default()
        }),
    };
    let mut entity = Entity::new(specific);
    entity.common.layer = mark.layer.name().to_owned();
    entity.common.x_data.extend(mark.piece.iter().map(named));
    drawing.add_entity(entity);
}

fn named(piece: &Piece) -> XData {
    XData {
        application_name: APPLICATION.to_owned(),
        items: vec![
            XDataItem::Str(piece.id.chars().map(printable).collect()),
            XDataItem::Real(number(piece.beyond)),
        ],
    }
}

/// A line through corners: a plain one, a flat polyline, or one in space.
fn line(drawing: &mut Drawing, points: &[Spot], closed: bool, in_space: bool) -> EntityType {
    if let ([a, b], false) = (points, closed) {
        return EntityType::Line(Line::new(point(a), point(b)));
    }
    if !in_space && points.iter().all(|[_, _, z]| *z == 0.0) {
        let mut line = LwPolyline {
            vertices: points
                .iter()
                .map(|p| LwPolylineVertex {
                    x: number(p[0]),
                    y: number(p[1]),
                    ..LwPolylineVertex::default()
                })
                .collect(),
            ..LwPolyline::default()
        };
        line.set_is_closed(closed);
        return EntityType::LwPolyline(line);
    }
    let mut line = Polyline::default();
    line.set_is_3d_polyline(true);
    line.set_is_closed(closed);
    for p in points {
        let mut corner = Vertex::new(point(p));
        corner.set_is_3d_polyline_vertex(true);
        line.add_vertex(drawing, corner);
    }
    EntityType::Polyline(line)
}

fn point([x, y, z]: &Spot) -> Point {
    Point::new(number(*x), number(*y), number(*z))
}

/// Meters in the drawing's units, rounded; zero for what is not finite.
fn number(meters: f64) -> f64 {
    let rounded = (meters * UNITS * STEP).round() / STEP;
    // Adding zero turns a negative zero into a plain one.
    if rounded.is_finite() {
        rounded + 0.0
    } else {
        0.0
    }
}

/// Tells readers how far the drawing reaches, and shows all of it when it is opened.
fn extents(drawing: &mut Drawing, plot: &Plot) {
    let mut low = [f64::MAX; 3];
    let mut high = [f64::MIN; 3];
    for mark in &plot.marks {
        let spots = match &mark.shape {
            Shape::Line { points, .. } => points.as_slice(),
            Shape::Circle { center, .. } => std::slice::from_ref(center),
            Shape::Words { at, .. } => std::slice::from_ref(at),
        };
        for spot in spots {
            for (k, value) in spot.iter().enumerate() {
                low[k] = low[k].min(*value);
                high[k] = high[k].max(*value);
            }
        }
    }
    if low[0] > high[0] {
        return;
    }
    drawing.header.minimum_drawing_extents = point(&low);
    drawing.header.maximum_drawing_extents = point(&high);
    let middle = [0, 1, 2].map(|k| 0.5 * (low[k] + high[k]));
    for view in drawing.view_ports_mut() {
        view.view_center = Point::new(number(middle[0]), number(middle[1]), 0.0);
        view.view_height = number(WHOLE_VIEW * (high[1] - low[1]).max(high[0] - low[0]));
    }
}

/// Height of the first view over the drawing's longer side: all of it with a rim.
const WHOLE_VIEW: f64 = 1.1;

#[cfg(test)]
mod tests {
    use super::*;

    fn plot(words: &str) -> Plot {
        let mark = |layer, piece, shape| Mark {
            layer,
            piece,
            shape,
        };
        let line = |points: &[Spot], closed| Shape::Line {
            points: points.to_vec(),
            closed,
        };
        let piece = |id: &str, beyond| {
            Some(Piece {
                id: id.to_owned(),
                beyond,
            })
        };
        Plot {
            title: words.to_owned(),
            marks: vec![
                mark(
                    Layer::Posts,
                    piece("P1", 0.0),
                    line(&[[1.0, 0.0, 0.5], [1.0, 0.0, 2.234_567_891]], false),
                ),
                mark(
                    Layer::Straps,
                    piece("S1", 0.3),
                    line(&[[0.0, 0.0, 2.0], [0.5, 0.5, 1.5], [1.0, 1.0, 1.0]], false),
                ),
                mark(
                    Layer::Hull,
                    None,
                    line(&[[0.0; 3], [5.0, 0.0, 0.0], [5.0, f64::NAN, 0.0]], true),
                ),
                mark(
                    Layer::Posts,
                    None,
                    Shape::Circle {
                        center: [1.0, 0.0, 2.0],
                        radius: 0.06,
                    },
                ),
                mark(
                    Layer::Labels,
                    None,
                    Shape::Words {
                        at: [1.0, 0.5, 0.0],
                        text: words.to_owned(),
                        height: 0.07,
                        align: Align::End,
                        upright: true,
                    },
                ),
            ],
        }
    }

    #[test]
    fn a_reader_finds_what_was_plotted() {
        for words in ["P1 cut 4'2 1/4\"", "", "two\nlines"] {
            let bytes = dxf(&plot(words)).unwrap();
            assert_eq!(bytes, dxf(&plot(words)).unwrap(), "same plot, same bytes");
            let read = Drawing::load(&mut bytes.as_slice()).unwrap();
            assert!(matches!(read.header.version, AcadVersion::R2010));
            assert!(matches!(
                read.header.default_drawing_units,
                Units::Millimeters
            ));
            let mut kinds = Vec::new();
            for entity in read.entities() {
                match &entity.specific {
                    EntityType::Line(line) => {
                        kinds.push("line");
                        assert_eq!(line.p1, Point::new(1000.0, 0.0, 500.0));
                        assert_eq!(line.p2, Point::new(1000.0, 0.0, 2_234.567_89));
                    }
                    EntityType::Polyline(line) => {
                        kinds.push("strap");
                        assert_eq!(line.vertices().count(), 3);
                        let items = &entity.common.x_data[0].items;
                        let wanted = [XDataItem::Str("S1".to_owned()), XDataItem::Real(300.0)];
                        assert_eq!(*items, wanted);
                    }
                    EntityType::LwPolyline(line) => {
                        kinds.push("hull");
                        assert!(line.is_closed() && line.vertices[2].y == 0.0);
                    }
                    EntityType::Circle(circle) => {
                        kinds.push("cap");
                        assert_eq!((circle.center.z, circle.radius), (2000.0, 60.0));
                    }
                    EntityType::Text(text) => {
                        kinds.push("words");
                        assert_eq!(text.value, words.replace('\n', " "));
                    }
                    other => panic!("{other:?}"),
                }
            }
            assert_eq!(kinds, ["line", "strap", "hull", "cap", "words"]);
            for layer in Layer::ALL {
                let entry = read.layers().find(|entry| entry.name == layer.name());
                let width = f64::from(entry.unwrap().line_weight.raw_value());
                assert_eq!(width, (100.0 * layer.width()).round(), "{layer:?}");
            }
        }
    }

    #[test]
    fn words_are_utf_8() {
        let text = String::from_utf8(dxf(&plot("Größe 漢")).unwrap()).unwrap();
        assert!(text.contains("\nGröße 漢\n"), "{text}");
    }

    #[test]
    fn an_empty_plot_is_a_drawing_too() {
        let empty = Plot {
            title: String::new(),
            marks: Vec::new(),
        };
        let bytes = dxf(&empty).unwrap();
        let read = Drawing::load(&mut bytes.as_slice()).unwrap();
        assert_eq!(read.entities().count(), 0);
    }
}
