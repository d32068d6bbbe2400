//! A sheet as plain text, without color.

use crate::sheet::{Blank, Block, Point, Sheet, Table};
use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, Width, presets};

/// Least width that a table of posts can be squeezed into.
const NARROWEST: usize = 60;

/// Words in cells that are longer may be broken.
const LONGEST_WORD: usize = 10;

/// White before every line but titles and headings.
const INDENT: &str = "  ";

/// The sheet as text of lines no wider than `width`, which is at least 60.
pub fn text(sheet: &Sheet, width: usize) -> String {
    let width = width.max(NARROWEST);
    let mut lines = vec![sheet.title.clone(), "=".repeat(sheet.title.chars().count())];
    for block in &sheet.blocks {
        match block {
            Block::Heading(heading) => {
                lines.push(String::new());
                lines.extend(wrapped("", heading, width));
                lines.push("-".repeat(heading.chars().count().min(width)));
            }
            Block::Paragraph(paragraph) => lines.extend(wrapped(INDENT, paragraph, width)),
            Block::Points(points) => lines.extend(listed(points, width)),
            Block::Table(table) => lines.extend(tabled(table, width)),
            Block::Blanks(blanks) => lines.extend(blanks.iter().flat_map(|b| ruled(b, width))),
        }
    }
    let mut text = String::new();
    for line in lines {
        // Names come from the user's file: nothing in them may steer a terminal.
        text.extend(
            line.trim_end()
                .chars()
                .filter(|letter| !letter.is_control()),
        );
        text.push('\n');
    }
    text
}

/// A paragraph broken at blanks; a word longer than the line is broken where the line ends.
fn wrapped(indent: &str, paragraph: &str, width: usize) -> Vec<String> {
    let room = width.saturating_sub(indent.chars().count()).max(1);
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    let mut taken = 0;
    for word in paragraph.split_whitespace() {
        let mut letters: Vec<char> = word.chars().collect();
        if taken > 0 && taken + 1 + letters.len() > room {
            lines.push(std::mem::take(&mut line));
            taken = 0;
        }
        while letters.len() > room {
            lines.push(letters.drain(..room).collect());
        }
        if taken > 0 {
            line.push(' ');
            taken += 1;
        }
        taken += letters.len();
        line.extend(letters);
    }
    if taken > 0 {
        lines.push(line);
    }
    lines
        .into_iter()
        .map(|line| format!("{indent}{line}"))
        .collect()
}

/// Points with their marks in a column of their own.
fn listed(points: &[Point], width: usize) -> Vec<String> {
    /// Marks longer than this stand before their text like a word.
    const LONGEST_MARK: usize = 16;
    let marks = points
        .iter()
        .map(|point| point.mark.chars().count())
        .filter(|length| *length <= LONGEST_MARK)
        .max()
        .unwrap_or(1);
    let hang = " ".repeat(INDENT.len() + marks + 2);
    let mut lines = Vec::new();
    for point in points {
        let length = point.mark.chars().count();
        let (text, known) = if length > marks {
            (format!("{}: {}", point.mark, point.text), "")
        } else {
            (point.text.clone(), point.mark.as_str())
        };
        let mut part = wrapped(&hang, &text, width);
        if let Some(first) = part.first_mut() {
            let padding = " ".repeat(marks - known.chars().count() + 2);
            *first = format!("{INDENT}{known}{padding}{}", first.trim_start());
        }
        lines.extend(part);
    }
    lines
}

