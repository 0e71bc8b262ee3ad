package search

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestQuadraticByHand solves programs whose answers follow from a drawing.
func TestQuadraticByHand(t *testing.T) {
	for name, c := range map[string]struct {
		q      quadratic
		x      []float64
		weight []float64
	}{
		// nearest to (2, 1) below x + y = 1: (1, 0), by a weight of 1
		"foot of a perpendicular": {quadratic{[][]float64{{1, 0}, {0, 1}}, []float64{-2, -1}, [][]float64{{1, 1}, {-1, 0}, {1, 0}}, []float64{1, 0, 9}}, []float64{1, 0}, []float64{1, 0, 0}},
		// no curve at all: most of x + 2y within x + y ≤ 4, y ≤ 3, x ≥ 0: (1, 3)
		"corner": {quadratic{[][]float64{{0, 0}, {0, 0}}, []float64{-1, -2}, [][]float64{{1, 1}, {0, 1}, {-1, 0}}, []float64{4, 3, 0}}, []float64{1, 3}, []float64{1, 1, 0}},
		// a row and its negative hold x to 2
		"equality":      {quadratic{[][]float64{{0, 0}, {0, 1}}, []float64{0, -1}, [][]float64{{1, 0}, {-1, 0}}, []float64{2, -2}}, []float64{2, 1}, nil},
		"nothing binds": {quadratic{[][]float64{{2}}, []float64{-1}, [][]float64{{1}, {-1}}, []float64{1, 1}}, []float64{0.5}, []float64{0, 0}},
	} {
		x, w, ok := c.q.solve()
		for k := range c.x {
			if !ok || !(math.Abs(x[k]-c.x[k]) <= 1e-8) {
				t.Errorf("%s: %v %v, by hand %v", name, x, ok, c.x)
				break
			}
		}
		for i := range c.weight {
			if !(math.Abs(w[i]-c.weight[i]) <= 1e-6) {
				t.Errorf("%s: weights %v, by hand %v", name, w, c.weight)
				break
			}
		}
	}
}

// TestQuadraticBalances holds drawn programs to the conditions of a least place
// (W. Karush 1939; H. Kuhn and A. Tucker 1951), which are enough where B is not negative.
func TestQuadraticBalances(t *testing.T) {
	draw := rand.New(rand.NewPCG(3, 1))
	for run := range 200 {
		n, m := 1+draw.IntN(5), 1+draw.IntN(12)
		q := quadratic{b: make([][]float64, n), c: make([]float64, n)}
		for k := range q.b {
			q.b[k], q.c[k] = make([]float64, n), draw.NormFloat64()
		}
		for range draw.IntN(n + 1) { // of any rank
			v := make([]float64, n)
			for k := range v {
				v[k] = draw.NormFloat64()
			}
			for k := range v {
				for j := range v {
					q.b[k][j] += v[k] * v[j]
				}
			}
		}
		for range m {
			row := make([]float64, n)
			for k := range row {
				row[k] = draw.NormFloat64()
			}
			q.rows, q.limit = append(q.rows, row), append(q.limit, draw.Float64()) // 0 is within
		}
		for k := range n {
			for _, s := range []float64{-1, 1} {
				row := make([]float64, n)
				row[k] = s
				q.rows, q.limit = append(q.rows, row), append(q.limit, 2)
			}
		}
		x, w, ok := q.solve()
		if !ok {
			t.Fatal(run, "not solved")
		}
		slope := append([]float64(nil), q.c...)
		for k := range x {
			for j := range x {
				slope[k] += q.b[k][j] * x[j]
			}
		}
		for i, row := range q.rows {
			left := q.limit[i]
			for k := range x {
				left -= row[k] * x[k]
				slope[k] += row[k] * w[i]
			}
			if left < -1e-8 || w[i] < 0 || left*w[i] > 1e-8 {
				t.Errorf("%d: row %d has %v left and weight %v", run, i, left, w[i])
			}
		}
		if largest(slope) > 1e-7 {
			t.Errorf("%d: slopes are out of balance by %v", run, slope)
		}
	}
}
