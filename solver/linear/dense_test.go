package linear

import (
	"math"
	"math/rand/v2"
	"testing"
)

// hilbert is the matrix of 1/(i+k+1), whose inverse has whole numbers (D. E. Knuth, "The art
// of computer programming", volume 1, 1.2.3, exercise 45).
func hilbert(n int) []float64 {
	a := make([]float64, n*n)
	for i := range n {
		for k := range n {
			a[i*n+k] = 1 / float64(i+k+1)
		}
	}
	return a
}

func TestInverseOfHilbert(t *testing.T) {
	want := []float64{ // of four rows
		16, -120, 240, -140,
		-120, 1200, -2700, 1680,
		240, -2700, 6480, -4200,
		-140, 1680, -4200, 2800,
	}
	got := make([]float64, 16)
	if !NewDense(4).Invert(hilbert(4), got) {
		t.Fatal("called singular")
	}
	for k := range want {
		if math.Abs(got[k]-want[k]) > 1e-9*math.Abs(want[k]) {
			t.Errorf("%v, want %v", got, want)
			break
		}
	}
}

// TestDenseSolves holds solutions and inverses of random matrices to products, with both
// ways to choose pivots, in room that is used again.
func TestDenseSolves(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 9))
	for n := 1; n <= 20; n++ {
		d := NewDense(n)
		for range 20 {
			a, x := make([]float64, n*n), make([]float64, n)
			for k := range a {
				a[k] = rnd.NormFloat64()
			}
			for k := range x {
				x[k] = rnd.NormFloat64()
			}
			r := times(a, x)
			got := make([]float64, n)
			for _, factor := range []func() bool{func() bool { return d.Factor(a, 0) }, func() bool { return d.FactorFully(a, 0) == n }} {
				if !factor() || !d.Solve(r, got) {
					t.Fatalf("%d: no solution", n)
				}
				apart(t, got, x)
			}
			inv := make([]float64, n*n)
			if !d.Invert(a, inv) {
				t.Fatalf("%d: no inverse", n)
			}
			apart(t, times(inv, r), x)
		}
	}
}

func times(a, x []float64) []float64 {
	n := len(x)
	r := make([]float64, n)
	for i := range r {
		for k, v := range x {
			r[i] += float64(a[i*n+k] * v)
		}
	}
	return r
}

func apart(t *testing.T, got, want []float64) {
	t.Helper()
	for k := range want {
		if math.Abs(got[k]-want[k]) > 1e-6*(1+math.Abs(want[k])) {
			t.Fatalf("%v, want %v", got, want)
		}
	}
}

// TestRank holds full pivoting to the magic square of Dürer, of rank 3, whose rows add up to
// 34: what it solves satisfies all rows, the last unknown left at 0.
func TestRank(t *testing.T) {
	a := []float64{16, 3, 2, 13, 5, 10, 11, 8, 9, 6, 7, 12, 4, 15, 14, 1}
	d := NewDense(4)
	if rank := d.FactorFully(a, 1e-11); rank != 3 {
		t.Fatalf("rank %d", rank)
	}
	x := make([]float64, 4)
	if !d.Solve([]float64{34, 34, 34, 34}, x) {
		t.Fatal("no solution")
	}
	apart(t, times(a, x), []float64{34, 34, 34, 34})
	zeros := 0
	for _, v := range x {
		if v == 0 {
			zeros++
		}
	}
	if zeros != 1 {
		t.Errorf("%v", x)
	}
	if d.Factor(a, 1e-11) {
		t.Error("called regular")
	}
	if d.Factor([]float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 1, 1, 1, math.NaN(), 0, 0, 0}, 0) || d.Invert(make([]float64, 16), make([]float64, 16)) {
		t.Error("nonsense was factored")
	}
}

// TestPivotsChange solves what needs a change of rows.
func TestPivotsChange(t *testing.T) {
	a := []float64{0, 2, 1, 1e-20, 1, 1, 3, 0, 1}
	for n, factor := range []func(d *Dense) bool{func(d *Dense) bool { return d.Factor(a, 0) }, func(d *Dense) bool { return d.FactorFully(a, 0) == 3 }} {
		d, x := NewDense(3), make([]float64, 3)
		if !factor(d) || !d.Solve(times(a, []float64{1, -2, 3}), x) {
			t.Fatalf("%d: no solution", n)
		}
		apart(t, x, []float64{1, -2, 3})
	}
}
