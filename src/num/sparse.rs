//! Sparse symmetric matrices of fixed pattern and their Cholesky factor (by faer).

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::sparse::linalg::cholesky::{
    CholeskySymbolicParams, LltRef, SymbolicCholesky, SymmetricOrdering,
    factorize_symbolic_cholesky,
};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMatRef};
use faer::{Conj, MatMut, Par, Side};

/// A symmetric matrix: its lower triangle by columns, the diagonal entry first in each.
#[derive(Debug, Clone)]
pub struct SymmetricMatrix {
    columns: Vec<u32>,
    rows: Vec<u32>,
    /// Entries in the order of the pattern.
    pub values: Vec<f64>,
}

impl SymmetricMatrix {
    /// The zero matrix of the pattern that couples the given pairs; the diagonal is always there.
    /// `pairs` may name a pair twice and in either order.
    pub fn with_pattern(size: usize, pairs: &[[u32; 2]]) -> SymmetricMatrix {
        // Sorted by column by counting, then within the short columns.
        let mut starts = vec![0u32; size + 1];
        for [a, b] in pairs {
            starts[*a.min(b) as usize + 1] += 1;
        }
        for i in 0..size {
            starts[i + 1] += starts[i];
        }
        let mut next = starts.clone();
        let mut sorted = vec![0u32; pairs.len()];
        for [a, b] in pairs {
            let place = &mut next[*a.min(b) as usize];
            sorted[*place as usize] = *a.max(b);
            *place += 1;
        }
        let mut columns = vec![0u32];
        let mut rows: Vec<u32> = Vec::with_capacity(size + pairs.len());
        for column in 0..size {
            let span = starts[column] as usize..starts[column + 1] as usize;
            let here = &mut sorted[span];
            here.sort_unstable();
            rows.push(column as u32);
            for row in here.iter() {
                if rows.last() != Some(row) {
                    rows.push(*row);
                }
            }
            columns.push(rows.len() as u32);
        }
        let values = vec![0.0; rows.len()];
        SymmetricMatrix {
            columns,
            rows,
            values,
        }
    }

    /// Number of rows.
    pub fn size(&self) -> usize {
        self.columns.len() - 1
    }

    /// Place of an entry in `values`, if the pattern has it.
    pub fn entry(&self, a: u32, b: u32) -> Option<usize> {
        let (column, row) = (a.min(b) as usize, a.max(b));
        let start = *self.columns.get(column)? as usize;
        let end = *self.columns.get(column + 1)? as usize;
        self.rows[start..end]
            .binary_search(&row)
            .ok()
            .map(|place| start + place)
    }

    /// The diagonal entry of a row.
    pub fn diagonal(&self, row: usize) -> f64 {
        self.values[self.columns[row] as usize]
    }

    /// Adds the same to each diagonal entry.
    pub fn add_to_diagonal(&mut self, value: f64) {
        for row in 0..self.size() {
            self.values[self.columns[row] as usize] += value;
        }
    }

    /// `out = self * x`
    pub fn multiply(&self, x: &[f64], out: &mut [f64]) {
        out.fill(0.0);
        for column in 0..self.size() {
            let (start, end) = self.span(column);
            let here = x[column];
            let mut sum = self.values[start] * here;
            for place in start + 1..end {
                let row = self.rows[place] as usize;
                let value = self.values[place];
                out[row] += value * here;
                sum += value * x[row];
            }
            out[column] += sum;
        }
    }

    fn span(&self, column: usize) -> (usize, usize) {
        (
            self.columns[column] as usize,
            self.columns[column + 1] as usize,
        )
    }

    /// Copies the values with the couplings of held rows left out; their diagonal stays.
    fn copy_without(&self, held: &[bool], out: &mut Vec<f64>) {
        out.clear();
        out.extend_from_slice(&self.values);
        for column in 0..self.size() {
            let (start, end) = self.span(column);
            for place in start + 1..end {
                if held[column] || held[self.rows[place] as usize] {
                    out[place] = 0.0;
                }
            }
        }
    }

    fn symbolic(&self) -> SymbolicSparseColMatRef<'_, u32> {
        SymbolicSparseColMatRef::new_checked(
            self.size(),
            self.size(),
            &self.columns,
            None,
            &self.rows,
        )
    }
}

/// A Cholesky factor that may be made anew for other values of the same pattern.
pub struct Factor {
    symbolic: SymbolicCholesky<u32>,
    numeric: Vec<f64>,
    masked: Vec<f64>,
    scratch: MemBuffer,
}

