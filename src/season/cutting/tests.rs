//! Known optima, exhaustive search on tiny orders, conservation by code that knows nothing of the solver.

use super::*;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// Instances with proved optima; what they are from stands in the file.
const FIXTURES: &str = include_str!("../../../tests/references/cutting-fixtures.json");

fn fixture(name: &str) -> Value {
    let all: Value = serde_json::from_str(FIXTURES).unwrap();
    all[name].clone()
}

fn numbers(value: &Value) -> Vec<u32> {
    let list = value.as_array().unwrap();
    list.iter()
        .map(|number| number.as_u64().unwrap() as u32)
        .collect()
}

fn piece(length: u32, count: u32) -> Piece {
    Piece {
        width: 0,
        length,
        count,
    }
}

fn stock(length: u32, price: u64) -> Stock {
    Stock {
        width: 0,
        length,
        price,
        at_most: None,
    }
}

fn solve(pieces: &[Piece], stock: &[Stock], kerf: u32) -> Result<CuttingPlan, CuttingError> {
    cut(&Order {
        pieces,
        stock,
        kerf,
        effort: Effort::default(),
    })
}

/// Conservation: every piece is cut as often as it is wanted, every roll holds its pieces, limits hold, the cost is the
/// sum, no bound is above it and none is below what the pieces weigh.
fn sound(pieces: &[Piece], stock: &[Stock], kerf: u32, plan: &CuttingPlan) {
    let mut made = vec![0; pieces.len()];
    let mut used = vec![0; stock.len()];
    let mut cost = 0;
    for cut in &plan.cuts {
        let from = stock[cut.stock];
        let mut length = 0;
        for (place, count) in &cut.pieces {
            assert!(*count > 0 && pieces[*place].width <= from.width);
            length += count * (pieces[*place].length + kerf);
            made[*place] += count * cut.times;
        }
        assert!(length <= from.length + kerf, "{cut:?}");
        used[cut.stock] += cut.times;
        cost += from.price * u64::from(cut.times);
    }
    let wanted: Vec<u32> = pieces.iter().map(|piece| piece.count).collect();
    assert_eq!(made, wanted);
    for (used, stock) in used.iter().zip(stock) {
        assert!(stock.at_most.is_none_or(|most| *used <= most));
    }
    assert_eq!(cost, plan.cost);
    assert!(plan.bound <= plan.cost && plan.lp <= plan.bound as f64 + 1e-6);
    assert_eq!(plan.status == Status::Proved, plan.bound == plan.cost);
    // What the pieces take, at the cheapest price of a length. Free stock makes that nothing.
    if stock.iter().all(|stock| stock.price > 0) && kerf == 0 {
        let length: u64 = pieces
            .iter()
            .map(|p| u64::from(p.length) * u64::from(p.count))
            .sum();
        let cheapest = stock
            .iter()
            .map(|stock| stock.price as f64 / f64::from(stock.length));
        assert!(plan.cost as f64 >= length as f64 * cheapest.fold(f64::INFINITY, f64::min) - 1e-6);
    }
}

/// First fit decreasing, as every textbook has it: how many rolls of one length.
fn first_fit_decreasing(lengths: &[u32], roll: u32) -> usize {
    let mut sorted = lengths.to_vec();
    sorted.sort_by(|a, b| b.cmp(a));
    let mut rooms: Vec<u32> = Vec::new();
    for length in sorted {
        match rooms.iter_mut().find(|room| **room >= length) {
            Some(room) => *room -= length,
            None => rooms.push(roll - length),
        }
    }
    rooms.len()
}

/// What this crate's own first fit decreasing costs.
fn first_fit_cost(pieces: &[Piece], stock: &[Stock]) -> u64 {
    let order = Order {
        pieces,
        stock,
        kerf: 0,
        effort: Effort::default(),
    };
    let instance = Instance::new(&order).unwrap();
    instance.cost(&first_fit::packed(&instance).unwrap())
}

