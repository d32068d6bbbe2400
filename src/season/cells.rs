//! Lists as a spreadsheet makes them: a row of headings, then one row a thing; whatever is wrong is told with its row
//! and its column, and the other rows go on.

use super::formula::unguarded;
use super::open_quotes::without_open_quotes;
use crate::boat::suggest;
use std::fmt;

/// What is wrong with a cell, a row or a whole list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CellProblem {
    /// The row as the spreadsheet counts it, the headings being row 1; zero where the whole list is meant.
    pub row: usize,
    /// The heading of the column; empty where the whole row is meant.
    pub column: String,
    /// The place of the column from 0, where it has one.
    pub place: Option<usize>,
    /// What is wrong, in one sentence.
    pub what: String,
    /// What mends it.
    pub hint: String,
}

impl CellProblem {
    /// A problem with a whole row; row zero is the whole list.
    pub fn of_row(row: usize, what: impl Into<String>, hint: impl Into<String>) -> CellProblem {
        CellProblem {
            row,
            column: String::new(),
            place: None,
            what: what.into(),
            hint: hint.into(),
        }
    }

    /// Where it is: `row 12, column C (count)`.
    #[must_use]
    pub fn at(&self) -> String {
        match (self.row, self.place) {
            (0, _) => "the list".to_owned(),
            (row, Some(place)) => {
                format!("row {row}, column {} ({})", letters(place), self.column)
            }
            (row, None) if self.column.is_empty() => format!("row {row}"),
            (row, None) => format!("row {row}, column {}", self.column),
        }
    }
}

impl fmt::Display for CellProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}; {}", self.at(), self.what, self.hint)
    }
}

/// The letters of a spreadsheet's column, counted from 0: A to Z, AA ...
fn letters(mut place: usize) -> String {
    let mut letters = Vec::new();
    loop {
        letters.push(char::from(b'A' + (place % 26) as u8));
        match (place / 26).checked_sub(1) {
            Some(next) => place = next,
            None => break,
        }
    }
    letters.iter().rev().collect()
}

/// A list: its columns and its rows of cells.
#[derive(Debug, Clone, PartialEq)]
pub struct Cells {
    /// For each column that is known, in the order that the reader gave, its place in the list.
    places: Vec<(&'static str, Option<usize>)>,
    /// Rows with their numbers.
    rows: Vec<(usize, Vec<String>)>,
}

/// A row of a list.
#[derive(Debug, Clone, Copy)]
pub struct Row<'a> {
    /// As the spreadsheet counts it.
    pub number: usize,
    list: &'a Cells,
    cells: &'a [String],
}

/// What parts the cells, in the order of likelihood; spreadsheets set to a comma for decimals write semicolons.
const DELIMITERS: [u8; 3] = *b",;\t";

/// More rows than any yard has boats: what is longer is some other file.
const MAX_ROWS: usize = 20_000;

impl Cells {
    /// Splits a text into rows; `columns` are all that may be there, `required` those that must be. Rows that cannot be
    /// split are left out and told.
    ///
    /// # Errors
    /// The list has no headings that are known, or lacks one that is required.
    pub fn read(
        text: &str,
        columns: &[&'static str],
        required: &[&'static str],
    ) -> Result<(Cells, Vec<CellProblem>), Vec<CellProblem>> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let head = text.lines().next().unwrap_or_default();
        let count = |delimiter: &u8| head.bytes().filter(|byte| byte == delimiter).count();
        let delimiter = DELIMITERS
            .into_iter()
            .rev()
            .max_by_key(count)
            .unwrap_or(b',');
        let (text, mut problems) = without_open_quotes(text, delimiter);
        let text = text.as_ref();
        let mut reader = ::csv::ReaderBuilder::new()
            .delimiter(delimiter)
            .flexible(true)
            .has_headers(false)
            .trim(::csv::Trim::All)
            .from_reader(text.as_bytes());
        let mut headings: Option<Vec<String>> = None;
        let mut rows = Vec::new();
        let mut rows_before = RowCounter::default();
        loop {
            let start = reader.position().byte() as usize;
            let Some(record) = reader.records().next() else {
                break;
            };
            let number = rows_before.at(text, start);
            match record {
                Err(error) => problems.push(CellProblem::of_row(
                    number,
                    format!("the row cannot be read: {error}"),
                    "save the list as CSV, UTF-8",
                )),
                Ok(record) => {
                    let breaks = record.iter().map(|cell| cell.matches('\n').count());
                    rows_before.within += breaks.sum::<usize>();
                    let cells: Vec<String> = record
                        .iter()
                        .map(|cell| unguarded(cell).to_owned())
                        .collect();
                    if cells.iter().all(String::is_empty) {
                        continue;
                    }
                    match &headings {
                        None => headings = Some(cells),
                        Some(_) => rows.push((number, cells)),
                    }
                }
            }
            if rows.len() > MAX_ROWS {
                return Err(vec![CellProblem::of_row(
                    0,
                    format!("more than {MAX_ROWS} rows"),
                    "check that this is the list that you mean",
                )]);
            }
        }
        let headings = headings.unwrap_or_default();
        let places = places(&headings, columns, required, &mut problems)?;
        // Where a comma split a cell, all that follows stands in the wrong column.
        rows.retain(|(number, cells): &(usize, Vec<String>)| {
            let mut beyond = cells.iter().skip(headings.len());
            let extra = beyond.find(|cell| !cell.is_empty());
            problems.extend(extra.map(|extra| {
                CellProblem::of_row(
                    *number,
                    format!("'{extra}' stands beyond the last heading, the row is left out"),
                    "put cells that hold a comma into quotes",
                )
            }));
            extra.is_none()
        });
        Ok((Cells { places, rows }, problems))
    }

    /// The rows.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|(number, cells)| Row {
            number: *number,
            list: self,
            cells,
        })
    }
}