fn tabled(table: &Table, width: usize) -> Vec<String> {
    let mut drawn = comfy_table::Table::new();
    let arrangement = if table.by_hand {
        drawn.load_style(presets::ASCII_FULL);
        ContentArrangement::DynamicFullWidth
    } else {
        drawn.load_style(presets::NOTHING);
        ContentArrangement::Dynamic
    };
    drawn
        .set_content_arrangement(arrangement)
        .set_width(u16::try_from(width).unwrap_or(u16::MAX))
        .set_header(table.columns.iter().map(|column| column.heading))
        .add_rows(
            table
                .rows
                .iter()
                .map(|row| row.iter().map(|cell| plain(cell))),
        );
    for (index, column) in table.columns.iter().enumerate() {
        let Some(drawn) = drawn.column_mut(index).filter(|_| !table.by_hand) else {
            continue;
        };
        // Numbers are never broken, words only where they are very long.
        let cells = table.rows.iter().filter_map(|row| row.get(index));
        let pieces: Vec<&str> = if column.numbers {
            cells.map(String::as_str).collect()
        } else {
            cells.flat_map(|cell| cell.split_whitespace()).collect()
        };
        let longest = pieces
            .into_iter()
            .chain(column.heading.split_whitespace())
            .map(|text| text.chars().count())
            .max()
            .unwrap_or(1);
        let longest = if column.numbers {
            longest
        } else {
            longest.min(LONGEST_WORD)
        };
        let wide = u16::try_from(longest).unwrap_or(u16::MAX);
        let wide = wide.saturating_add(drawn.padding_width());
        if column.numbers {
            drawn.set_cell_alignment(CellAlignment::Right);
            drawn.set_constraint(ColumnConstraint::Absolute(Width::Fixed(wide)));
        } else {
            drawn.set_constraint(ColumnConstraint::LowerBoundary(Width::Fixed(wide)));
        }
    }
    drawn.lines().collect()
}

/// A cell on one line.
fn plain(cell: &str) -> String {
    cell.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A line to fill in; under its question where that leaves too little room.
fn ruled(blank: &Blank, width: usize) -> Vec<String> {
    /// Shortest line that a hand can write a dimension on.
    const SHORTEST: usize = 20;
    let field = if blank.field.is_empty() {
        String::new()
    } else {
        format!(" [{}]", blank.field)
    };
    let mark = format!("{INDENT}{:<3}", blank.mark);
    let hang = " ".repeat(mark.chars().count());
    let mut lines = wrapped(&hang, &format!("{}{field}", blank.what), width);
    if let Some(first) = lines.first_mut() {
        *first = format!("{mark}{}", first.trim_start());
    }
    match lines.last_mut() {
        Some(last) if last.chars().count() + 1 + SHORTEST <= width => {
            let room = width - last.chars().count() - 1;
            last.push(' ');
            last.push_str(&"_".repeat(room));
        }
        _ => lines.push(format!("{hang}{}", "_".repeat(width - hang.len()))),
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::Column;

    fn sheet(words: &str) -> Sheet {
        let column = |heading, numbers| Column { heading, numbers };
        Sheet {
            title: "A boat".to_owned(),
            blocks: vec![
                Block::Heading("What".to_owned()),
                Block::Paragraph(words.to_owned()),
                Block::Points(vec![Point {
                    mark: "P1".to_owned(),
                    text: words.to_owned(),
                }]),
                Block::Points(vec![Point {
                    mark: words.to_owned(),
                    text: "short".to_owned(),
                }]),
                Block::Table(Table {
                    columns: vec![column("Post", false), column("Cap over sole", true)],
                    rows: vec![vec![words.to_owned(), "12'10 3/4\"".to_owned()]],
                    by_hand: false,
                }),
                Block::Blanks(vec![Blank {
                    mark: "A",
                    what: "Length",
                    field: "length",
                }]),
            ],
        }
    }

    #[test]
    fn every_line_fits_whatever_the_words() {
        for words in [
            "".to_owned(),
            "short".to_owned(),
            "a few words ".repeat(30),
            "x".repeat(500),
            "two\nlines\tand \u{1b}[31m color".to_owned(),
            "größer als Größe ".repeat(12),
        ] {
            for width in [0, 60, 80, 100] {
                let text = text(&sheet(&words), width);
                for line in text.lines() {
                    assert!(
                        line.chars().count() <= width.max(NARROWEST),
                        "{width}: {line}"
                    );
                    assert!(!line.chars().any(char::is_control), "{line:?}");
                }
                assert!(text.contains("12'10 3/4\""), "numbers stay whole: {text}");
                assert!(text.contains("A  Length [length] ____"), "{text}");
            }
        }
    }
}
