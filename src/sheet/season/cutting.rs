//! Film and posts as they are cut: bars, lists, cautions.

use super::bars::{Named, bars};
use crate::season::{CutList, PostPlan, Season, Source, film_use, is_kept};
use crate::sheet::drawing::Drawing;
use crate::sheet::list_pages::{headed, unheaded};
use crate::sheet::{
    Block, Column, Paper, Point, Sheet, Table, cautions, cautions_heading, list_pages,
};
use crate::takeoff::PriceBook;
use crate::units::UnitSystem;

/// What a roll or stick is, in words: `buy: 16'0" x 150'0"`, or its label.
#[must_use]
pub fn source_words(source: &Source, units: UnitSystem) -> String {
    let length = units.format_length_short(source.length);
    let size = if source.width > 0.0 {
        format!("{} x {length}", units.format_length_short(source.width))
    } else {
        length
    };
    if source.label.is_empty() {
        format!("buy: {size}")
    } else {
        format!("{}: {size}", source.label)
    }
}

/// The film plan on paper: what it comes to, then each roll with its sheets.
#[must_use]
pub fn film_pages(
    season: &Season,
    book: &PriceBook,
    units: UnitSystem,
    paper: Paper,
) -> Vec<Drawing> {
    let list = &season.film;
    let mut offcuts = 0;
    let rests: Vec<String> = list
        .cuts
        .iter()
        .map(|cut| {
            let rest = units.format_length_short(cut.rest);
            if is_kept(cut, book) {
                offcuts += 1;
                format!("rest {rest}: keep as offcut {offcuts}")
            } else {
                format!("rest {rest}")
            }
        })
        .collect();
    let used = film_use(list, book);
    let share = |area: f64| match used.begun {
        0.0 => 0.0,
        begun => area / begun,
    };
    let mut points = vec![
        cost_sentence(list, book),
        format!(
            "{} sheets out of {} rolls and offcuts, {} of film: {} under the sheets, {} lost at sides and cuts, {} in \
             rests that are kept, {} in rests that are too short.",
            list.wanted.len() - list.too_large.len(),
            list.cuts.len(),
            units.format_area(used.begun),
            units.format_share(share(used.sheets)),
            units.format_share(share(used.begun - used.sheets - used.kept - used.short)),
            units.format_share(share(used.kept)),
            units.format_share(share(used.short)),
        ),
        "Rolls stand in the order in which they are begun. Write the label on a rest that is kept, it covers small \
         boats."
            .to_owned(),
    ];
    points.extend(too_large(list, "no roll is as wide or as long", units));
    let mut pages = words("Film as it is cut", points, paper);
    bars(&mut pages, list, units, paper, 1, |index| Named {
        name: named(list, index, "Roll", units),
        rest: rests.get(index).cloned().unwrap_or_default(),
    });
    headed(pages, "Film as it is cut", "Sheets out of rolls", paper)
}

/// The posts' plan on paper: last year's that stand again, then each stick with its posts.
#[must_use]
pub fn post_pages(
    posts: &PostPlan,
    book: &PriceBook,
    units: UnitSystem,
    paper: Paper,
) -> Vec<Drawing> {
    let list = &posts.cut;
    let mut points = vec![
        cost_sentence(list, book),
        format!(
            "{} posts to cut out of {} pieces of {}; the saw takes {} at each cut. {} of last year's posts stand \
             again where they stood.",
            list.wanted.len() - list.too_large.len(),
            list.cuts.len(),
            book.posts.size,
            units.format_length(book.posts.kerf),
            posts.again.len(),
        ),
        "Write boat and number on every post: next year it is found by them.".to_owned(),
    ];
    points.extend(too_large(list, "no lumber is as long", units));
    let mut pages = words("Posts as they are cut", points, paper);
    bars(&mut pages, list, units, paper, 2, |index| Named {
        name: named(list, index, "", units),
        rest: list.cuts.get(index).map_or_else(String::new, |cut| {
            format!("rest {}", units.format_length_short(cut.rest))
        }),
    });
    let mut pages = headed(pages, "Posts as they are cut", "Posts out of lumber", paper);
    if !posts.again.is_empty() {
        let again = Sheet {
            title: "Posts that stand again".to_owned(),
            blocks: vec![Block::Table(Table {
                columns: vec![
                    Column::words("Post"),
                    Column::numbers("Wanted"),
                    Column::numbers("It has"),
                ],
                rows: posts
                    .again
                    .iter()
                    .map(|post| {
                        vec![
                            post.label.clone(),
                            units.format_length(post.wanted),
                            units.format_length(post.length),
                        ]
                    })
                    .collect(),
                by_hand: false,
            })],
        };
        pages.extend(list_pages(
            &again,
            "Last year's posts, by their labels",
            paper,
        ));
    }
    pages
}

fn named(list: &CutList, index: usize, what: &str, units: UnitSystem) -> String {
    let source = list
        .cuts
        .get(index)
        .and_then(|cut| list.sources.get(cut.source));
    let words = source.map_or_else(String::new, |source| source_words(source, units));
    format!("{what} {}  {words}", index + 1).trim().to_owned()
}

/// What is bought costs so much, and how much less it could cost at most.
pub(super) fn cost_sentence(list: &CutList, book: &PriceBook) -> String {
    let cost = book.money(list.cost);
    if list.proved {
        format!("To buy: {cost}. Proved: no cutting costs less.")
    } else {
        format!(
            "To buy: {cost}. No cutting costs less than {}: at most {:.2} % could be saved.",
            book.money(list.bound),
            100.0 * list.gap()
        )
    }
}

fn too_large(list: &CutList, why: &str, units: UnitSystem) -> Vec<String> {
    let pieces = list
        .too_large
        .iter()
        .filter_map(|piece| list.wanted.get(*piece));
    pieces
        .map(|piece| {
            let size = if piece.width > 0.0 {
                format!("{} x ", units.format_length(piece.width))
            } else {
                String::new()
            };
            format!(
                "NOT CUT: {}, {size}{}: {why} in the price book.",
                piece.label,
                units.format_length(piece.length)
            )
        })
        .collect()
}

/// What it comes to, and the cautions.
fn words(title: &str, points: Vec<String>, paper: Paper) -> Vec<Drawing> {
    let words = Sheet {
        title: title.to_owned(),
        blocks: vec![
            Block::Heading("What it comes to".to_owned()),
            Block::Points(points.into_iter().map(Point::dashed).collect()),
            cautions_heading(),
            cautions(),
        ],
    };
    unheaded(&words, paper)
}
