//! Rows over threads that are laid by hand.

use crate::boat::Hand;
use crate::film::rows::rows;
use crate::film::threads::Thread;
use crate::geom::geodesic::Walk;
use nalgebra::{Point3, Rotation3, Vector3};

/// A straight thread to port in the plane z = 0, turned toward the bow, m and rad.
fn thread(along: f64, length: f64, turn: f64) -> Thread {
    let heading = Vector3::new(turn.sin(), turn.cos(), 0.0);
    let right = heading.cross(&Vector3::z());
    let from = Point3::new(along, 0.0, 0.0);
    Thread {
        along,
        walk: Walk {
            points: vec![from, from + heading * length],
            runs: vec![0.0, length],
            rights: vec![right; 2],
            triangles: vec![0; 2],
            at_rim: true,
        },
    }
}

type Spans<'a> = &'a [(&'a [usize], &'a [f64])];

/// Threads as (along, length, turn); then for each row at the runs 0.4, 0.8, ... its spans.
fn check(threads: &[(f64, f64, f64)], wanted: &[Spans], wanted_met: &[bool]) {
    let threads: Vec<Thread> = threads.iter().map(|(a, l, t)| thread(*a, *l, *t)).collect();
    let (rows, met) = rows(&threads, Hand::Port, 0.4);
    assert_eq!(met, wanted_met);
    assert_eq!(rows.len(), wanted.len(), "{rows:?}");
    for (row, wanted) in rows.iter().zip(wanted) {
        assert_eq!(row.spans.len(), wanted.len(), "{row:?}");
        for (span, (threads, widths)) in row.spans.iter().zip(*wanted) {
            assert_eq!(span.threads, *threads, "{row:?}");
            assert_eq!(span.widths.len(), widths.len());
            for (width, wanted) in span.widths.iter().zip(*widths) {
                assert!((width - wanted).abs() < 1e-9, "{row:?}");
            }
        }
    }
}

#[test]
fn rows_over_threads() {
    // Side by side: as far apart as they start.
    check(
        &[(0.0, 1.0, 0.0), (0.5, 1.0, 0.0), (1.25, 1.0, 0.0)],
        &[&[(&[0, 1, 2], &[0.5, 0.75])], &[(&[0, 1, 2], &[0.5, 0.75])]],
        &[false; 3],
    );
    // A short one parts the row beyond its end; one alone says nothing.
    check(
        &[
            (0.0, 1.0, 0.0),
            (1.0, 1.0, 0.0),
            (2.0, 0.5, 0.0),
            (3.0, 1.0, 0.0),
        ],
        &[&[(&[0, 1, 2, 3], &[1.0, 1.0, 1.0])], &[(&[0, 1], &[1.0])]],
        &[false; 4],
    );
    // The middle two are turned toward each other and cross between runs 0.6 and 0.8: beyond, the outer two are
    // neighbors. Widths are chords.
    for turn in [0.7f64, 0.9] {
        let (aside, back) = (0.4 * turn.sin(), 0.4 * (1.0 - turn.cos()));
        let outer = (1.0 + aside).hypot(back);
        let widths = [outer, 2.0 * (0.5 - aside), outer];
        check(
            &[
                (0.0, 1.0, 0.0),
                (1.0, 1.0, turn),
                (2.0, 1.0, -turn),
                (3.0, 1.0, 0.0),
            ],
            &[&[(&[0, 1, 2, 3], &widths)], &[(&[0, 3], &[3.0])]],
            &[false, true, true, false],
        );
    }
    // One that is far longer than the middle one has strayed.
    check(
        &[(0.0, 1.0, 0.0), (1.0, 1.7, 0.0), (2.0, 1.0, 0.0)],
        &[&[(&[0, 2], &[2.0])], &[(&[0, 2], &[2.0])]],
        &[false, true, false],
    );
}

#[test]
fn chords_over_a_hip_fall_short_by_the_fold_at_most() {
    // A roof's two planes folded along a hip at 45 degrees in plan: two threads 0.5 apart before it, one of which is
    // already over. What is flat before folding is as wide after; the chord takes off up to 1 - cos of half the fold.
    for fold in [0.2, 0.6, 1.0f64] {
        let mut threads = vec![thread(0.0, 1.0, 0.0), thread(0.5, 1.0, 0.0)];
        let hip = nalgebra::Unit::new_normalize(Vector3::new(1.0, -1.0, 0.0));
        let corner = Point3::new(0.6, 0.0, 0.0);
        let turned = Rotation3::from_axis_angle(&hip, fold);
        // At the run 0.4 the second is over the line x + y = 0.6, the first is not.
        let second = &mut threads[1].walk;
        for point in &mut second.points[1..] {
            *point = corner + turned * (*point - corner);
        }
        let over = second.points[0] + Vector3::y() * 0.1;
        second.points.insert(1, over);
        second.runs.insert(1, 0.1);
        second.rights = vec![Vector3::x(), Vector3::x(), turned * Vector3::x()];
        second.triangles.push(1);
        let (rows, _) = rows(&threads, Hand::Port, 0.4);
        let width = rows[0].spans[0].widths[0];
        let least = 0.5 * (0.5 * fold).cos();
        assert!(
            (least..0.5 - 1e-4).contains(&width),
            "{fold}: {width} for {least}"
        );
    }
}
