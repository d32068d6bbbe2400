//! Orders of convergence, limits and integrals.

/// Order of convergence over the last halving.
pub fn order(errors: &[f64]) -> f64 {
    let [.., coarse, fine] = errors else {
        return f64::NAN;
    };
    (coarse / fine).log2()
}

/// The limit of a sequence whose error falls to a quarter from one value to the next.
pub fn extrapolated(values: &[f64]) -> f64 {
    let [.., coarse, fine] = values else {
        return f64::NAN;
    };
    (4.0 * fine - coarse) / 3.0
}

/// Integral of a smooth function by Simpson's rule, to rounding for the smooth functions used here.
pub fn integral([from, to]: [f64; 2], f: impl Fn(f64) -> f64) -> f64 {
    const PIECES: u32 = 400;
    let step = (to - from) / f64::from(PIECES);
    let weighted = |k: u32| {
        let weight = match k {
            0 | PIECES => 1.0,
            k if k % 2 == 1 => 4.0,
            _ => 2.0,
        };
        weight * f(from + step * f64::from(k))
    };
    (0..=PIECES).map(weighted).sum::<f64>() * step / 3.0
}
