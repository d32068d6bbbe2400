//! Lists on upright paper, over as many pages as they take.

use super::drawing::Drawing;
use super::flow::{Chapter, flow};
use super::labels::Rectangle;
use super::page_head::{HEAD, MARGIN, head};
use super::{Block, Paper, Sheet};

/// Heights of words that are tried, mm: the largest at which the widest table stands on the page.
const WORDS: [f64; 5] = [3.0, 2.7, 2.4, 2.1, 1.8];

/// The same for what stands on one page: a short one is set larger.
const ONE_PAGE: [f64; 7] = [4.0, 3.5, 3.0, 2.7, 2.4, 2.1, 1.8];

/// Most pages of a list: more rows than any season has.
const MAX_PAGES: usize = 512;

/// A sheet's blocks on upright pages, each with its head. `shows` says what the pages are about. Blanks are left out.
///
/// # Units
/// Millimeters of paper.
#[must_use]
pub fn list_pages(sheet: &Sheet, shows: &str, paper: Paper) -> Vec<Drawing> {
    headed(unheaded(sheet, paper), &sheet.title, shows, paper)
}

/// The same without heads, for pages that others follow.
pub(super) fn unheaded(sheet: &Sheet, paper: Paper) -> Vec<Drawing> {
    WORDS
        .iter()
        .find_map(|height| set_at(sheet, paper, *height, MAX_PAGES))
        .unwrap_or_default()
}

/// The same on one page, its words as small as that takes, or `None` where even the least are too large.
#[must_use]
pub(super) fn one_page(sheet: &Sheet, shows: &str, paper: Paper) -> Option<Drawing> {
    let set = ONE_PAGE
        .iter()
        .find_map(|height| set_at(sheet, paper, *height, 1))?;
    headed(set, &sheet.title, shows, paper).pop()
}

/// The room for words on an upright page.
pub(super) fn inside(paper: Paper) -> Rectangle {
    let [width, height] = paper.size_mm();
    [MARGIN, MARGIN + HEAD, width - MARGIN, height - MARGIN]
}

/// Pages with words of one height; `None` where they take more than so many.
fn set_at(sheet: &Sheet, paper: Paper, height: f64, most: usize) -> Option<Vec<Drawing>> {
    let blocks: Vec<Block> = sheet
        .blocks
        .iter()
        .filter(|block| !matches!(block, Block::Blanks(_)))
        .cloned()
        .collect();
    let chapters = [Chapter { blocks, from: 0 }];
    let mut pages = 1;
    while pages <= most {
        let columns = vec![inside(paper); pages];
        if let Some(mut set) = flow(&chapters, &columns, height) {
            while set.len() > 1 && set.last().is_some_and(|page| page.items.is_empty()) {
                set.pop();
            }
            return Some(set);
        }
        pages *= 2;
    }
    None
}

/// Pages with their heads and numbers.
pub(super) fn headed(pages: Vec<Drawing>, title: &str, shows: &str, paper: Paper) -> Vec<Drawing> {
    let of = pages.len();
    let numbered = pages.into_iter().enumerate();
    numbered
        .map(|(index, part)| {
            let counted = format!("page {} of {of}", index + 1);
            let mut page = Drawing {
                title: format!("{title}, {counted}"),
                size: paper.size_mm(),
                items: Vec::new(),
            };
            page.put(part, [0.0; 2]);
            head(&mut page, title, shows, &counted);
            page
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::{Column, Item, Table};
    use super::*;

    #[test]
    fn long_lists_go_over_pages_and_lose_nothing() {
        let sheet = |rows: usize| Sheet {
            title: "A list".to_owned(),
            blocks: vec![
                Block::Heading("Rows".to_owned()),
                Block::Table(Table {
                    columns: vec![Column::words("What"), Column::numbers("How many")],
                    rows: (0..rows)
                        .map(|k| {
                            vec![
                                format!("row-{k}-of a list with long words in it"),
                                k.to_string(),
                            ]
                        })
                        .collect(),
                    by_hand: false,
                }),
            ],
        };
        for (rows, several) in [(3, false), (400, true)] {
            let pages = list_pages(&sheet(rows), "all", Paper::A4);
            assert_eq!(pages.len() > 1, several);
            let mut found = 0;
            for page in &pages {
                let [left, top, right, bottom] = page.bounds();
                assert!(left >= 0.0 && top >= 0.0 && right <= 210.0 && bottom <= 297.0);
                let words = page.items.iter().filter(
                    |item| matches!(item, Item::Text { text, .. } if text.starts_with("row-")),
                );
                found += words.count();
            }
            assert_eq!(found, rows);
        }
        assert!(one_page(&sheet(3), "all", Paper::Letter).is_some());
        assert!(one_page(&sheet(400), "all", Paper::Letter).is_none());
    }
}
