//! Calendars read back by a parser that is independent of the writer.

use super::*;
use jiff::civil::{date, datetime, time};
use proptest::prelude::*;

/// Octets of a line (RFC 5545, 3.1).
const OCTETS: usize = 75;

const STAMP: DateTime = datetime(2026, 9, 1, 6, 30, 0, 0);

fn event(index: usize, text: &str) -> Event {
    Event {
        uid: format!("{index}@hulltent"),
        summary: text.to_owned(),
        description: format!("about {text}"),
        location: "crew 1".to_owned(),
        date: date(2026, 10, 5),
        begins: time(8, 0, 0, 0),
        ends: time(10, 35, 0, 0),
    }
}

/// Text as RFC 5545, 3.3.11 reads it.
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

/// Writes events, holds the file to RFC 5545, 3.1 and each event's text to `wanted`: summary and description.
fn check(events: &[Event], wanted: &[(String, String)]) {
    let text = ical(events, STAMP).unwrap();
    assert_eq!(text, ical(events, STAMP).unwrap());
    assert!(
        text.starts_with("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//hulltent//season//EN\r\n"),
        "{text}"
    );
    assert!(text.ends_with("END:VCALENDAR\r\n"));
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
    assert_eq!(text.matches('\r').count(), text.matches("\r\n").count());
    for line in text.split_terminator("\r\n") {
        assert!(
            line.len() <= OCTETS && line.len() > 1,
            "{} octets: {line}",
            line.len()
        );
        assert!(!line.contains(char::is_control), "{line:?}");
    }
    let calendars: Vec<_> = ::ical::IcalParser::new(text.as_bytes()).collect();
    assert_eq!(calendars.len(), 1);
    let found = &calendars[0].as_ref().unwrap().events;
    assert_eq!(found.len(), events.len());
    for ((found, event), (summary, description)) in found.iter().zip(events).zip(wanted) {
        let of = |name: &str| {
            let own: Vec<_> = found
                .properties
                .iter()
                .filter(|own| own.name == name)
                .collect();
            assert_eq!(own.len(), 1, "{name}");
            assert!(own[0].params.is_none());
            unescaped(own[0].value.as_deref().unwrap_or_default())
        };
        assert_eq!(&of("SUMMARY"), summary);
        assert_eq!(&of("DESCRIPTION"), description);
        assert_eq!(of("UID"), event.uid);
        assert_eq!(of("LOCATION"), event.location);
        assert_eq!(of("DTSTAMP"), "20260901T063000Z");
        assert_eq!(of("DTSTART"), "20261005T080000");
        assert_eq!(of("DTEND"), "20261005T103500");
    }
}

#[test]
fn another_parser_reads_the_same() {
    let names = [
        "Wren".to_owned(),
        "a, b; c\\d \"e\": f=g".to_owned(),
        "two\nlines, \\n is no end of a line".to_owned(),
        "Größe Øya 船 ".repeat(20).trim_end().to_owned(),
        "x".repeat(300),
        "word ".repeat(60).trim_end().to_owned(),
        "\u{1f6e5}".repeat(70),
        format!("{}{}end", "é".repeat(200), " ".repeat(60)),
        "colon: semi; BEGIN:VEVENT\nEND:VCALENDAR".to_owned(),
    ];
    let events: Vec<Event> = names
        .iter()
        .enumerate()
        .map(|(index, name)| event(index, name))
        .collect();
    let wanted: Vec<_> = names
        .iter()
        .map(|name| (name.clone(), format!("about {name}")))
        .collect();
    check(&events, &wanted);
}

#[test]
fn what_a_calendar_may_not_hold_is_left_out() {
    let cases = [
        (
            "bell\u{7} nul\u{0} escape\u{1b} delete\u{7f} next\u{85}line\u{9f}s",
            "bell nul escape delete nextlines",
        ),
        ("the writer's own\u{1} mark", "the writer's own mark"),
        ("tab\tand\u{a0}hard\u{2003}spaces", "tab and hard spaces"),
        ("a\r\nb\rc\nd", "a\nb\nc\nd"),
    ];
    for (text, wanted) in cases {
        check(
            &[event(0, text)],
            &[(wanted.to_owned(), format!("about {wanted}"))],
        );
    }
}

