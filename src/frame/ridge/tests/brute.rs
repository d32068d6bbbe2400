//! The search against trying every chain.

use super::super::envelope::athwart;
use super::super::table::{
    Cost, Kind, NANO, SLOPE_EPS, cost_of_violation, flat_shortfall, sag_at, violation_of,
};
use super::*;

/// Cost of a chain; none unless it is concave, its posts apart, and no pinned post left out.
fn price(table: &Table, steps: &[(usize, usize)]) -> Option<Cost> {
    let mut cost: Cost = 0;
    let mut before = f64::INFINITY;
    let mut last_post = 0;
    for pair in steps.windows(2) {
        let ((from, h), (to, g)) = (pair[0], pair[1]);
        let (slope, violation) = table.segment(from, h, to, g)?;
        if before + SLOPE_EPS < slope || !table.gap_is_enough(last_post, to) {
            return None;
        }
        before = slope;
        if table.nodes[to].is_post() {
            last_post = to;
        }
        cost += cost_of_violation(violation) + table.use_cost[table.nodes[to].first + g];
    }
    Some(cost)
}

/// A small problem with all kinds of trouble: places that coincide, straight runs, pins,
/// supports nearer than the least gap, too little height.
fn small(random: &mut Random) -> RidgeProblem {
    let length = 4.0 + random.below(5) as f64;
    let place = |random: &mut Random| {
        if random.chance(0.5) {
            (0.5 * (1 + random.below(2 * length as usize - 1)) as f64).min(length - 0.5)
        } else {
            random.within(0.2, length - 0.2)
        }
    };
    let step = if random.chance(0.5) { 0.25 } else { 0.1 };
    let mut sites: Vec<PostSite> = Vec::new();
    let mut levels = 1;
    for _ in 0..random.below(7) {
        let station = place(random);
        let count = 1 + random.below(5);
        levels *= 1 + count;
        if levels > 1500 {
            break;
        }
        let lowest = (1.0 / step) as i64 + random.below(6) as i64;
        let taken = sites
            .iter()
            .any(|s| s.pinned.is_some() && s.station == station);
        let pinned = match random.below(8) {
            0 if !taken => Some(Pin::Place),
            1 if !taken => Some(Pin::Height(random.within(1.0, 2.2))),
            _ => None,
        };
        sites.push(PostSite {
            station,
            base: random.within(0.0, 0.9),
            lowest,
            highest: lowest + count as i64
                - 1
                - if pinned.is_none() {
                    random.below(2) as i64
                } else {
                    0
                },
            footing: 3,
            pinned,
        });
    }
    let free = (0..random.below(3))
        .map(|_| FreeSupport {
            station: place(random),
            height: if random.chance(0.5) {
                1.0 + 0.25 * random.below(4) as f64
            } else {
                random.within(0.8, 2.0)
            },
            thing: 9,
        })
        .collect();
    let top = random.within(0.6, 1.9);
    RidgeProblem {
        stern: Anchor {
            station: 0.0,
            height: 1.0 + 0.25 * random.below(3) as f64,
        },
        bow: Anchor {
            station: length,
            height: 1.0 + 0.25 * random.below(3) as f64,
        },
        sections: (0..random.below(6))
            .map(|_| {
                let points: Vec<(f64, f64)> = (0..random.below(4))
                    .map(|_| (random.within(0.0, 1.5), random.within(0.3, top)))
                    .collect();
                section(random.within(0.0, length), &points)
            })
            .collect(),
        sites,
        free,
        rules: RidgeRules {
            min_slope: random.within(0.0, 0.5),
            pull: random.within(0.0, 60.0),
            max_span: random.within(1.5, 6.0),
            least_gap: if random.chance(0.5) {
                random.within(0.0, 2.0)
            } else {
                0.0
            },
            height_step: step,
            most_posts: random.below(6),
            only_pinned: random.chance(0.1),
            twin: random.chance(0.15),
            ..rules()
        },
    }
}

