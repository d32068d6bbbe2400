//! What the user decided about the frame beforehand, from the file.

use super::check::Checker;
use super::file::{FrameFile, RidgeFile};
use super::kept::kept;
use super::read_things::HIGHEST;
use super::{Boat, FrameWishes, PinnedPost, PinnedStrap, RidgeWish};

/// Pinned posts nearer to each other than this are one that was written twice, m: less than the least distance that the
/// rules can ask for.
const ONE_POST: f64 = 0.04;

/// Longest number in a post's name, in digits.
const NAME_DIGITS: usize = 3;

/// Part of the beam that two ridges lie apart where the file does not say.
pub(super) const DEFAULT_SPACING: f64 = 0.5;

pub(super) fn wishes(
    file: &FrameFile,
    check: &mut Checker,
    boat: &Boat,
    datum: f64,
) -> FrameWishes {
    let ridge = match &file.ridge {
        None => RidgeWish::Free,
        Some(RidgeFile::Single) => RidgeWish::Single,
        Some(RidgeFile::Twin(twin)) => RidgeWish::Twin(
            check
                .length("frame.ridge.spacing", &twin.spacing, 0.2..=0.9 * boat.beam)
                .unwrap_or(DEFAULT_SPACING * boat.beam),
        ),
    };
    let mut posts: Vec<PinnedPost> = Vec::new();
    let mut names: Vec<String> = Vec::new();
    for (index, post) in file.posts.iter().enumerate() {
        let pins = covered(boat);
        let middle = 0.5 * boat.length;
        let at = format!("frame.posts[{index}]");
        let station = check.required_length(&format!("{at}.station"), &post.station, pins, middle);
        if posts
            .iter()
            .any(|other| (other.station - station).abs() < ONE_POST)
        {
            check.problem(
                &format!("{at}.station"),
                "two pinned posts stand at the same station",
                "remove one of them",
            );
            continue;
        }
        posts.push(PinnedPost {
            name: name(check, &format!("{at}.name"), &post.name, &mut names),
            name_port: name(
                check,
                &format!("{at}.name_port"),
                &post.name_port,
                &mut names,
            ),
            station,
            cap: check
                .length(&format!("{at}.cap"), &post.cap, datum..=datum + HIGHEST)
                .map(|cap| cap - datum),
            kept: kept(post.kept.as_ref(), check, &format!("{at}.kept")),
        });
    }
    posts.sort_by(|a, b| a.station.total_cmp(&b.station));
    if file.only_pinned && posts.is_empty() {
        check.problem(
            "frame.only_pinned",
            "only pinned posts are wanted, but none is pinned",
            "add frame: (posts: [(station: \"...\", cap: \"...\")])",
        );
    }
    let mut straps = Vec::new();
    for (index, strap) in file.straps.iter().enumerate() {
        let at = format!("frame.straps[{index}]");
        straps.push(PinnedStrap {
            post: check.required_length(&format!("{at}.post"), &strap.post, covered(boat), 1.0),
            station: check.required_length(
                &format!("{at}.station"),
                &strap.station,
                covered(boat),
                1.0,
            ),
            side: strap.side,
            kept: kept(strap.kept.as_ref(), check, &format!("{at}.kept")),
        });
    }
    FrameWishes {
        ridge,
        only_pinned: file.only_pinned,
        posts,
        straps,
    }
}

/// Stations that the film may cover, m: the hull, and what the film goes round beyond it. A plan puts posts and ends of
/// straps anywhere between.
fn covered(boat: &Boat) -> std::ops::RangeInclusive<f64> {
    let boxes = boat
        .boxes
        .iter()
        .filter(|thing| thing.film_goes_round)
        .flat_map(|thing| {
            let [aft, fore, _] = thing.rakes.map(f64::tan);
            [
                thing.from,
                thing.to,
                thing.from + aft * (thing.top - thing.base),
                thing.to - fore * (thing.top_fore - thing.base),
            ]
        });
    let tubes = boat.tubes.iter().flat_map(|tube| {
        let radius = 0.5 * tube.diameter;
        let ends = move |[x, ..]: &[f64; 3]| [x - radius, x + radius];
        tube.path.iter().flat_map(ends)
    });
    let (aft, fore) = boxes
        .chain(tubes)
        .fold((0.0, boat.length), |(aft, fore): (f64, f64), x| {
            (aft.min(x), fore.max(x))
        });
    aft - ROUNDING..=fore + ROUNDING
}

/// What a station may be off by having been written and read, m.
const ROUNDING: f64 = 1e-6;

/// A post's name: `P` and a number, as on every list, and never that of another.
fn name(
    check: &mut Checker,
    path: &str,
    name: &Option<String>,
    names: &mut Vec<String>,
) -> Option<String> {
    let name = name.as_ref()?;
    let digits = name.strip_prefix('P').unwrap_or_default();
    let number = (1..=NAME_DIGITS).contains(&digits.len())
        && digits.bytes().all(|digit| digit.is_ascii_digit())
        && !digits.starts_with('0');
    if !number {
        check.problem(
            path,
            format!("'{name}' is no name of a post"),
            "write P and a number, as P2",
        );
        return None;
    }
    if names.contains(name) {
        check.problem(
            path,
            format!("two posts are named {name}"),
            "give one of them a number of its own",
        );
        return None;
    }
    names.push(name.clone());
    Some(name.clone())
}