/// The twin that must fail: on what is made for it, first fit decreasing misses the optimum.
#[test]
fn first_fit_decreasing_misses_optima() {
    for (name, greedy, optimum) in [("tiny_ffd_fails", 4, 3), ("smallest_ffd3_opt2", 3, 2)] {
        let case = fixture(name);
        let pieces: Vec<Piece> = numbers(&case["items"])
            .into_iter()
            .map(|length| piece(length, 1))
            .collect();
        let list = [stock(case["cap"].as_u64().unwrap() as u32, 1)];
        assert_eq!(first_fit_cost(&pieces, &list), greedy);
        assert_eq!(solve(&pieces, &list, 0).unwrap().cost, optimum);
    }
}

#[test]
fn known_optima_are_reached_and_proved() {
    for name in [
        "tiny_ffd_fails",
        "smallest_ffd3_opt2",
        "PM_u010_01",
        "PM_u010_02",
        "PM_u020_01",
        "PM_u030_01",
    ] {
        let case = fixture(name);
        let lengths = numbers(&case["items"]);
        let roll = case["cap"].as_u64().unwrap() as u32;
        let pieces: Vec<Piece> = lengths.iter().map(|length| piece(*length, 1)).collect();
        let plan = solve(&pieces, &[stock(roll, 1)], 0).unwrap();
        sound(&pieces, &[stock(roll, 1)], 0, &plan);
        let optimum = case["opt"].as_u64().unwrap();
        assert_eq!(
            (plan.cost, plan.status),
            (optimum, Status::Proved),
            "{name}"
        );
        let greedy = first_fit_decreasing(&lengths, roll) as u64;
        assert_eq!(first_fit_cost(&pieces, &[stock(roll, 1)]), greedy, "{name}");
        assert_eq!(greedy, case["ffd"].as_u64().unwrap(), "{name}");
    }
}

#[test]
fn the_paper_mill_takes_73_rolls() {
    let case = fixture("papermill_5600");
    let counts = numbers(&case["demand"]);
    let pieces: Vec<Piece> = numbers(&case["widths"])
        .into_iter()
        .zip(&counts)
        .map(|(length, count)| piece(length, *count))
        .collect();
    let plan = solve(&pieces, &[stock(5600, 1)], 0).unwrap();
    sound(&pieces, &[stock(5600, 1)], 0, &plan);
    assert_eq!((plan.cost, plan.bound), (73, 73));
    assert!(
        (plan.lp - case["lp"].as_f64().unwrap()).abs() < 1e-3,
        "{}",
        plan.lp
    );
    // The twin that must fail: first fit decreasing takes 82.
    let each = pieces
        .iter()
        .flat_map(|piece| vec![piece.length; piece.count as usize]);
    assert_eq!(first_fit_decreasing(&each.collect::<Vec<_>>(), 5600), 82);
    assert_eq!(first_fit_cost(&pieces, &[stock(5600, 1)]), 82);
    let material = pieces
        .iter()
        .map(|piece| f64::from(piece.length * piece.count))
        .sum::<f64>()
        / 5600.0;
    assert!((material - case["material_bound"].as_f64().unwrap()).abs() < 1e-9);
    assert!(plan.lp >= material - 1e-6);
}

#[test]
fn several_lengths_and_prices() {
    let case = fixture("fixture_A");
    let pieces: Vec<Piece> = numbers(&case["pieces"])
        .into_iter()
        .map(|length| piece(length, 1))
        .collect();
    let list: Vec<Stock> = case["stock"]
        .as_array()
        .unwrap()
        .iter()
        .map(|pair| {
            stock(
                pair[0].as_u64().unwrap() as u32,
                (100.0 * pair[1].as_f64().unwrap()).round() as u64,
            )
        })
        .collect();
    let plan = solve(&pieces, &list, 0).unwrap();
    sound(&pieces, &list, 0, &plan);
    let optimum = (100.0 * case["opt_cost"].as_f64().unwrap()).round() as u64;
    assert_eq!((plan.cost, plan.status), (optimum, Status::Proved));
}

/// A generator of Lehmer's kind with the constants of Park and Miller (1988).
struct Random(u64);

impl Random {
    fn next(&mut self, from: u32, to: u32) -> u32 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        from + (self.0 % u64::from(to - from)) as u32
    }
}

