//! Checks by hand on a made-up cover, and of the price book with its slips.

use super::prices::{Step, Unit, Use, read};
use super::*;
use std::collections::BTreeMap;

const FOOT: f64 = 0.3048;
const BOOK: &str = include_str!("../../assets/demo-prices.ron");

/// A cover with round numbers.
fn cover() -> Materials {
    let strap = |used_as, cut| StrapPiece { used_as, cut };
    Materials {
        film: FilmPiece {
            width: 15.0 * FOOT,
            roll: 16.0 * FOOT,
            length: 20.0 * FOOT,
            sheets: 1,
            seams: 0.0,
            mass: 10.0,
        },
        posts: vec![
            PostPiece {
                id: "P1".to_owned(),
                cut: 4.0 * FOOT,
                height: 4.1 * FOOT,
            },
            PostPiece {
                id: "P2".to_owned(),
                cut: 5.0 * FOOT,
                height: 5.1 * FOOT,
            },
        ],
        straps: vec![
            strap(StrapUse::Ridge, 9.0),
            strap(StrapUse::Side, 2.0),
            strap(StrapUse::Side, 2.0),
            strap(StrapUse::Band, 14.0),
        ],
        buckles: 10,
        tape: 20.0,
        vents: 4,
        doors: 0,
        pads: BTreeMap::from([("over the corner".to_owned(), 3)]),
        heat: heat(20.0, 7.0e-3 * 0.0254, 5.0),
        pleats: 4,
        closures: 3,
        covered: 20.0,
        baled: 3.3,
    }
}

fn book() -> PriceBook {
    PriceBook::demo().expect("the demo price book")
}

#[test]
fn the_demo_says_that_it_is_invented() {
    let book = book();
    assert!(book.note.contains("invented"));
    assert!(BOOK.contains("INVENTED"));
    for used_for in Use::ALL {
        assert!(book.supply(used_for).is_some(), "{used_for:?}");
    }
}

#[test]
fn lines_are_what_a_pencil_says() {
    let (cover, book) = (cover(), book());
    let quote = Quote::new(&cover, PostKind::Lumber, &book, &Learned::default()).expect("a quote");
    let cost = |what: &str| {
        let line = quote.materials.iter().chain(&quote.labour);
        let found = line.clone().find(|line| line.what == what);
        found.map(|line| line.cost.0).expect(what)
    };
    // 20 ft of the 16 ft roll: 150 ft cost 253, 100 ft 179; 4 % waste.
    assert_eq!(
        cost("film"),
        (100.0f64 * 20.0 * 1.04 * 253.0 / 150.0).round() as i64
    );
    // 9 ft and two kerfs of 8 ft lumber at 4.10, 5 % waste, four winters.
    let lumber: f64 = (9.0 + 2.0 / 96.0) / 8.0 * 410.0 * 1.05 / 4.0;
    assert_eq!(cost("posts of 2x4"), lumber.round() as i64);
    // Two caps of a pack of 25 at 62, six winters.
    assert_eq!(
        cost("top caps"),
        (2.0f64 * 1.02 * 6200.0 / 25.0 / 6.0).round() as i64
    );
    // 4 m of 1500 ft at 78.
    assert_eq!(
        cost("side straps"),
        (4.0f64 * 1.03 * 7800.0 / 457.2).round() as i64
    );
    // 39.5036 kJ/m2 of 20 m2 through a fiftieth of 46.33 MJ/kg; a pack is 20 lb.
    let gas: f64 = 20.0 * 39_503.6 / 0.02 / 46.33e6;
    assert!((amount(&cover, Use::Gas, &book) - gas).abs() < 1e-4);
    assert_eq!(
        cost("propane"),
        (gas * 1.05 * 2300.0 / 9.071_847_4).round() as i64
    );
    // Frame: 15 + 2 x 9 + 3 x 4 minutes at 31 an hour.
    assert_eq!(cost("frame"), (3100.0f64 * 45.0 / 60.0).round() as i64);
    // Every total is the sum of what stands above it.
    let sum = |lines: &[Line]| lines.iter().map(|line| line.cost.0).sum::<i64>();
    assert_eq!(sum(&quote.materials), quote.materials_cost.0);
    assert_eq!(sum(&quote.labour), quote.labour_cost.0);
    let costs = quote.materials_cost + quote.labour_cost;
    assert_eq!(quote.mark_up, costs.part(0.32));
    assert_eq!(costs + quote.mark_up + quote.to_minimum, quote.net);
    assert_eq!(quote.net + quote.tax, quote.total);
    assert_eq!(quote.tax, quote.net.part(0.07));
}

#[test]
fn the_least_price_holds() {
    let dear = read(&BOOK.replace("minimum: 280", "minimum: 5000")).expect("a book");
    let learned = Learned::default();
    let quote = Quote::new(&cover(), PostKind::Lumber, &dear, &learned).expect("a quote");
    assert_eq!(quote.net, Money(500_000));
    assert!(quote.to_minimum > Money::ZERO);
}

