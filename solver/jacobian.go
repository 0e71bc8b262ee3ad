package solver

import (
	"math"
	"slices"

	"perch/solver/elementary"
	"perch/solver/linear"
)

// rankTolerance is the pivot, relative to its row's size, below which a row
// depends on the others.
const rankTolerance = 1e-11

// solveLinear solves jac·step = r by elimination with full pivoting over
// row-scaled equations. Where the matrix is singular it returns the equation of
// the last independent-looking row (the latest in order of the system) and a
// step that leaves the undetermined variables alone.
func (b *block) solveLinear() (row int, ok bool) {
	if b.sparse != nil {
		return b.solveSparse()
	}
	n := b.n
	if n > linear.DenseUpTo {
		*b.budget -= n * n * n / 100 // in steps of tapes, about
	}
	m := append([]float64(nil), b.jac...)
	r := append([]float64(nil), b.r...)
	for i := range n {
		size := 0.0
		for k := range n {
			size = math.Max(size, math.Abs(m[i*n+k]))
		}
		if !elementary.Finite(size) {
			return -1, false
		}
		if size > 0 {
			for k := range n {
				m[i*n+k] /= size
			}
			r[i] /= size
		}
	}
	if b.dense == nil {
		b.dense = linear.NewDense(n)
	}
	d := b.dense
	if n >= smallMatrix && d.Factor(m, surePivot) && d.Solve(r, b.step) {
		return -1, true
	}
	d.FactorFully(m, rankTolerance)
	if !d.Solve(r, b.step) {
		return -1, false
	}
	if d.Rank == n {
		return -1, true
	}
	row = d.Rows[d.Rank]
	for _, i := range d.Rows[d.Rank:] {
		if b.cons[i] > b.cons[row] {
			row = i
		}
	}
	return row, d.Rank > 0
}

// sparse is the Jacobian of a large block by its entries alone.
type sparse struct {
	linear.Factors
	cols  [][]int32   // by equation: places of its variables in the block, ascending
	entry [][]float64 // beside them
	size  []float64   // by equation: its largest entry
	r     []float64
}

// newSparse lays out the entries of the variables numbered in local; nil where the
// matrix is too full for that.
func newSparse(w *scratch, cons []int) *sparse {
	s := &sparse{cols: make([][]int32, len(cons)), entry: make([][]float64, len(cons)), size: make([]float64, len(cons)), r: make([]float64, len(cons))}
	for i, c := range cons {
		for _, v := range w.p.tapes[c].Vars {
			if k := w.local[v]; k >= 0 {
				s.cols[i] = append(s.cols[i], k)
			}
		}
		slices.Sort(s.cols[i])
		s.entry[i] = make([]float64, len(s.cols[i]))
	}
	if s.Factors, _ = linear.NewFactors(len(cons), s.cols); s.Factors == nil {
		return nil
	}
	return s
}

// maxRank is the size of a block up to which it is told which equation depends on
// the others.
const maxRank = 600

// solveSparse is solveLinear for a large block. A pivot that may be none is looked
// into by way of the whole matrix, where that is not too large; else nothing is
// solved.
func (b *block) solveSparse() (row int, ok bool) {
	s := b.sparse
	for i, e := range s.entry {
		s.size[i] = 0
		for _, v := range e {
			s.size[i] = math.Max(s.size[i], math.Abs(v))
		}
		if !(s.size[i] > 0) {
			s.size[i] = 1
		}
		s.r[i] = b.r[i] / s.size[i]
	}
	*b.budget -= s.Cost() / 100 // in steps of tapes, about
	if s.Factor(func(row, at int) float64 { return s.entry[row][at] / s.size[row] }, surePivot) && s.Solve(s.r, b.step) {
		return -1, true
	}
	if b.n > maxRank {
		return -1, false
	}
	b.jac = make([]float64, b.n*b.n)
	for i, c := range s.cols {
		for at, k := range c {
			b.jac[i*b.n+int(k)] = s.entry[i][at]
		}
	}
	b.sparse = nil
	row, ok = b.solveLinear()
	b.sparse = s
	return row, ok
}

const (
	// smallMatrix is the size from which elimination is first tried with partial
	// pivoting, which costs less than a search of the whole matrix for each pivot.
	smallMatrix = 6
	// surePivot is the pivot at which its outcome is trusted: far from dependent.
	surePivot = 1e-6
)