#[test]
fn empty_text_is_left_out() {
    let bare = Event {
        description: String::new(),
        location: "\u{7}".to_owned(),
        ..event(0, "Wren")
    };
    let text = ical(&[bare], STAMP).unwrap();
    assert!(
        text.contains("SUMMARY:Wren\r\n")
            && !text.contains("DESCRIPTION")
            && !text.contains("LOCATION"),
        "{text}"
    );
    assert!(
        ical(&[], STAMP)
            .unwrap()
            .ends_with("EN\r\nEND:VCALENDAR\r\n")
    );
}

#[test]
fn what_is_wrong_is_told_all_at_once() {
    let unnamed = Event {
        uid: " \u{7}".to_owned(),
        ..event(0, "a")
    };
    let stands = Event {
        ends: time(8, 0, 0, 5),
        ..event(1, "b")
    };
    let twice = Event {
        ends: time(7, 0, 0, 0),
        ..event(1, "c")
    };
    let errors = ical(&[unnamed, stands, twice, event(2, "d")], STAMP).unwrap_err();
    let wanted = [
        EventError::NoUid(0),
        EventError::Ends(1, time(8, 0, 0, 0), time(8, 0, 0, 5)),
        EventError::SameUid(2, "1@hulltent".to_owned()),
        EventError::Ends(2, time(8, 0, 0, 0), time(7, 0, 0, 0)),
    ];
    assert_eq!(errors, wanted);
}

/// The twin that must fail: left alone, the writer makes another file each time.
#[test]
fn a_writer_left_alone_writes_another_file_each_time() {
    let alone = || {
        let mut calendar = Calendar::new();
        calendar.push(icalendar::Event::new().summary("Wren").done());
        calendar.to_string()
    };
    assert_ne!(alone(), alone());
}

/// The twin that must fail: it folds behind spaces, and a reader that trims lines loses them.
#[test]
fn a_writer_left_alone_loses_spaces() {
    let text = "word ".repeat(60);
    let text = text.trim_end();
    let mut calendar = Calendar::new();
    calendar.push(icalendar::Event::new().uid("a").summary(text).done());
    let written = calendar.to_string();
    let read = ::ical::IcalParser::new(written.as_bytes())
        .next()
        .unwrap()
        .unwrap();
    let summary = read.events[0]
        .properties
        .iter()
        .find(|own| own.name == "SUMMARY")
        .unwrap();
    assert_ne!(summary.value.as_deref(), Some(text));
}

/// More spaces than a line has room for: folded all the same.
#[test]
fn spaces_alone_are_folded() {
    let text = format!("a{}b", " ".repeat(300));
    let written = ical(&[event(0, &text)], STAMP).unwrap();
    assert!(
        written
            .split_terminator("\r\n")
            .all(|line| line.len() <= OCTETS),
        "{written}"
    );
    assert!(
        written
            .replace("\r\n ", "")
            .contains(&format!("SUMMARY:{text}\r\n"))
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    /// Letters of one to four octets, single spaces, ends of lines and what is escaped.
    #[test]
    fn any_text_reads_back(words in prop::collection::vec("[a-zé船\u{1f6e5},;:\\\\\"\n]{1,90}", 1..12)) {
        let text = format!("<{}>", words.join(" "));
        check(&[event(0, &text)], &[(text.clone(), format!("about {text}"))]);
    }

    /// No text stops the writer or makes a line too long.
    #[test]
    fn no_text_stops_the_writer(text in "[é船 \t\u{2003}a]{0,600}") {
        let written = ical(&[event(0, &text)], STAMP).unwrap();
        prop_assert!(written.split_terminator("\r\n").all(|line| line.len() <= OCTETS));
        let unfolded = written.replace("\r\n ", "");
        let wanted: String = text.chars().map(|letter| if letter.is_whitespace() { ' ' } else { letter }).collect();
        let described = format!("\r\nDESCRIPTION:about {wanted}\r\n");
        prop_assert!(unfolded.contains(&described));
    }
}