/// A small problem crowded with free supports and with a great least gap, so that posts come
/// near each other over a free support.
fn crowded(random: &mut Random) -> RidgeProblem {
    let mut problem = small(random);
    let length = problem.bow.station;
    problem.sites = (0..5)
        .map(|_| {
            let lowest = (1.0 / problem.rules.height_step) as i64 + random.below(9) as i64;
            site(
                random.within(0.2, length - 0.2),
                lowest,
                lowest + random.below(2) as i64,
            )
        })
        .collect();
    if random.chance(0.5) {
        problem.sites[0].pinned = Some(Pin::Place);
    }
    problem.free = (0..3)
        .map(|thing| FreeSupport {
            station: random.within(0.2, length - 0.2),
            height: random.within(1.0, 2.0),
            thing,
        })
        .collect();
    problem.rules.least_gap = random.within(0.5, 2.5);
    problem.rules.max_span = random.within(1.0, 3.0);
    problem.rules.most_posts = 4;
    problem
}

/// Violation of one segment straight from the definition, in whole nanometers.
fn plain_violation(problem: &RidgeProblem, a: (f64, f64), b: (f64, f64)) -> f64 {
    let rules = &problem.rules;
    let (length, tan_min) = (b.0 - a.0, rules.min_slope.tan());
    let m = (b.1 - a.1) / length;
    let mut low: f64 = 0.0;
    for section in &problem.sections {
        if section.station < a.0 - STATION_EPS || section.station > b.0 + STATION_EPS {
            continue;
        }
        let ahead = section.station - a.0;
        let hangs = sag_at(rules.pull, rules.tension, length, ahead);
        for point in &section.points {
            let need = point.height + point.across * athwart(tan_min, m);
            low = low.max(need + hangs - (a.1 + m * ahead));
        }
    }
    let flat = if rules.twin {
        flat_shortfall(tan_min, m, length)
    } else {
        0.0
    };
    let parts = [low, SPAN_WEIGHT * (length - rules.max_span), flat];
    parts
        .iter()
        .map(|v| (v * NANO - 1.0).max(0.0).round())
        .sum()
}

/// The best of all chains for each number of posts: once by the tables of the search and once
/// straight from the definition.
struct Brute {
    cost: Vec<Option<Cost>>,
    plain: Vec<Option<(f64, f64, usize)>>,
}

fn brute(problem: &RidgeProblem, table: &Table) -> Brute {
    let most = table.nodes.len();
    let mut all = Brute {
        cost: vec![None; most],
        plain: vec![None; most],
    };
    grow(problem, table, &mut vec![(0, 0)], &mut all);
    all
}

fn grow(problem: &RidgeProblem, table: &Table, steps: &mut Vec<(usize, usize)>, all: &mut Brute) {
    let at = steps[steps.len() - 1].0;
    if at + 1 == table.nodes.len() {
        weigh(problem, table, steps, all);
        return;
    }
    for to in at + 1..table.nodes.len() {
        if table.nodes[to].station > table.nodes[at].station + STATION_EPS {
            for g in 0..table.nodes[to].count {
                steps.push((to, g));
                grow(problem, table, steps, all);
                steps.pop();
            }
        }
        if table.nodes[to].pinned {
            break;
        }
    }
}

fn weigh(problem: &RidgeProblem, table: &Table, steps: &[(usize, usize)], all: &mut Brute) {
    let mut held = Vec::new();
    let mut posts: Vec<(f64, bool)> = Vec::new();
    let mut tall = 0.0;
    for (node, g) in steps {
        let node = &table.nodes[*node];
        let height = table.height[node.first + g];
        held.push((node.station, height));
        if let Kind::Post(k) = node.kind {
            posts.push((node.station, problem.sites[k].pinned.is_some()));
            tall += height - problem.sites[k].base;
        }
    }
    let slope = |k: usize| (held[k + 1].1 - held[k].1) / (held[k + 1].0 - held[k].0);
    let concave = (1..held.len() - 1).all(|k| slope(k) <= slope(k - 1) + SLOPE_EPS);
    let apart = posts
        .windows(2)
        .all(|p| p[0].1 && p[1].1 || p[1].0 - p[0].0 >= problem.rules.least_gap - STATION_EPS);
    let priced = price(table, steps);
    assert_eq!(priced.is_some(), concave && apart, "{held:?}");
    let Some(cost) = priced else { return };
    let best = &mut all.cost[posts.len()];
    *best = Some(best.map_or(cost, |b| b.min(cost)));
    let violation: f64 = held
        .windows(2)
        .map(|ends| plain_violation(problem, ends[0], ends[1]))
        .sum();
    assert!((violation - violation_of(cost)).abs() < 20.0, "{held:?}");
    // Rounded as costs are, so that equal chains compare equal.
    let plain = (
        violation,
        (tall * 1e5).round(),
        steps.len() - 2 - posts.len(),
    );
    let best = &mut all.plain[posts.len()];
    *best = Some(best.map_or(plain, |b| if plain < b { plain } else { b }));
}

