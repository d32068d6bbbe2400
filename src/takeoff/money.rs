//! Money: whole coins, so that sums on paper come out to the last of them.

use serde::{Deserialize, Serialize};
use std::iter::Sum;
use std::ops::{Add, Sub};

/// An amount in the currency's smallest coin.
#[derive(
    Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
pub struct Money(pub i64);

/// What amounts are in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Currency {
    /// Its code by ISO 4217, as `EUR`.
    pub code: String,
    /// Places after the point: coins of a hundredth have two.
    pub decimals: u32,
}

impl Currency {
    /// The whole coins nearest to an amount.
    ///
    /// # Units
    /// `amount` in the currency's main unit.
    #[must_use]
    pub fn coins(&self, amount: f64) -> Money {
        // What is not finite or beyond the range is caught by the reader of prices.
        Money((amount * 10f64.powi(self.decimals as i32)).round() as i64)
    }

    /// An amount in the currency's main unit.
    #[must_use]
    pub fn amount(&self, money: Money) -> f64 {
        money.0 as f64 / 10f64.powi(self.decimals as i32)
    }

    /// Prints an amount without its code: `1234.50`.
    #[must_use]
    pub fn plain(&self, money: Money) -> String {
        format!("{:.*}", self.decimals as usize, self.amount(money))
    }

    /// Prints an amount with its code: `1234.50 EUR`.
    #[must_use]
    pub fn format(&self, money: Money) -> String {
        format!("{} {}", self.plain(money), self.code)
    }
}

impl Money {
    /// Nothing.
    pub const ZERO: Money = Money(0);

    /// A part of it, to the nearest coin.
    #[must_use]
    pub fn part(self, part: f64) -> Money {
        Money((self.0 as f64 * part).round() as i64)
    }

    /// So many times it.
    #[must_use]
    pub fn times(self, count: u64) -> Money {
        Money(
            self.0
                .saturating_mul(i64::try_from(count).unwrap_or(i64::MAX)),
        )
    }
}

impl Add for Money {
    type Output = Money;

    fn add(self, other: Money) -> Money {
        Money(self.0.saturating_add(other.0))
    }
}

impl Sub for Money {
    type Output = Money;

    fn sub(self, other: Money) -> Money {
        Money(self.0.saturating_sub(other.0))
    }
}

impl Sum for Money {
    fn sum<I: Iterator<Item = Money>>(amounts: I) -> Money {
        amounts.fold(Money::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_rounded_once() {
        let euro = Currency {
            code: "EUR".to_owned(),
            decimals: 2,
        };
        let yen = Currency {
            code: "JPY".to_owned(),
            decimals: 0,
        };
        for (currency, amount, coins, printed) in [
            (&euro, 12.345, 1235, "12.35 EUR"),
            (&euro, 0.1 + 0.2, 30, "0.30 EUR"),
            (&euro, -3.0, -300, "-3.00 EUR"),
            (&yen, 1234.4, 1234, "1234 JPY"),
        ] {
            let money = currency.coins(amount);
            assert_eq!((money.0, currency.format(money)), (coins, printed.into()));
        }
        let thirds: Money = [Money(1000).part(1.0 / 3.0); 3].into_iter().sum();
        assert_eq!(thirds, Money(999));
        assert_eq!(Money(7).times(3) - Money(1), Money(20));
    }
}