/// The least cost by trying everything: the largest piece left goes into every roll that is open and every new one.
fn cheapest(
    pieces: &mut Vec<(u32, u32)>,
    open: &mut Vec<(usize, u32)>,
    used: &mut Vec<u32>,
    stock: &[Stock],
    kerf: u32,
) -> u64 {
    let Some((width, length)) = pieces.pop() else {
        return 0;
    };
    let mut best = u64::MAX;
    for place in 0..open.len() {
        let (kind, room) = open[place];
        if room >= length + kerf && stock[kind].width >= width {
            open[place].1 -= length + kerf;
            best = best.min(cheapest(pieces, open, used, stock, kerf));
            open[place].1 = room;
        }
    }
    for (kind, from) in stock.iter().enumerate() {
        let fits = from.width >= width && from.length >= length;
        if fits && from.at_most.is_none_or(|most| used[kind] < most) {
            used[kind] += 1;
            open.push((kind, from.length - length));
            let rest = cheapest(pieces, open, used, stock, kerf);
            best = best.min(rest.saturating_add(from.price));
            open.pop();
            used[kind] -= 1;
        }
    }
    pieces.push((width, length));
    best
}

#[test]
fn tiny_orders_against_all_ways_to_cut_them() {
    let mut random = Random(20_261_126);
    let (mut proved, all) = (0, 120);
    for round in 0..all {
        let kerf = round % 3;
        let stock: Vec<Stock> = (0..random.next(1, 4))
            .map(|k| Stock {
                width: random.next(3, 6),
                length: random.next(10, 30),
                price: u64::from(random.next(5, 40)),
                at_most: (k > 0 && random.next(0, 3) == 0).then(|| random.next(1, 3)),
            })
            .chain([Stock {
                width: 6,
                length: 30,
                price: 45,
                at_most: None,
            }])
            .collect();
        let pieces: Vec<Piece> = (0..random.next(2, 6))
            .map(|_| Piece {
                width: random.next(0, 6),
                length: random.next(3, 16),
                count: 1 + random.next(0, 2),
            })
            .collect();
        let plan = solve(&pieces, &stock, kerf).unwrap();
        sound(&pieces, &stock, kerf, &plan);
        let mut list: Vec<(u32, u32)> = pieces
            .iter()
            .flat_map(|piece| vec![(piece.width, piece.length); piece.count as usize])
            .collect();
        list.sort_by_key(|(_, length)| *length);
        let optimum = cheapest(
            &mut list,
            &mut Vec::new(),
            &mut vec![0; stock.len()],
            &stock,
            kerf,
        );
        assert!(
            plan.bound <= optimum,
            "round {round}: bound {} over {optimum}",
            plan.bound
        );
        assert!(plan.cost >= optimum);
        assert!(
            plan.status != Status::Proved || plan.cost == optimum,
            "round {round}: {} for {optimum}",
            plan.cost
        );
        proved += usize::from(plan.status == Status::Proved);
    }
    assert_eq!(proved, all as usize, "so small orders are all proved");
}

/// Film of a season: lengths in cm, widths in mm, some rolls of each width.
fn film(count: u32, seed: u64) -> (Vec<Piece>, Vec<Stock>) {
    let mut random = Random(seed);
    let widths = [3658, 4267, 4877, 5486, 6096, 7315, 8534];
    let pieces = (0..count)
        .map(|_| Piece {
            width: widths[random.next(0, 7) as usize] - random.next(0, 400),
            length: random.next(400, 1400),
            count: 1,
        })
        .collect();
    let stock = widths
        .iter()
        .flat_map(|width| [(3048, 1.06), (4572, 1.0)].map(|(length, dear)| (*width, length, dear)))
        .map(|(width, length, dear)| Stock {
            width,
            length,
            price: (f64::from(width) * f64::from(length) * 1.13e-3 * dear) as u64,
            at_most: None,
        })
        .collect();
    (pieces, stock)
}

#[test]
fn a_season_of_film_within_a_percent() {
    let (pieces, stock) = film(60, 7);
    let plan = solve(&pieces, &stock, 0).unwrap();
    sound(&pieces, &stock, 0, &plan);
    assert!(plan.gap() < 0.01, "{} of {}", plan.gap(), plan.cost);
}

