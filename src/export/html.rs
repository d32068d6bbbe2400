//! A sheet with its drawings as one page for a phone: nothing else is fetched, no script runs.

use super::paint::millimeters;
use super::svg::{escaped, svg_inside};
use crate::sheet::{Blank, Block, Drawing, Point, Sheet, Table};
use std::fmt::Write;

/// How wide a drawing becomes when it is tapped, screen points in a millimeter of paper: words 3.1 mm high
/// come out 14 points high.
const ENLARGED: f64 = 4.5;

/// The look: dark on white, nothing wider than the screen but what the reader enlarges. On a narrow screen a
/// row of a table becomes a card with the column's heading before each cell.
const STYLE: &str = "\
html{color-scheme:light;-webkit-text-size-adjust:100%}
body{margin:0 auto;padding:0 1rem 3rem;max-width:60rem;background:#fff;color:#111;\
font:1rem/1.45 system-ui,'DejaVu Sans',Verdana,sans-serif;overflow-wrap:break-word}
h1{font-size:1.5rem;line-height:1.2;margin:1rem 0 .5rem}
h2{font-size:1.15rem;line-height:1.25;margin:2rem 0 .5rem;padding-top:.4rem;border-top:2px solid #111}
a{color:#003a70}
nav a{display:inline-block;padding:.5rem .9rem .5rem 0}
dl{margin:.5rem 0}
dt{font-weight:700;margin-top:.5rem}
dd{margin:0 0 0 1rem}
ul{margin:.5rem 0;padding-left:1.2rem}
li{margin:.3rem 0}
table{border-collapse:collapse;width:100%;margin:.5rem 0}
th,td{padding:.3rem .5rem;border:1px solid #999;text-align:left;vertical-align:top}
th{background:#eee}
.number{text-align:right;white-space:nowrap}
.hand td{height:1.8rem}
.blank{display:flex;flex-wrap:wrap;gap:.3rem;align-items:flex-end;margin:.7rem 0}
.blank i{flex:1 1 8rem;border-bottom:1px solid #111}
figure{margin:1rem 0}
figcaption{font-weight:700}
figure input{position:absolute;opacity:0}
figure input:focus-visible~div{outline:3px solid #003a70}
figure div{overflow:auto;border:1px solid #999}
figure label{display:block;cursor:zoom-in}
figure svg{display:block;width:100%;height:auto}
figure input:checked~div label{cursor:zoom-out;width:var(--wide)}
@media screen and (max-width:40em){
table,tbody,td{display:block}
thead{display:none}
tr{display:grid;grid-template-columns:1fr 1fr;border:1px solid #999;margin:.7rem 0}
td,.number{border:0;border-top:1px solid #ddd;text-align:left;white-space:normal}
td::before{content:attr(data-column);display:block;color:#555;font-size:.85rem}
td:first-child{grid-column:1/-1;background:#eee;font-weight:700;border:0}
td:first-child::before{display:inline;margin-right:.5rem}
}
@media print{
body{max-width:none;padding:0;font-size:10pt}
nav,.hint{display:none}
a{color:inherit}
h2,dt,figcaption{break-after:avoid}
tr,li,dd,figure{break-inside:avoid}
figure div{border:0;overflow:visible}
figure input:checked~div label{width:auto}
}
";

/// The sheet and its drawings as one HTML page that holds all it shows. It is well-formed XML too.
pub fn html(title: &str, pages: &[Drawing], sheet: &Sheet) -> String {
    let title = escaped(title);
    let mut text = String::new();
    let _ = write!(
        text,
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\"/>\n\
         <title>{title}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n<h1>{title}</h1>\n"
    );
    contents(&mut text, pages, sheet);
    let mut heading = 0;
    for block in &sheet.blocks {
        match block {
            Block::Heading(words) => {
                heading += 1;
                let _ = writeln!(text, "<h2 id=\"part-{heading}\">{}</h2>", escaped(words));
            }
            Block::Paragraph(words) => {
                let _ = writeln!(text, "<p>{}</p>", escaped(words));
            }
            Block::Points(points) => listed(&mut text, points),
            Block::Table(table) => tabled(&mut text, table),
            Block::Blanks(blanks) => ruled(&mut text, blanks),
        }
    }
    drawings(&mut text, pages);
    text.push_str("</body>\n</html>\n");
    text
}

// Writing into a String does not fail, so the results of `write!` are let go.
fn contents(text: &mut String, pages: &[Drawing], sheet: &Sheet) {
    text.push_str("<nav>");
    let headings = sheet.blocks.iter().filter_map(|block| match block {
        Block::Heading(words) => Some(words),
        _ => None,
    });
    for (number, words) in (1..).zip(headings) {
        let _ = write!(text, "<a href=\"#part-{number}\">{}</a> ", escaped(words));
    }
    if !pages.is_empty() {
        text.push_str("<a href=\"#drawings\">Drawings</a>");
    }
    text.push_str("</nav>\n");
}

/// Points with plain dashes as a list, others each under its mark.
fn listed(text: &mut String, points: &[Point]) {
    if points.is_empty() {
        return;
    }
    if points.iter().all(|point| point.mark == "-") {
        text.push_str("<ul>\n");
        for point in points {
            let _ = writeln!(text, "<li>{}</li>", escaped(&point.text));
        }
        text.push_str("</ul>\n");
        return;
    }
    text.push_str("<dl>\n");
    for point in points {
        let (mark, words) = (escaped(&point.mark), escaped(&point.text));
        let _ = writeln!(text, "<dt>{mark}</dt><dd>{words}</dd>");
    }
    text.push_str("</dl>\n");
}

fn tabled(text: &mut String, table: &Table) {
    let class = if table.by_hand { " class=\"hand\"" } else { "" };
    let align = |numbers: bool| if numbers { " class=\"number\"" } else { "" };
    let _ = write!(text, "<table{class}>\n<thead><tr>");
    for column in &table.columns {
        let class = align(column.numbers);
        let _ = write!(text, "<th{class}>{}</th>", escaped(column.heading));
    }
    text.push_str("</tr></thead>\n<tbody>\n");
    for row in &table.rows {
        text.push_str("<tr>");
        for (column, cell) in table.columns.iter().zip(row) {
            let (class, heading) = (align(column.numbers), escaped(column.heading));
            let cell = escaped(cell);
            let _ = write!(
                text,
                "<td{class} data-column=\"{heading}\"><span>{cell}</span></td>"
            );
        }
        text.push_str("</tr>\n");
    }
    text.push_str("</tbody>\n</table>\n");
}

fn ruled(text: &mut String, blanks: &[Blank]) {
    for blank in blanks {
        let (mark, what) = (escaped(blank.mark), escaped(blank.what));
        let _ = writeln!(
            text,
            "<p class=\"blank\"><b>{mark}</b> <span>{what}</span> <i></i></p>"
        );
    }
}

fn drawings(text: &mut String, pages: &[Drawing]) {
    if pages.is_empty() {
        return;
    }
    text.push_str(
        "<h2 id=\"drawings\">Drawings</h2>\n\
         <p class=\"hint\">Tap a drawing to enlarge it, tap it again to fit the screen.</p>\n",
    );
    for (number, page) in (1..).zip(pages) {
        let wide = millimeters(ENLARGED * page.size[0]);
        let caption = escaped(&page.title);
        let drawn = svg_inside(page, &format!("drawing-{number}-"));
        let _ = write!(
            text,
            "<figure style=\"--wide:{wide}px\">\n\
             <input type=\"checkbox\" id=\"zoom-{number}\" aria-label=\"Enlarge {caption}\"/>\n\
             <figcaption>{caption}</figcaption>\n\
             <div><label for=\"zoom-{number}\">{drawn}</label></div>\n</figure>\n"
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::{Column, Fill, Item};

    fn sheet(words: &str) -> Sheet {
        let point = |mark: &str| Point {
            mark: mark.to_owned(),
            text: words.to_owned(),
        };
        Sheet {
            title: words.to_owned(),
            blocks: vec![
                Block::Heading(words.to_owned()),
                Block::Paragraph(words.to_owned()),
                Block::Points(vec![point("-"), point("-")]),
                Block::Points(vec![point("P1"), point(words)]),
                Block::Points(Vec::new()),
                Block::Table(Table {
                    columns: vec![Column {
                        heading: "Cap over sole",
                        numbers: true,
                    }],
                    rows: vec![vec![words.to_owned()]],
                    by_hand: true,
                }),
                Block::Blanks(vec![Blank {
                    mark: "A",
                    what: "Length",
                    field: "length",
                }]),
            ],
        }
    }

    fn drawing(words: &str) -> Drawing {
        Drawing {
            title: words.to_owned(),
            size: [100.0, 80.0],
            items: vec![Item::Area {
                loops: vec![vec![[0.0, 0.0], [1.0, 0.0], [1.0, 1.0]]],
                fill: Fill::Hatch,
            }],
        }
    }

    /// Names of the elements, each opened and closed in order; panics where they are not.
    fn elements(page: &str) -> Vec<&str> {
        let mut open: Vec<&str> = Vec::new();
        let mut all = Vec::new();
        for tag in page.split('<').skip(1) {
            let (tag, words) = tag.split_once('>').unwrap();
            assert!(!words.contains('>'), "{words}");
            let name = tag
                .trim_start_matches('/')
                .split([' ', '/'])
                .next()
                .unwrap();
            if tag.starts_with('/') {
                assert_eq!(open.pop(), Some(name), "in {tag}");
            } else if !tag.starts_with('!') {
                all.push(name);
                if !tag.ends_with('/') {
                    open.push(name);
                }
            }
        }
        assert!(open.is_empty(), "left open: {open:?}");
        all
    }

    #[test]
    fn any_words_make_a_sound_page() {
        for words in [
            "",
            "plain",
            "</td><script>alert('1')</script> & \"quoted\"",
            "\u{1b}[31m",
        ] {
            let pages = [drawing(words), drawing(words)];
            let page = html(words, &pages, &sheet(words));
            // The style has angles of its own; it is ours alone.
            let bare = page.replace(STYLE, "");
            let elements = elements(&bare);
            let count = |name: &str| elements.iter().filter(|found| **found == name).count();
            assert_eq!(count("script"), 0, "{words}");
            assert_eq!((count("svg"), count("figure")), (2, 2), "{words}");
            assert_eq!((count("li"), count("dt"), count("td")), (2, 2, 1));
            let mut ids: Vec<&str> = bare
                .split(" id=\"")
                .skip(1)
                .filter_map(|rest| rest.split('"').next())
                .collect();
            let all = ids.len();
            ids.sort_unstable();
            ids.dedup();
            assert_eq!(ids.len(), all, "every name once: {ids:?}");
            for used in bare.split("url(#").skip(1) {
                let name = used.split(')').next().unwrap();
                assert!(ids.contains(&name), "{name}");
            }
            // Nothing is fetched: the only addresses are names of namespaces.
            let addresses = bare.matches("://").count();
            assert_eq!(
                addresses,
                bare.matches("http://www.w3.org/2000/svg").count()
            );
            assert!(!page.contains("@import") && !STYLE.contains("url("));
        }
    }
}