#[test]
fn learned_hours_feed_the_quote() {
    let (cover, book) = (cover(), book());
    let frame = LearnedStep {
        factor: 1.5,
        error: 0.1,
        spread: 0.4,
        jobs: 12,
    };
    let learned = Learned {
        steps: BTreeMap::from([(Step::Frame, frame)]),
    };
    let plain = Quote::new(&cover, PostKind::Lumber, &book, &Learned::default()).expect("a quote");
    let taught = Quote::new(&cover, PostKind::Lumber, &book, &learned).expect("a quote");
    // The frame takes 0.75 h by the book.
    assert!((taught.hours - plain.hours - 0.375).abs() < 1e-12);
    assert_eq!((taught.spread, taught.learned_from), (Some(0.4), 12));
    assert_eq!((plain.spread, plain.learned_from), (None, 0));
}

#[test]
fn posts_that_are_set_to_height() {
    let (mut cover, book) = (cover(), book());
    let learned = Learned::default();
    let lines = |cover: &Materials| {
        let quote = Quote::new(cover, PostKind::Adjustable, &book, &learned).expect("a quote");
        let posts = quote
            .materials
            .iter()
            .filter(|line| line.what.contains("posts"));
        let found: Vec<(f64, Unit, i64)> = posts
            .map(|line| (line.amount, line.unit, line.cost.0))
            .collect();
        found
    };
    // 26 over eight winters, twice.
    assert_eq!(lines(&cover), [(2.0, Unit::Pieces, 650)]);
    // One that none reaches is cut from lumber.
    if let Some(post) = cover.posts.first_mut() {
        post.cut = 9.0 * FOOT;
    }
    assert_eq!(lines(&cover).len(), 2);
}

#[test]
fn what_cannot_be_priced_is_said() {
    let (book, learned) = (book(), Learned::default());
    let mut wide = cover();
    wide.film.width = 40.0 * FOOT;
    let error = Quote::new(&wide, PostKind::Lumber, &book, &learned).expect_err("too wide");
    assert!(matches!(error, Unpriced::NoRoll { width, .. } if width == 40.0 * FOOT));
    let mut long = cover();
    long.posts
        .iter_mut()
        .for_each(|post| post.cut = 17.0 * FOOT);
    let error = Quote::new(&long, PostKind::Lumber, &book, &learned).expect_err("too long");
    assert!(matches!(error, Unpriced::NoLumber { post, .. } if post == "P1"));
}

/// Changes the demo price book; the problem must be told, at its place, with its hint.
fn check(from: &str, to: &str, path: &str, what: &str, hint: &str) {
    assert!(BOOK.contains(from), "{from}");
    let problems = read(&BOOK.replacen(from, to, 1)).expect_err(to);
    let found = problems.list.iter().find(|problem| {
        problem.path == path && problem.what.contains(what) && problem.hint.contains(hint)
    });
    assert!(
        found.is_some_and(|problem| problem.place.is_some()),
        "{to}: {problems}"
    );
}

#[test]
fn slips_in_a_price_book_are_told() {
    for (from, to, path, what, hint) in [
        (
            "price: 62",
            "price: 0",
            "supplies[0].price",
            "price of zero",
            "stock list",
        ),
        (
            "price: 62",
            "price: -2",
            "supplies[0].price",
            "out of range",
            "between",
        ),
        (
            "price: 62",
            "prise: 62",
            "supplies[0].prise",
            "unknown field",
            "price",
        ),
        (
            "\"20 lb\"",
            "\"20 lbf\"",
            "supplies[9].pack",
            "unknown unit",
            "did you mean",
        ),
        (
            "pack: \"25\"",
            "pack: \"25 ft\"",
            "supplies[0].pack",
            "not a number of pieces",
            "25",
        ),
        (
            "\"1500 ft\"",
            "\"1500\"",
            "supplies[2].pack",
            "no unit",
            "1500",
        ),
        (
            "[TopCap]",
            "[BaseCap]",
            "supplies",
            "nothing is there for TopCap",
            "uses: [TopCap]",
        ),
        (
            "[DropStrap, ",
            "[DropStrap, Vent, ",
            "supplies[3].uses",
            "not counted like",
            "of its own",
        ),
        (
            "code: \"USD\"",
            "code: \"$\"",
            "currency.code",
            "no code",
            "ISO 4217",
        ),
        ("mark_up: 0.32,", "", "mark_up", "missing", "add mark_up"),
        (
            "(step: Band",
            "(step: Frame",
            "labour.steps[2].step",
            "twice",
            "into one",
        ),
        (
            "winters: 4,",
            "winters: 0,",
            "posts.winters",
            "0 winters",
            "between",
        ),
        (
            "name: \"base cap\"",
            "name: \"top cap\"",
            "supplies[1].name",
            "two 'top cap'",
            "rename",
        ),
    ] {
        check(from, to, path, what, hint);
    }
    assert!(!read("PriceBook()").expect_err("empty").list.is_empty());
    assert!(!read("").expect_err("empty").list.is_empty());
}