/// Sticks with a kerf, offcuts that are there among them.
fn lumber(count: u32, seed: u64) -> (Vec<Piece>, Vec<Stock>) {
    let mut random = Random(seed);
    let pieces = (0..count)
        .map(|_| piece(random.next(900, 2400), random.next(1, 3)))
        .collect();
    let mut list = vec![stock(2440, 398), stock(3050, 512), stock(4880, 845)];
    list.extend((0..8).map(|_| Stock {
        at_most: Some(random.next(1, 4)),
        ..stock(random.next(900, 2400), 0)
    }));
    (pieces, list)
}

#[test]
fn lumber_within_a_percent() {
    for seed in [3, 5, 8] {
        let (pieces, list) = lumber(30, seed);
        let plan = solve(&pieces, &list, 3).unwrap();
        sound(&pieces, &list, 3, &plan);
        assert!(plan.gap() < 0.01, "{} of {}", plan.gap(), plan.cost);
    }
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(48))]

    /// Whatever the order, the plan is sound, and the order of its pieces does not change what is proved.
    #[test]
    fn plans_are_sound(seed in 1u64..2_000_000_000, kinds in 1u32..14, kerf in 0u32..4) {
        let mut random = Random(seed);
        let pieces: Vec<Piece> = (0..kinds)
            .map(|_| Piece { width: random.next(0, 5), length: random.next(1, 60), count: random.next(0, 9) })
            .collect();
        let mut list: Vec<Stock> = (0..random.next(0, 5))
            .map(|_| Stock {
                width: random.next(0, 6),
                length: random.next(20, 100),
                price: u64::from(random.next(0, 50)),
                at_most: Some(random.next(0, 4)),
            })
            .collect();
        list.push(Stock { width: 5, length: random.next(60, 120), price: u64::from(random.next(1, 99)), at_most: None });
        let plan = solve(&pieces, &list, kerf).unwrap();
        sound(&pieces, &list, kerf, &plan);
        let turned: Vec<Piece> = pieces.iter().rev().copied().collect();
        let other = solve(&turned, &list, kerf).unwrap();
        sound(&turned, &list, kerf, &other);
        proptest::prop_assert_eq!((plan.cost, plan.bound), (other.cost, other.bound));
    }
}

/// The cheapest counts by trying all, for rows that were made by chance.
#[test]
fn counts_against_all_counts() {
    let mut random = Random(77);
    for _ in 0..60 {
        let rows: Vec<bound::Row> = (0..random.next(1, 5))
            .map(|_| bound::Row {
                worth: (0..3)
                    .map(|_| i64::from(random.next(0, 40)))
                    .chain([9])
                    .collect(),
                need: i128::from(random.next(1, 90)),
            })
            .collect();
        let prices: Vec<u64> = (0..3)
            .map(|_| u64::from(random.next(1, 30)))
            .chain([20])
            .collect();
        let most = [6, 5, 4, 11];
        let mut every: Vec<(u64, Vec<u32>)> = Vec::new();
        for a in 0..=most[0] {
            for b in 0..=most[1] {
                for c in 0..=most[2] {
                    for d in 0..=most[3] {
                        let counts = [a, b, c, d];
                        if rows.iter().all(|row| row.holds(&counts)) {
                            every.push((counts::cost(&prices, &counts), counts.to_vec()));
                        }
                    }
                }
            }
        }
        every.sort();
        let optimum = every[0].0;
        let none = BTreeSet::new();
        let question = |nodes, wanted, tried| {
            counts::cheapest(counts::Question {
                rows: &rows,
                prices: &prices,
                most: &most,
                ceiling: 1000,
                wanted,
                tried,
                nodes,
            })
        };
        let all = question(100_000, 1, &none);
        assert_eq!((all.bound, all.found[0].0), (optimum, optimum));
        // Cut short, the bound still holds.
        assert!(question(2, 1, &none).bound <= optimum);
        // Several of the cheapest without those that were tried: their costs are those of the first that are left.
        let tried: BTreeSet<Vec<u32>> = every
            .iter()
            .step_by(3)
            .map(|(_, counts)| counts.clone())
            .collect();
        let left = every.iter().filter(|(_, counts)| !tried.contains(counts));
        let costs: Vec<u64> = left.map(|(cost, _)| *cost).take(4).collect();
        let several = question(100_000, 4, &tried).found;
        assert!(
            several
                .iter()
                .all(|found| every.contains(found) && !tried.contains(&found.1))
        );
        assert_eq!(
            several.iter().map(|(cost, _)| *cost).collect::<Vec<_>>(),
            costs
        );
    }
}

