//! Quotes that are opened and not closed: without care each would take in all rows behind it.

use super::cells::CellProblem;
use std::borrow::Cow;

/// The text with those rows blanked in which a quote is opened that nothing closes. Blanked rows are told, and still count
/// as rows.
pub(super) fn without_open_quotes(text: &str, delimiter: u8) -> (Cow<'_, str>, Vec<CellProblem>) {
    let mut problems = Vec::new();
    let mut kept = Cow::Borrowed(text);
    let mut scan = Scan::new(text.as_bytes(), delimiter);
    let (mut breaks, mut counted) = (0, 0);
    while let Some(OpenQuote { row, open }) = scan.next_open() {
        let rest = text.get(open..).unwrap_or_default();
        let end = rest.find('\n').map_or(text.len(), |length| open + length);
        let passed = text.get(counted..open).unwrap_or_default();
        breaks += passed.matches('\n').count();
        counted = open;
        problems.push(CellProblem::of_row(
            breaks - scan.within.min(breaks) + 1,
            "a quote is opened and not closed, the row is left out",
            "close it before the next comma, or take it away; an inch mark within quotes is written twice",
        ));
        kept.to_mut()
            .replace_range(row..end, &" ".repeat(end - row));
        scan.place = end;
    }
    (kept, problems)
}

/// A quote that is opened and not closed, bytes from the begin of the text.
struct OpenQuote {
    /// Where its row begins.
    row: usize,
    /// Where it stands.
    open: usize,
}

/// A way through a list, row by row.
struct Scan<'a> {
    bytes: &'a [u8],
    delimiter: u8,
    /// Cells of the headings.
    columns: usize,
    place: usize,
    /// Line breaks so far within quotes that are closed.
    within: usize,
}

impl<'a> Scan<'a> {
    fn new(bytes: &'a [u8], delimiter: u8) -> Scan<'a> {
        let head = bytes.split(|byte| *byte == b'\n').next();
        let marks = head.map_or(0, |head| count(head, delimiter));
        Scan {
            bytes,
            delimiter,
            columns: marks + 1,
            place: 0,
            within: 0,
        }
    }

    fn at(&self, place: usize) -> Option<u8> {
        self.bytes.get(place).copied()
    }

    /// The next quote that is opened and neither closed on its row nor closed cleanly on a later one. One that is closed
    /// cleanly on a later row, by an inch mark there, is told by the cells that it took in: the row lacks them.
    fn next_open(&mut self) -> Option<OpenQuote> {
        while self.place < self.bytes.len() {
            let row = self.place;
            let (mut cells, mut breaks) = (1, 0);
            let mut taking = None;
            let mut is_begin = true;
            while let Some(byte) = self.at(self.place).filter(|byte| *byte != b'\n') {
                if is_begin && byte == b'"' {
                    let open = self.place;
                    let Some(end) = self.closing(open) else {
                        self.within += breaks;
                        return Some(OpenQuote { row, open });
                    };
                    let quoted = self.bytes.get(open..end).unwrap_or_default();
                    let mut lines = quoted.split(|byte| *byte == b'\n');
                    let holds_cells = |line| count(line, self.delimiter) > 0;
                    if lines.next().is_some_and(holds_cells) && lines.next().is_some() {
                        taking = taking.or(Some((open, breaks)));
                    }
                    breaks += count(quoted, b'\n');
                    self.place = end;
                } else {
                    cells += usize::from(byte == self.delimiter);
                    self.place += 1;
                }
                is_begin = byte == self.delimiter;
            }
            if let Some((open, breaks)) = taking
                && cells < self.columns
            {
                self.within += breaks;
                return Some(OpenQuote { row, open });
            }
            self.within += breaks;
            self.place += 1;
        }
        None
    }

    /// The place behind the quote that closes one. `None` where nothing does, or where text follows it on a later row.
    /// Text behind the closing quote of a cell on one row is taken as it stands.
    fn closing(&self, open: usize) -> Option<usize> {
        let mut place = open + 1;
        let mut is_later = false;
        loop {
            match (self.at(place)?, self.at(place + 1)) {
                (b'"', Some(b'"')) => place += 2,
                (b'"', next) => {
                    let is_clean = next.is_none_or(|next| {
                        next == self.delimiter || matches!(next, b'\r' | b'\n' | b' ')
                    });
                    return (is_clean || !is_later).then_some(place + 1);
                }
                (byte, _) => {
                    is_later |= byte == b'\n';
                    place += 1;
                }
            }
        }
    }
}

fn count(bytes: &[u8], wanted: u8) -> usize {
    bytes.iter().filter(|byte| **byte == wanted).count()
}