impl Factor {
    /// Orders the unknowns (approximate minimum degree) and finds the factor's pattern; `None` where
    /// memory does not suffice.
    pub fn new(matrix: &SymmetricMatrix) -> Option<Factor> {
        let symbolic = factorize_symbolic_cholesky(
            matrix.symbolic(),
            Side::Lower,
            SymmetricOrdering::Amd,
            CholeskySymbolicParams::default(),
        )
        .ok()?;
        let need = symbolic
            .factorize_numeric_llt_scratch::<f64>(Par::Seq, Default::default())
            .or(symbolic.solve_in_place_scratch::<f64>(1, Par::Seq));
        Some(Factor {
            numeric: vec![0.0; symbolic.len_val()],
            masked: Vec::new(),
            scratch: MemBuffer::new(need),
            symbolic,
        })
    }

    /// Factors the matrix with held rows decoupled. `false` if it is not positive definite.
    pub fn refactor(&mut self, matrix: &SymmetricMatrix, held: &[bool]) -> bool {
        matrix.copy_without(held, &mut self.masked);
        let view = SparseColMatRef::new(matrix.symbolic(), &self.masked);
        self.symbolic
            .factorize_numeric_llt(
                &mut self.numeric,
                view,
                Side::Lower,
                Default::default(),
                Par::Seq,
                MemStack::new(&mut self.scratch),
                Default::default(),
            )
            .is_ok()
    }

    /// Solves for several right sides at once, in place: they stand one after the other. Cheaper than one by one.
    pub fn solve_all(&self, sides: &mut [f64], count: usize) {
        let size = sides.len() / count.max(1);
        let need = self.symbolic.solve_in_place_scratch::<f64>(count, Par::Seq);
        LltRef::new(&self.symbolic, &self.numeric).solve_in_place_with_conj(
            Conj::No,
            MatMut::from_column_major_slice_mut(sides, size, count),
            Par::Seq,
            MemStack::new(&mut MemBuffer::new(need)),
        );
    }

    /// Solves in place.
    pub fn solve(&mut self, rhs: &mut [f64]) {
        let size = rhs.len();
        LltRef::new(&self.symbolic, &self.numeric).solve_in_place_with_conj(
            Conj::No,
            MatMut::from_column_major_slice_mut(rhs, size, 1),
            Par::Seq,
            MemStack::new(&mut self.scratch),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The second-difference matrix: its solution under a unit load is a parabola (closed form).
    #[test]
    fn chain_under_unit_load_is_a_parabola() {
        let size = 31;
        let pairs: Vec<[u32; 2]> = (0..size as u32 - 1).map(|i| [i + 1, i]).collect();
        let mut matrix = SymmetricMatrix::with_pattern(size, &pairs);
        for i in 0..size as u32 {
            let at = matrix.entry(i, i).unwrap();
            matrix.values[at] = 2.0;
            if let Some(at) = matrix.entry(i, i + 1) {
                matrix.values[at] = -1.0;
            }
        }
        let mut factor = Factor::new(&matrix).unwrap();
        assert!(factor.refactor(&matrix, &vec![false; size]));
        let mut x = vec![1.0; size];
        factor.solve(&mut x);
        for (i, value) in x.iter().enumerate() {
            let s = (i + 1) as f64;
            assert!((value - 0.5 * s * (size as f64 + 1.0 - s)).abs() < 1e-9);
        }
        let mut both = vec![1.0; 2 * size];
        both[size..].fill(2.0);
        factor.solve_all(&mut both, 2);
        for (i, value) in x.iter().enumerate() {
            assert!((both[i] - value).abs() < 1e-12 * value.abs());
            assert!((both[size + i] - 2.0 * value).abs() < 1e-12 * value.abs());
        }
        let mut back = vec![0.0; size];
        matrix.multiply(&x, &mut back);
        assert!(back.iter().all(|b| (b - 1.0).abs() < 1e-9));
    }

    #[test]
    fn an_indefinite_matrix_is_refused() {
        let mut matrix = SymmetricMatrix::with_pattern(2, &[[0, 1]]);
        matrix.values.copy_from_slice(&[1.0, 2.0, 1.0]);
        let mut factor = Factor::new(&matrix).unwrap();
        assert!(!factor.refactor(&matrix, &[false, false]));
    }
}