#[test]
#[ignore = "takes a minute; prints times; run it with --release"]
fn growth() {
    for count in [50, 100, 200, 300, 600] {
        let (pieces, stock) = film(count, 11);
        let start = std::time::Instant::now();
        let plan = solve(&pieces, &stock, 0).unwrap();
        sound(&pieces, &stock, 0, &plan);
        assert!(plan.gap() < 0.01, "{} of {}", plan.gap(), plan.cost);
        println!(
            "{count} pieces: {:.2} s, cost {}, bound {}, gap {:.3} %, {} rounds",
            start.elapsed().as_secs_f64(),
            plan.cost,
            plan.bound,
            100.0 * plan.gap(),
            plan.rounds
        );
    }
}

#[test]
fn what_is_there_is_used_first() {
    let there = Stock {
        at_most: Some(2),
        price: 0,
        ..stock(50, 0)
    };
    let list = [there, stock(100, 90)];
    let pieces = [piece(40, 3)];
    let plan = solve(&pieces, &list, 0).unwrap();
    sound(&pieces, &list, 0, &plan);
    let used: BTreeMap<usize, u32> = plan.cuts.iter().map(|cut| (cut.stock, cut.times)).collect();
    assert_eq!((plan.cost, plan.status), (90, Status::Proved));
    assert_eq!(used.get(&1), Some(&1));
}

#[test]
fn bad_orders_are_told() {
    let limited = |count| Stock {
        at_most: Some(count),
        ..stock(100, 5)
    };
    let wide = Piece {
        width: 9,
        length: 10,
        count: 1,
    };
    for (pieces, list, error) in [
        (
            vec![piece(101, 1), piece(50, 1)],
            vec![stock(100, 5)],
            CuttingError::TooLarge(vec![0]),
        ),
        (
            vec![piece(10, 1), wide],
            vec![stock(100, 5)],
            CuttingError::TooLarge(vec![1]),
        ),
        (vec![piece(10, 1)], vec![], CuttingError::TooLarge(vec![0])),
        (
            vec![piece(10, 1)],
            vec![limited(0)],
            CuttingError::TooLarge(vec![0]),
        ),
        (
            vec![piece(60, 3)],
            vec![limited(2)],
            CuttingError::TooLittle(vec![(0, 1)]),
        ),
        (
            vec![piece(0, 1)],
            vec![stock(100, 5)],
            CuttingError::NoLength,
        ),
        (vec![piece(1, 1)], vec![stock(0, 5)], CuttingError::NoLength),
        (
            vec![piece(1, 1)],
            vec![stock(100, 0)],
            CuttingError::Free(0),
        ),
        (
            vec![piece(1, u32::MAX)],
            vec![stock(100, 5)],
            CuttingError::Beyond,
        ),
        (
            vec![piece(1, 1)],
            vec![stock(u32::MAX, 5)],
            CuttingError::Beyond,
        ),
        (
            vec![piece(1, u32::MAX), piece(2, u32::MAX)],
            vec![stock(100, 5)],
            CuttingError::Beyond,
        ),
        (
            vec![piece(u32::MAX, 1)],
            vec![stock(100, 5)],
            CuttingError::TooLarge(vec![0]),
        ),
        (
            vec![piece(1, 1)],
            vec![stock(100, u64::MAX)],
            CuttingError::Beyond,
        ),
    ] {
        assert_eq!(solve(&pieces, &list, 0), Err(error));
    }
    let nothing = solve(&[], &[stock(100, 5)], 0).unwrap();
    assert_eq!((nothing.cost, nothing.status), (0, Status::Proved));
    assert_eq!(solve(&[piece(10, 0)], &[], 0).unwrap().cuts, []);
}
