package linear

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// scattered is a sparse matrix with a strong diagonal under random orders of rows
// and columns; what lies far from the diagonal makes it lose its band.
func scattered(n, near int, rnd *rand.Rand) (cols [][]int32, dense []float64) {
	rows, order := rnd.Perm(n), rnd.Perm(n)
	cols, dense = make([][]int32, n), make([]float64, n*n)
	for i := range n {
		for k := max(0, i-near); k <= min(n-1, i+near); k++ {
			v := rnd.Float64() - 0.5
			if k == i && i%7 > 0 { // else a pivot has to be found elsewhere
				v += 3
			}
			dense[rows[i]*n+order[k]] = v
		}
	}
	for i := range n {
		for k := range n {
			if dense[i*n+k] != 0 {
				cols[i] = append(cols[i], int32(k))
			}
		}
	}
	return cols, dense
}

// TestFactorsSolve holds the factors of sparse matrices to products: A·x = r, and rows
// of the inverse times A.
func TestFactorsSolve(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for _, c := range [][2]int{{1, 0}, {2, 1}, {65, 1}, {80, 3}, {130, 0}, {200, 2}, {90, 40}} {
		n := c[0]
		cols, a := scattered(n, c[1], rnd)
		p := NewPattern(n, cols)
		if p == nil {
			t.Fatalf("%d: no pattern", n)
		}
		if c[1] > 0 && c[1] < 4 && p.width() > 16*c[1]+2 {
			t.Errorf("%d: %d beside the diagonal became a band of %d", n, c[1], p.width())
		}
		holdFactors(t, newBand(p), cols, a, rnd)
		if l := newSparseLU(n, cols); l != nil {
			holdFactors(t, l, cols, a, rnd)
			holdFactors(t, l, cols, a, rnd) // again in the same room
			holdSeidel(t, cols, a, rnd)
		} else if c[1] < 4 {
			t.Errorf("%d: too many entries", n)
		}
	}
}

// holdSeidel holds it to a matrix whose diagonal outweighs the rest of each row, made
// of one of which it does not, to another for which it needs factors, and back.
func holdSeidel(t *testing.T, cols [][]int32, a []float64, rnd *rand.Rand) {
	t.Helper()
	n := len(cols)
	cols = slices.Clone(cols)
	light, heavy := slices.Clone(a), slices.Clone(a)
	for i := range n {
		if !slices.Contains(cols[i], int32(i)) {
			cols[i] = append(slices.Clone(cols[i]), int32(i))
			slices.Sort(cols[i])
		}
		rest := 0.0
		for k := range n {
			rest += math.Abs(a[i*n+k])
		}
		heavy[i*n+i] = -2*rest - 1
	}
	l := newSparseLU(n, cols)
	if l == nil {
		return
	}
	s := newSeidel(l)
	for range 2 {
		if holdFactors(t, s, cols, heavy, rnd); !s.sweeps {
			t.Errorf("%d: it is not solved by sweeps", n)
		}
		if holdFactors(t, s, cols, light, rnd); s.sweeps && n > 2 {
			t.Errorf("%d: it is solved by sweeps", n)
		}
	}
}

func holdFactors(t *testing.T, b Factors, cols [][]int32, a []float64, rnd *rand.Rand) {
	t.Helper()
	n := len(cols)
	if !b.Factor(func(row, at int) float64 { return a[row*n+int(cols[row][at])] }, 0) {
		t.Fatalf("%d: singular", n)
	}
	r, x := make([]float64, n), make([]float64, n)
	for i := range r {
		r[i] = rnd.NormFloat64()
	}
	if !b.Solve(r, x) {
		t.Fatalf("%d: no solution", n)
	}
	for i := range n {
		s := 0.0
		for k := range n {
			s += float64(a[i*n+k] * x[k])
		}
		if math.Abs(s-r[i]) > 1e-8 {
			t.Errorf("%d: row %d is off by %g", n, i, s-r[i])
			break
		}
	}
	for _, i := range []int{0, n / 2, n - 1} {
		y, lo, hi := b.InverseRow(i)
		for k := range n {
			s := 0.0
			for at := lo; at <= hi; at++ {
				s += float64(y[at] * a[int(b.RowAtPlace(at))*n+k])
			}
			want := 0.0
			if k == i {
				want = 1
			}
			if math.Abs(s-want) > 1e-8 {
				t.Errorf("%d: row %d of the inverse times column %d is %g", n, i, k, s)
				break
			}
		}
	}
}

func TestFactorsDoubt(t *testing.T) {
	cols := [][]int32{{0, 1}, {0, 1}, {2}}
	b := newBand(NewPattern(3, cols))
	if b.Factor(func(row, at int) float64 { return [][]float64{{1, 2}, {2, 4}, {1}}[row][at] }, 0) {
		t.Error("a singular matrix was factored")
	}
	l := newSparseLU(3, cols)
	if l.Factor(func(row, at int) float64 { return [][]float64{{1, 2}, {2, 4}, {1}}[row][at] }, 0) {
		t.Error("a singular matrix was factored entry by entry")
	}
	for _, f := range []Factors{l, newSeidel(newSparseLU(3, cols))} {
		for _, bad := range []float64{0, math.NaN(), math.Inf(1)} {
			if f.Factor(func(row, at int) float64 { return [][]float64{{bad, 2}, {2, 9}, {bad}}[row][at] }, 0) {
				t.Errorf("a matrix with %v was factored", bad)
			}
		}
	}
	full := make([][]int32, 700)
	for i := range full {
		for k := range int32(700) {
			full[i] = append(full[i], k)
		}
	}
	if NewPattern(700, full) != nil {
		t.Error("a full matrix of 700 is more than may be kept")
	}
}
