package solver

import "math"

// rankTolerance is the pivot, relative to its row's size, below which a row
// depends on the others.
const rankTolerance = 1e-11

// solveLinear solves jac·step = r by elimination with full pivoting over
// row-scaled equations. Where the matrix is singular it returns the equation of
// the last independent-looking row (the latest in order of the system) and a
// step that leaves the undetermined variables alone.
func (b *block) solveLinear() (row int, ok bool) {
	n := b.n
	m := append([]float64(nil), b.jac...)
	r := append([]float64(nil), b.r...)
	rows, cols := make([]int, n), make([]int, n)
	for i := range n {
		rows[i], cols[i] = i, i
		size := 0.0
		for k := range n {
			size = math.Max(size, math.Abs(m[i*n+k]))
		}
		if !finite(size) {
			return -1, false
		}
		if size > 0 {
			for k := range n {
				m[i*n+k] /= size
			}
			r[i] /= size
		}
	}
	if n >= smallMatrix && b.solvePlain(m, r) {
		return -1, true
	}
	rank := eliminate(m, r, rows, cols, n)
	clear(b.step)
	for i := rank - 1; i >= 0; i-- {
		s := r[rows[i]]
		for k := i + 1; k < rank; k++ {
			s -= float64(m[rows[i]*n+cols[k]] * b.step[cols[k]])
		}
		b.step[cols[i]] = s / m[rows[i]*n+cols[i]]
		if !finite(b.step[cols[i]]) {
			return -1, false
		}
	}
	if rank == n {
		return -1, true
	}
	row = rows[rank]
	for _, i := range rows[rank:] {
		if b.cons[i] > b.cons[row] {
			row = i
		}
	}
	return row, rank > 0
}

const (
	// smallMatrix is the size from which elimination is first tried with partial
	// pivoting, which costs less than a search of the whole matrix for each pivot.
	smallMatrix = 6
	// surePivot is the pivot at which its outcome is trusted: far from dependent.
	surePivot = 1e-6
)

// solvePlain solves m·step = r, rows scaled to 1, with partial pivoting on copies;
// false where a pivot is small.
func (b *block) solvePlain(m, r []float64) bool {
	n := b.n
	a, y := append([]float64(nil), m...), append([]float64(nil), r...)
	for i := range n {
		p, best := i, 0.0
		for k := i; k < n; k++ {
			if v := math.Abs(a[k*n+i]); v > best {
				p, best = k, v
			}
		}
		if !(best > surePivot) {
			return false
		}
		top, swap := a[i*n:i*n+n], a[p*n:p*n+n]
		if p != i {
			for k := i; k < n; k++ {
				top[k], swap[k] = swap[k], top[k]
			}
			y[i], y[p] = y[p], y[i]
		}
		for k := i + 1; k < n; k++ {
			row := a[k*n : k*n+n]
			if row[i] == 0 {
				continue
			}
			f := row[i] / top[i]
			for j := i + 1; j < n; j++ {
				row[j] -= float64(f * top[j])
			}
			y[k] -= float64(f * y[i])
		}
	}
	for i := n - 1; i >= 0; i-- {
		s := y[i]
		for k := i + 1; k < n; k++ {
			s -= float64(a[i*n+k] * b.step[k])
		}
		b.step[i] = s / a[i*n+i]
		if !finite(b.step[i]) {
			return false
		}
	}
	return true
}

// eliminate brings m to upper triangular form under the permutations rows and
// cols and returns its rank.
func eliminate(m, r []float64, rows, cols []int, n int) int {
	for i := range n {
		pi, pk, best := i, i, 0.0
		for a := i; a < n; a++ {
			for k := i; k < n; k++ {
				if v := math.Abs(m[rows[a]*n+cols[k]]); v > best {
					pi, pk, best = a, k, v
				}
			}
		}
		if best <= rankTolerance {
			return i
		}
		rows[i], rows[pi] = rows[pi], rows[i]
		cols[i], cols[pk] = cols[pk], cols[i]
		top := rows[i] * n
		for a := i + 1; a < n; a++ {
			at := rows[a] * n
			f := m[at+cols[i]] / m[top+cols[i]]
			if f == 0 {
				continue
			}
			m[at+cols[i]] = 0
			for k := i + 1; k < n; k++ {
				m[at+cols[k]] -= float64(f * m[top+cols[k]])
			}
			r[rows[a]] -= float64(f * r[rows[i]])
		}
	}
	return n
}
