package sparse

import (
	"context"
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"perch/solver/linear"
)

// grid are the cliques of a mesh of nx by ny squares, with so many unknowns to a node.
func grid(nx, ny, each int) (n int, cliques [][]int32) {
	node := func(i, j int) int { return j*(nx+1) + i }
	for j := range ny {
		for i := range nx {
			var c []int32
			for _, k := range []int{node(i, j), node(i+1, j), node(i, j+1), node(i+1, j+1)} {
				for d := range each {
					c = append(c, int32(k*each+d))
				}
			}
			cliques = append(cliques, c)
		}
	}
	return (nx + 1) * (ny + 1) * each, cliques
}

// stiff is a matrix of a pattern whose eigenvalues are of either sign as asked, by sums of
// squares over the cliques.
func stiff(p *Pattern, cliques [][]int32, sign float64) *Matrix {
	m := NewMatrix(p)
	x := 0.5
	next := func() float64 { // a chaotic but repeatable sequence
		x = 3.9 * x * (1 - x)
		return x - 0.5
	}
	for _, c := range cliques {
		k := make([]float64, len(c)*len(c))
		for range len(c) {
			v := make([]float64, len(c))
			for i := range v {
				v[i] = next()
			}
			for i := range v {
				for j := range v {
					k[i*len(v)+j] += float64(v[i] * v[j])
				}
			}
		}
		m.AddClique(m.Places(c), k, len(c))
	}
	for i := range p.N() {
		m.Add(i, i, 0.01)
	}
	if sign < 0 {
		for i := range m.Values {
			m.Values[i] = -m.Values[i]
		}
	}
	return m
}

func factored(t testing.TB, m *Matrix) *Factor {
	t.Helper()
	f, err := NewFactor(Analyse(m.Pattern), 0)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Factor(context.Background(), m); err != nil {
		t.Fatal(err)
	}
	return f
}

// TestDense holds solutions of drawn patterns to those of full elimination.
func TestDense(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 60).Draw(t, "n")
		var cliques [][]int32
		for range rapid.IntRange(0, 40).Draw(t, "cliques") {
			cliques = append(cliques, rapid.SliceOfNDistinct(rapid.Int32Range(0, int32(n-1)), 1, min(n, 8), rapid.ID).Draw(t, "clique"))
		}
		p, err := NewPattern(n, cliques)
		if err != nil {
			t.Fatal(err)
		}
		sign := rapid.SampledFrom([]float64{1, -1}).Draw(t, "sign")
		m := stiff(p, cliques, sign)
		f, err := NewFactor(Analyse(p), 0)
		if err != nil {
			t.Fatal(err)
		}
		if err := f.Factor(context.Background(), m); err != nil {
			t.Fatal(err)
		}
		if want := int((1 - sign) / 2 * float64(n)); f.Negative() != want {
			t.Fatalf("%d negative pivots, want %d", f.Negative(), want)
		}
		full := make([]float64, n*n)
		for j := range n {
			for at := p.start[j]; at < p.start[j+1]; at++ {
				i := int(p.row[at])
				full[i*n+j], full[j*n+i] = m.Values[at], m.Values[at]
			}
		}
		r := make([]float64, n)
		for i := range r {
			r[i] = float64(i%7) - 3
		}
		want := make([]float64, n)
		d := linear.NewDense(n)
		if !d.Factor(full, 0) || !d.Solve(r, want) {
			t.Fatal("the full elimination gave up")
		}
		f.Solve(r)
		scale := 1e-300
		for _, w := range want {
			scale = math.Max(scale, math.Abs(w))
		}
		for i := range r {
			if math.Abs(r[i]-want[i]) > 1e-8*scale {
				t.Fatalf("x[%d] = %v, want %v", i, r[i], want[i])
			}
		}
	})
}

// TestGridResidual holds the solution of a large mesh to its equations, for the factors'
// room being used twice.
func TestGridResidual(t *testing.T) {
	n, cliques := grid(40, 30, 6)
	p, err := NewPattern(n, cliques)
	if err != nil {
		t.Fatal(err)
	}
	m := stiff(p, cliques, 1)
	f := factored(t, m)
	for round := range 2 {
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = float64(i%11) - 5
		}
		f.Solve(x)
		m.Mul(x, y)
		for i := range y {
			if d := y[i] - (float64(i%11) - 5); math.Abs(d) > 1e-9 {
				t.Fatalf("round %d: row %d is off by %v", round, i, d)
			}
		}
		for i := range m.Values {
			m.Values[i] *= 2
		}
		if err := f.Factor(context.Background(), m); err != nil {
			t.Fatal(err)
		}
	}
}

// TestFill holds the order to what is known of grids: nested dissection of n by n nodes
// leaves about 31/4·n²·log2(n) entries (A. George, SIAM Journal on Numerical Analysis 10,
// 1973); a minimum degree is to be no worse than that by half.
func TestFill(t *testing.T) {
	const side = 60
	n, cliques := grid(side-1, side-1, 1)
	p, err := NewPattern(n, cliques)
	if err != nil {
		t.Fatal(err)
	}
	known := 31.0 / 4 * side * side * math.Log2(side)
	if got := Analyse(p).Entries(); float64(got) > 1.5*known {
		t.Errorf("%d entries, of a dissection %.0f", got, known)
	}
}

func TestMistakes(t *testing.T) {
	if _, err := NewPattern(3, [][]int32{{0, 3}}); !errors.As(err, new(*IndexError)) {
		t.Errorf("an unknown outside: %v", err)
	}
	n, cliques := grid(5, 5, 2)
	p, err := NewPattern(n, cliques)
	if err != nil {
		t.Fatal(err)
	}
	a := Analyse(p)
	var memory *MemoryError
	if _, err := NewFactor(a, 1000); !errors.As(err, &memory) || memory.Bytes != a.Bytes() {
		t.Errorf("a limit of 1000 bytes: %v", err)
	}
	// A chain of springs that nothing holds: Laplace's matrix has the constant vector as
	// its null space.
	var chain [][]int32
	for i := range int32(9) {
		chain = append(chain, []int32{i, i + 1})
	}
	p, _ = NewPattern(10, chain)
	m := NewMatrix(p)
	for _, c := range chain {
		m.AddClique(m.Places(c), []float64{1, -1, -1, 1}, len(c))
	}
	f, _ := NewFactor(Analyse(p), 0)
	var pivot *PivotError
	if err := f.Factor(context.Background(), m); !errors.As(err, &pivot) {
		t.Errorf("a free chain: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := f.Factor(ctx, m); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

func BenchmarkFactor(b *testing.B) {
	for _, nodes := range []struct {
		name   string
		nx, ny int
	}{{"5000", 99, 49}, {"20000", 199, 99}} {
		n, cliques := grid(nodes.nx, nodes.ny, 6)
		p, err := NewPattern(n, cliques)
		if err != nil {
			b.Fatal(err)
		}
		m := stiff(p, cliques, 1)
		b.Run("analyse/"+nodes.name, func(b *testing.B) {
			for b.Loop() {
				Analyse(p)
			}
		})
		b.Run("factor/"+nodes.name, func(b *testing.B) {
			f := factored(b, m)
			for b.Loop() {
				if err := f.Factor(context.Background(), m); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(f.Bytes())/1e6, "MB")
			b.ReportMetric(float64(f.Products())/1e6, "Mproducts")
		})
	}
}