/// Counts rows as a spreadsheet does: blank lines are rows, breaks within quotes are none.
#[derive(Debug, Default)]
struct RowCounter {
    /// How far it has looked, bytes.
    looked: usize,
    /// Line breaks up to there.
    breaks: usize,
    /// Of them within quotes.
    within: usize,
}

impl RowCounter {
    /// The row of the record that starts at or after a byte; blank lines before it are passed over.
    fn at(&mut self, text: &str, start: usize) -> usize {
        let bytes = text.as_bytes();
        let blank = bytes
            .iter()
            .skip(start)
            .take_while(|byte| matches!(byte, b'\r' | b'\n'));
        let start = start + blank.count();
        let passed = bytes.get(self.looked..start).unwrap_or_default();
        self.breaks += passed.iter().filter(|byte| **byte == b'\n').count();
        self.looked = self.looked.max(start);
        self.breaks - self.within.min(self.breaks) + 1
    }
}

/// Where each known column stands. Headings may be in any order and case; unknown ones are told and left out.
fn places(
    headings: &[String],
    columns: &[&'static str],
    required: &[&'static str],
    problems: &mut Vec<CellProblem>,
) -> Result<Vec<(&'static str, Option<usize>)>, Vec<CellProblem>> {
    let plain = |text: &str| text.trim().to_lowercase().replace([' ', '-'], "_");
    for (place, heading) in headings.iter().enumerate().filter(|(_, h)| !h.is_empty()) {
        let name = plain(heading);
        let told = if !columns.contains(&name.as_str()) {
            let hint = match suggest(&name, columns.iter().copied()) {
                Some(near) => format!("did you mean '{near}'?"),
                None => format!("known are {}", columns.join(", ")),
            };
            Some((format!("unknown column '{heading}', left out"), hint))
        } else if headings
            .iter()
            .take(place)
            .any(|other| plain(other) == name)
        {
            let hint = "leave one of them".to_owned();
            Some((
                format!("there are two columns '{heading}', the first counts"),
                hint,
            ))
        } else {
            None
        };
        problems.extend(told.map(|(what, hint)| CellProblem {
            row: 1,
            column: heading.clone(),
            place: Some(place),
            what,
            hint,
        }));
    }
    let place = |column: &str| headings.iter().position(|heading| plain(heading) == column);
    let lacking: Vec<&str> = required
        .iter()
        .copied()
        .filter(|column| place(column).is_none())
        .collect();
    if !lacking.is_empty() {
        problems.push(CellProblem::of_row(
            1,
            format!("no column '{}'", lacking.join("', '")),
            format!(
                "the first row must hold headings, as: {}",
                columns.join(",")
            ),
        ));
        return Err(std::mem::take(problems));
    }
    Ok(columns
        .iter()
        .map(|column| (*column, place(column)))
        .collect())
}

impl Row<'_> {
    /// The text of a cell; empty where the list has no such column or the row ends before.
    #[must_use]
    pub fn text(&self, column: &str) -> &str {
        self.place(column)
            .and_then(|place| self.cells.get(place))
            .map_or("", |cell| cell.trim())
    }

    /// The same, where it is not empty.
    #[must_use]
    pub fn given(&self, column: &str) -> Option<&str> {
        Some(self.text(column)).filter(|text| !text.is_empty())
    }

    fn place(&self, column: &str) -> Option<usize> {
        let known = self.list.places.iter().find(|(name, _)| *name == column);
        known.and_then(|(_, place)| *place)
    }

    /// A problem of one of its cells.
    pub fn problem(
        &self,
        column: &str,
        what: impl Into<String>,
        hint: impl Into<String>,
    ) -> CellProblem {
        CellProblem {
            row: self.number,
            column: column.to_owned(),
            place: self.place(column),
            what: what.into(),
            hint: hint.into(),
        }
    }

    /// A cell that is read by a parser of quantities; a problem is noted.
    pub fn read<T>(
        &self,
        column: &str,
        problems: &mut Vec<CellProblem>,
        parse: impl FnOnce(&str) -> Result<T, (String, String)>,
    ) -> Option<T> {
        match parse(self.given(column)?) {
            Ok(value) => Some(value),
            Err((what, hint)) => {
                problems.push(self.problem(column, what, hint));
                None
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const COLUMNS: [&str; 3] = ["name", "count", "due"];

    fn read(text: &str) -> (Cells, Vec<CellProblem>) {
        Cells::read(text, &COLUMNS, &["name"]).expect(text)
    }

    #[test]
    fn lists_of_many_kinds_are_read() {
        for text in [
            "name,count,due\nA,2,x\n\nB,,\n",
            "\u{feff}Name;Count;Due\r\nA;2;x\r\n\r\nB;;\r\n",
            "name\tcount\tdue\nA\t2\tx\n\nB\n",
            "due,Name,COUNT\nx,\"A\",2\n,,\n,B,\n",
        ] {
            let (list, problems) = read(text);
            assert!(problems.is_empty(), "{problems:?}");
            let rows: Vec<_> = list.rows().collect();
            assert_eq!(rows.len(), 2, "{text}");
            assert_eq!((rows[0].text("name"), rows[0].text("count")), ("A", "2"));
            assert_eq!((rows[1].number, rows[1].text("name")), (4, "B"), "{text}");
            assert_eq!(rows[1].given("due"), None);
        }
        // A break within quotes is no row.
        let (list, _) = read("name,count\n\"A\nlong\",1\nB,2\n");
        let numbers: Vec<usize> = list.rows().map(|row| row.number).collect();
        assert_eq!(numbers, [2, 3]);
    }

    #[test]
    fn an_open_quote_takes_in_no_other_row() {
        for (text, open, kept) in [
            ("name,count\nA,1\n\"B,2\nC,3\nD,4\n", vec![3], "A C D"),
            ("name,count\n\"A,1\nB,\"2\"\nC,3\n", vec![2], "B C"),
            (
                "name,count\n\"A,1\n\"B\",2\n\"C,3\n\nD,4",
                vec![2, 4],
                "B D",
            ),
            (
                "name,count\n\"A\nlong\",1\n\"B,2\nC,3\n",
                vec![3],
                "A\nlong C",
            ),
            ("name,count\nA,\"1", vec![2], ""),
            // The inch mark of the next row would close it.
            (
                "name,count,beam\nA,1,8'\n\"B,2,7'\nC,3,7'6\",\nD,4,8'\n",
                vec![3],
                "A C D",
            ),
            (
                "name,count,note\n\"A, or\nB\",1,short\n",
                vec![],
                "A, or\nB",
            ),
            ("name,count\n\"A\nlong\",\"1\nB,2\n", vec![2], "B"),
            (
                "name,count\n\"A \"\"x\"\"\",1\nB 5\",2\n",
                vec![],
                "A \"x\" B 5\"",
            ),
        ] {
            let (list, problems) = read(text);
            // Headings that this reader does not know are told, too.
            let told = problems.iter().filter(|problem| problem.row > 1);
            assert!(told.clone().all(|problem| problem.what.contains("quote")));
            let rows: Vec<usize> = told.map(|problem| problem.row).collect();
            assert_eq!(rows, open, "{text}");
            let names: Vec<String> = list.rows().map(|row| row.text("name").to_owned()).collect();
            assert_eq!(names.join(" "), kept, "{text}");
        }
    }

    #[test]
    fn guarded_text_reads_back() {
        let (list, _) = read("name,count\n'=1+1,-2\n");
        let row = list.rows().next().unwrap();
        assert_eq!((row.text("name"), row.text("count")), ("=1+1", "-2"));
    }

    #[test]
    fn slips_are_told_with_row_and_column() {
        let (list, problems) = read("name,cuont,count\nA,1,2\nB,1,2,3\n");
        assert!(problems[0].to_string().contains("row 1, column B (cuont)"));
        assert!(problems[0].hint.contains("did you mean 'count'"));
        assert!(
            problems[1]
                .to_string()
                .starts_with("row 3: '3' stands beyond")
        );
        // A row whose cells may have moved is told and not used.
        let kept: Vec<String> = list.rows().map(|row| row.text("name").to_owned()).collect();
        assert_eq!(kept, ["A"]);
        let missing = Cells::read("boat,count\nA,1\n", &COLUMNS, &["name"]).expect_err("no name");
        assert!(
            missing
                .iter()
                .any(|problem| problem.what.contains("no column 'name'"))
        );
        assert!(Cells::read("", &COLUMNS, &["name"]).is_err());
        for (place, wanted) in [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA")] {
            assert_eq!(letters(place), wanted);
        }
    }
}
