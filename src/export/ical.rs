//! A calendar as iCalendar (RFC 5545): floating local times, no clock and no chance in it.

use icalendar::{Calendar, Component, EventLike, Property};
use jiff::civil::{Date, Time};

/// What a calendar shows on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// The same for the same event in every calendar that is written, and no other's.
    pub uid: String,
    /// What.
    pub summary: String,
    /// More about it.
    pub description: String,
    /// Where, or who.
    pub location: String,
    /// On which day.
    pub date: Date,
    /// From when.
    pub begins: Time,
    /// Until when.
    pub ends: Time,
}

/// Events as an iCalendar file. What RFC 5545 calls the time at which an event was written is the event's own begin: the
/// same season gives the same bytes whenever it is written.
#[must_use]
pub fn ical(events: &[Event]) -> String {
    let mut calendar = Calendar::empty();
    calendar.append_property(Property::new("VERSION", "2.0"));
    calendar.append_property(Property::new("PRODID", "-//hulltent//season//EN"));
    for event in events {
        let at = |time: Time| {
            format!(
                "{}T{}",
                event.date.strftime("%Y%m%d"),
                time.strftime("%H%M%S")
            )
        };
        let mut entry = icalendar::Event::new();
        entry
            .uid(&plain(&event.uid))
            .summary(&plain(&event.summary))
            .description(&plain(&event.description))
            .location(&plain(&event.location))
            .append_property(Property::new("DTSTAMP", format!("{}Z", at(event.begins))))
            .append_property(Property::new("DTSTART", at(event.begins)))
            .append_property(Property::new("DTEND", at(event.ends)));
        calendar.push(entry.done());
    }
    calendar.to_string()
}

/// Text without what a calendar may not hold.
fn plain(text: &str) -> String {
    text.chars().filter(|letter| !letter.is_control()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::{date, time};

    /// Text as RFC 5545 section 3.3.11 unescapes it.
    fn unescaped(text: &str) -> String {
        let mut found = String::new();
        let mut letters = text.chars();
        while let Some(letter) = letters.next() {
            match letter {
                '\\' => match letters.next() {
                    Some('n' | 'N') => found.push('\n'),
                    other => found.extend(other),
                },
                letter => found.push(letter),
            }
        }
        found
    }

    /// Read back by a parser that is independent of the writer.
    #[test]
    fn another_parser_reads_the_same() {
        let names = [
            "Wren".to_owned(),
            "a, b; c\\d \"e\"".to_owned(),
            "Größe Øya 船".repeat(20),
            "x".repeat(300),
        ];
        let events: Vec<Event> = names
            .iter()
            .enumerate()
            .map(|(index, name)| Event {
                uid: format!("{index}@hulltent"),
                summary: name.clone(),
                description: format!("about {name}"),
                location: "crew A".to_owned(),
                date: date(2026, 10, 5 + index as i8),
                begins: time(8, 0, 0, 0),
                ends: time(10, 35, 0, 0),
            })
            .collect();
        let text = ical(&events);
        assert_eq!(text, ical(&events));
        assert!(text.contains("PRODID:-//hulltent//season//EN\r\n"));
        assert_eq!(text.matches("PRODID").count(), 1);
        for line in text.split("\r\n") {
            assert!(line.len() <= 75, "{} octets: {line}", line.len());
        }
        let calendars: Vec<_> = ical::IcalParser::new(text.as_bytes()).collect();
        assert_eq!(calendars.len(), 1);
        let found = &calendars[0].as_ref().unwrap().events;
        assert_eq!(found.len(), events.len());
        for (found, event) in found.iter().zip(&events) {
            // This parser loses a blank that follows a fold; `tests/references/read_calendar.py` reads it with another.
            let dense = |text: &str| text.replace(' ', "");
            let of = |name: &str| {
                let own: Vec<_> = found.properties.iter().filter(|p| p.name == name).collect();
                assert_eq!(own.len(), 1, "{name}");
                unescaped(own[0].value.as_deref().unwrap_or_default())
            };
            assert_eq!(dense(&of("SUMMARY")), dense(&event.summary));
            assert_eq!(dense(&of("DESCRIPTION")), dense(&event.description));
            assert_eq!(of("UID"), event.uid);
            assert_eq!(
                of("DTSTART"),
                format!("202610{:02}T080000", event.date.day())
            );
            assert_eq!(of("DTEND"), format!("202610{:02}T103500", event.date.day()));
        }
    }

    #[test]
    fn an_empty_calendar_is_one() {
        let text = ical(&[]);
        assert!(text.starts_with("BEGIN:VCALENDAR\r\n") && text.ends_with("END:VCALENDAR\r\n"));
    }
}