/// The search must find what trying every chain finds; returns its status.
fn check_brute(problem: &RidgeProblem, case: usize) -> Status {
    let answer = solve_ridge(problem).unwrap_or_else(|bad| panic!("case {case}: {bad}"));
    let table = Table::new(problem);
    let all = brute(problem, &table);
    let least = table.pinned();
    let most = problem.rules.most_posts.max(least);
    let posts: Vec<usize> = (least..=most.min(all.cost.len() - 1)).collect();
    let found = |k: usize| all.cost[k].map(|cost| (violation_of(cost) as u64, k));
    let zero = posts
        .iter()
        .find(|k| all.cost[**k].is_some_and(|c| violation_of(c) == 0.0));
    let expected = match zero {
        Some(k) => Some(*k),
        None => posts.iter().filter_map(|k| found(*k)).min().map(|(_, k)| k),
    };
    let Some(expected) = expected else {
        let shortfall = answer.shortfall.expect("a ridge that lifts is short");
        assert!(matches!(shortfall.cause, Cause::Lift { .. }), "case {case}");
        return Status::Short;
    };
    assert_eq!(answer.posts.len(), expected, "case {case}: number of posts");
    let best = search(&table, problem.rules.most_posts).best;
    assert_eq!(
        best.map(|found| found.cost),
        all.cost[expected],
        "case {case}: cost with {expected} posts"
    );
    let (violation, tall, free) = all.plain[expected].expect("as many as by cost");
    let (found, high) = reported(&answer);
    assert!(
        (found - violation).abs() < 20.0,
        "case {case}: {found} {violation}"
    );
    if violation == 0.0 {
        assert_eq!(high, tall, "case {case}: height");
        assert_eq!(
            answer.chain.len() - 2 - expected,
            free,
            "case {case}: free supports"
        );
    }
    assert_eq!(
        answer.status == Status::Holds,
        zero.is_some(),
        "case {case}"
    );
    // With one post less at most it does not hold, and lacks what trying every chain lacks.
    if zero == Some(&expected) && expected > least {
        let mut fewer = problem.clone();
        fewer.rules.most_posts = expected - 1;
        assert_eq!(check_brute(&fewer, case), Status::Short, "case {case}");
    }
    answer.status
}

#[test]
fn finds_what_trying_every_crowded_chain_finds() {
    let mut random = Random(3);
    for case in 0..600 {
        let problem = crowded(&mut random);
        check_brute(&problem, case);
    }
}

#[test]
fn finds_what_trying_every_chain_finds() {
    let mut random = Random(20);
    let mut holds = 0;
    let (mut several, mut total) = (0, 0);
    for case in 0..800 {
        let problem = small(&mut random);
        if problem.check().is_err() {
            continue;
        }
        total += 1;
        if check_brute(&problem, case) == Status::Holds {
            holds += 1;
            several += usize::from(solve_ridge(&problem).unwrap().posts.len() > 1);
        }
    }
    println!("{total} cases, {holds} hold, {several} with two posts or more");
    // The cases are worth nothing unless all kinds come up.
    assert!(total > 600 && holds > 150 && total - holds > 150 && several > 40);
}

/// More need never makes the best ridge cheaper.
#[test]
fn raising_need_never_helps() {
    let mut random = Random(5);
    let order = |a: &RidgeAnswer| (a.status == Status::Short, a.posts.len(), reported(a));
    for case in 0..200 {
        let mut problem = small(&mut random);
        problem.rules.twin = false;
        if problem.check().is_err() {
            continue;
        }
        let before = solve_ridge(&problem).unwrap();
        for section in &mut problem.sections {
            for point in &mut section.points {
                point.height += 0.07;
            }
        }
        let after = solve_ridge(&problem).unwrap();
        if after.status == Status::Holds {
            assert!(order(&after) >= order(&before), "case {case}");
        } else if before.status == Status::Short {
            assert!(
                after.violation_m >= before.violation_m - 1e-7,
                "case {case}"
            );
        }
    }
}
