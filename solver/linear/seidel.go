package linear

import (
	"math"

	"perch/solver/elementary"
)

const (
	// dominance is the part of its diagonal entry that the rest of each row may come to
	// for a matrix to be solved by sweeps, each of which then leaves at most that part
	// of the error.
	dominance = 0.75
	// maxSweeps is enough for all bits at that rate.
	maxSweeps = 130
)

// Seidel is a sparse matrix without a narrow band. Where its diagonal outweighs the rest
// of each row its systems are solved by sweeps of Gauss and Seidel, whose work grows
// with its entries alone; else, and for rows of its inverse, by factors.
type Seidel struct {
	*SparseLU
	start    []int // by row: where its entries start
	v        []float64
	main     []float64 // by row: its diagonal entry
	sweeps   bool      // the matrix at hand is solved by them
	factored bool      // and has factors too
}

func newSeidel(l *SparseLU) *Seidel {
	s := &Seidel{SparseLU: l, start: make([]int, l.n+1), main: make([]float64, l.n)}
	for i, c := range l.cols {
		s.start[i+1] = s.start[i] + len(c)
	}
	s.v = make([]float64, s.start[l.n])
	return s
}

// Factor is that of Factors.
func (s *Seidel) Factor(get func(row, at int) float64, least float64) bool {
	s.sweeps = s.outweighs(get, least)
	s.factored = !s.sweeps && s.SparseLU.Factor(get, least)
	return s.sweeps || s.factored
}

// outweighs takes the entries and tells whether sweeps do.
func (s *Seidel) outweighs(get func(row, at int) float64, least float64) bool {
	ok := true
	for i, c := range s.cols {
		rest := 0.0
		s.main[i] = 0
		for at, k := range c {
			v := get(i, at)
			s.v[s.start[i]+at] = v
			if int(k) == i {
				s.main[i] = v
			} else {
				rest += math.Abs(v)
			}
		}
		if d := math.Abs(s.main[i]); !(d > least && elementary.Finite(d) && rest <= float64(dominance*d)) {
			ok = false
		}
	}
	return ok
}

// Solve is that of Factors.
func (s *Seidel) Solve(r, x []float64) bool {
	if !s.sweeps {
		return s.SparseLU.Solve(r, x)
	}
	for i := range x {
		x[i] = r[i] / s.main[i]
	}
	for range maxSweeps {
		moved, most := 0.0, 0.0
		for i, c := range s.cols {
			sum := r[i]
			row := s.v[s.start[i]:s.start[i+1]]
			for at, k := range c {
				if int(k) != i {
					sum -= float64(row[at] * x[k])
				}
			}
			y := sum / s.main[i]
			moved, most = math.Max(moved, math.Abs(y-x[i])), math.Max(most, math.Abs(y))
			x[i] = y
		}
		if !elementary.Finite(most) {
			return false
		}
		if moved <= float64(0x1p-53*most) {
			break
		}
	}
	return true
}

// InverseRow is that of the factors; a row of zeros where there are no factors.
func (s *Seidel) InverseRow(i int) (y []float64, lo, hi int) {
	if !s.factored {
		s.factored = s.SparseLU.Factor(func(row, at int) float64 { return s.v[s.start[row]+at] }, 0)
	}
	if !s.factored {
		clear(s.y)
		return s.y, 0, s.n - 1
	}
	return s.SparseLU.InverseRow(i)
}

func (s *Seidel) Cost() int {
	if s.sweeps && !s.factored {
		return 8 * len(s.v)
	}
	return s.SparseLU.Cost()
}
