//! A calendar as iCalendar (RFC 5545): floating local times, no clock and no chance in it.
//!
//! The `icalendar` crate sets the order of lines and the backslashes. Left alone it would put the clock's time and a random
//! UID where an event has none of its own, so every event has both. Its folding (0.17.17) counts letters where it means
//! octets: beside letters of several octets it may go on for ever, and a fold may fall behind a space, which some readers
//! then lose. So it is shown no white space, and lines are folded here.

#[cfg(test)]
mod tests;

use icalendar::{Calendar, Component, Property};
use jiff::civil::{Date, DateTime, Time};
use std::collections::BTreeSet;

/// What a calendar shows on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// The same for the same event in every calendar that is written, and no other's.
    pub uid: String,
    /// What.
    pub summary: String,
    /// More about it; left out where empty.
    pub description: String,
    /// Where, or who; left out where empty.
    pub location: String,
    /// On which day.
    pub date: Date,
    /// From when.
    pub begins: Time,
    /// Until when, on the same day.
    pub ends: Time,
}

/// What is wrong with an event.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EventError {
    /// It has no name.
    #[error("event {0} has no UID")]
    NoUid(usize),
    /// It has the name of an earlier one.
    #[error("event {0} has the UID of an earlier one: '{1}'")]
    SameUid(usize, String),
    /// It takes no time.
    #[error("event {0} ends at {2} and begins at {1}")]
    Ends(usize, Time, Time),
}

/// Who wrote it.
const PRODUCT: &str = "-//hulltent//season//EN";

/// Octets of a line without its end (RFC 5545, 3.1).
const LINE: usize = 75;

/// Stands for a space while lines are written. Text is freed of control characters before.
const SPACE: char = '\u{1}';

/// Events as an iCalendar file. `stamp` is the time at which it is written, in UTC. Control characters are left out of text,
/// but for ends of lines; tabs and other white space become spaces.
///
/// # Errors
/// Every event without a UID of its own, or that does not end after its begin; counted from 0.
pub fn ical(events: &[Event], stamp: DateTime) -> Result<String, Vec<EventError>> {
    check(events)?;
    let mut calendar = Calendar::empty();
    calendar.append_property(Property::new("VERSION", "2.0"));
    calendar.append_property(Property::new("PRODID", PRODUCT));
    for event in events {
        let at = |time: Time| date_time(event.date.to_datetime(time));
        let mut entry = icalendar::Event::new();
        entry
            .uid(&plain(&event.uid))
            .append_property(Property::new("DTSTAMP", format!("{}Z", date_time(stamp))))
            .append_property(Property::new("DTSTART", at(event.begins)))
            .append_property(Property::new("DTEND", at(event.ends)));
        let texts = [
            ("SUMMARY", &event.summary),
            ("DESCRIPTION", &event.description),
            ("LOCATION", &event.location),
        ];
        for (name, text) in texts {
            let text = plain(text);
            if !text.is_empty() {
                entry.append_property(Property::new(name, text));
            }
        }
        calendar.push(entry.done());
    }
    let written = calendar
        .to_string()
        .replace("\r\n ", "")
        .replace(SPACE, " ");
    Ok(written.split_terminator("\r\n").map(folded).collect())
}

fn check(events: &[Event]) -> Result<(), Vec<EventError>> {
    let mut errors = Vec::new();
    let mut seen = BTreeSet::new();
    for (index, event) in events.iter().enumerate() {
        let uid = plain(&event.uid);
        if uid.trim_matches(SPACE).is_empty() {
            errors.push(EventError::NoUid(index));
        } else if !seen.insert(uid) {
            errors.push(EventError::SameUid(index, event.uid.clone()));
        }
        // A second is the least that is written.
        if date_time(event.date.to_datetime(event.ends))
            <= date_time(event.date.to_datetime(event.begins))
        {
            errors.push(EventError::Ends(index, event.begins, event.ends));
        }
    }
    if errors.is_empty() {
        Ok(())
    } else {
        Err(errors)
    }
}

/// A date and time as RFC 5545, 3.3.5 writes them.
fn date_time(at: DateTime) -> String {
    at.strftime("%Y%m%dT%H%M%S").to_string()
}

/// Text without what a calendar may not hold, its spaces as [`SPACE`].
fn plain(text: &str) -> String {
    let ends = text.replace("\r\n", "\n").replace('\r', "\n");
    let letters = ends.chars().filter_map(|letter| match letter {
        '\n' => Some('\n'),
        '\t' => Some(SPACE),
        letter if letter.is_control() => None,
        letter if letter.is_whitespace() => Some(SPACE),
        letter => Some(letter),
    });
    letters.collect()
}

/// A line with its end, folded within its octets between letters, and between letters other than spaces where there are.
fn folded(line: &str) -> String {
    let mut text = String::with_capacity(line.len() + line.len() / LINE * 3 + 2);
    let mut rest = line;
    let mut room = LINE;
    while rest.len() > room {
        let places = || {
            (1..=room)
                .rev()
                .filter(|place| rest.is_char_boundary(*place))
        };
        let bare = |place: &usize| {
            let (before, after) = rest.split_at(*place);
            !before.ends_with(' ') && !after.starts_with(' ')
        };
        let place = places()
            .find(bare)
            .or_else(|| places().next())
            .unwrap_or(rest.len());
        let (before, after) = rest.split_at(place);
        text.push_str(before);
        text.push_str("\r\n ");
        rest = after;
        // The space that marks the fold is one of the next line's octets.
        room = LINE - 1;
    }
    text.push_str(rest);
    text.push_str("\r\n");
    text
}
