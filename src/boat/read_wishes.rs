//! What the user decided about the frame beforehand, from the file.

use super::check::Checker;
use super::file::{FrameFile, RidgeFile};
use super::read_things::{HIGHEST, on_deck};
use super::{Boat, FrameWishes, PinnedPost, PinnedStrap, RidgeWish};

/// A post this near to an end of the boat is no more than its edge, m.
const PIN_FROM_END: f64 = 0.3;

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
    for (index, post) in file.posts.iter().enumerate() {
        let pins = PIN_FROM_END..=boat.length - PIN_FROM_END;
        let middle = 0.5 * boat.length;
        let at = format!("frame.posts[{index}]");
        let station = check.required_length(&format!("{at}.station"), &post.station, pins, middle);
        if posts
            .iter()
            .any(|other| (other.station - station).abs() < 0.1)
        {
            check.problem(
                &format!("{at}.station"),
                "two pinned posts stand at the same station",
                "remove one of them",
            );
            continue;
        }
        posts.push(PinnedPost {
            station,
            cap: check
                .length(&format!("{at}.cap"), &post.cap, datum..=datum + HIGHEST)
                .map(|cap| cap - datum),
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
            post: check.required_length(&format!("{at}.post"), &strap.post, on_deck(boat), 1.0),
            station: check.required_length(
                &format!("{at}.station"),
                &strap.station,
                on_deck(boat),
                1.0,
            ),
            side: strap.side,
        });
    }
    FrameWishes {
        ridge,
        only_pinned: file.only_pinned,
        posts,
        straps,
    }
}
