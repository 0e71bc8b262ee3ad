package solver

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
	"time"
)

// boundary is the discrete boundary value problem.
func boundary(b build, n int) {
	h := 1.0 / float64(n+1)
	x := b.names(n, -1, 1)
	for i := range n {
		e := multiple(2, x[i])
		if i > 0 {
			e = less(e, x[i-1])
		}
		if i < n-1 {
			e = less(e, x[i+1])
		}
		b.zero(Sum(e, multiple(h*h/2, Power(Sum(x[i], num(float64(float64(i+1)*h)+1)), num(3)))))
	}
}

func tridiagonal(lo, hi float64) func(b build, n int) {
	return func(b build, n int) {
		x := b.names(n, lo, hi)
		for i := range n {
			e := Sum(Product(less(num(3), multiple(2, x[i])), x[i]), num(1))
			if i > 0 {
				e = less(e, x[i-1])
			}
			if i < n-1 {
				e = less(e, multiple(2, x[i+1]))
			}
			b.zero(e)
		}
	}
}

func banded(lo, hi float64) func(b build, n int) {
	return func(b build, n int) {
		x := b.names(n, lo, hi)
		for i := range n {
			e := Sum(Product(x[i], Sum(num(2), multiple(5, sqr(x[i])))), num(1))
			for j := max(0, i-5); j <= min(n-1, i+1); j++ {
				if j != i {
					e = less(e, Product(x[j], Sum(num(1), x[j])))
				}
			}
			b.zero(e)
		}
	}
}

func rosenbrock(b build, n int) {
	x := b.names(n, -5, 5)
	for i := 0; i+1 < n; i += 2 {
		b.zero(multiple(10, less(x[i+1], sqr(x[i]))))
		b.zero(less(num(1), x[i]))
	}
}

// trigexp is L. Lukšan's system trigexp 1.
func trigexp(b build, n int) {
	x := b.names(n, -100, 100)
	wave := func(p, q Expr) Expr { return Product(Sin(less(p, q)), Sin(Sum(p, q))) }
	for i := range n {
		var e Expr
		switch i {
		case 0:
			e = total(multiple(3, Power(x[0], num(3))), multiple(2, x[1]), num(-5), wave(x[0], x[1]))
		case n - 1:
			e = Sum(Negative(Product(x[i-1], Exp(less(x[i-1], x[i])))), less(multiple(4, x[i]), num(3)))
		default:
			e = total(Negative(Product(x[i-1], Exp(less(x[i-1], x[i])))), Product(x[i], Sum(num(4), multiple(3, sqr(x[i])))), multiple(2, x[i+1]), wave(x[i], x[i+1]), num(-8))
		}
		b.zero(e)
	}
}

// plate is a nonlinear Poisson equation on a square grid: Δu = h²u³ - h²·10.
func plate(b build, n int) {
	k := 1
	for k*k < n {
		k++
	}
	h := 1 / float64(k+1)
	x := b.names(k*k, -5, 5)
	for i := range k {
		for j := range k {
			at := i*k + j
			e := multiple(4, x[at])
			for _, d := range [4][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
				if p, q := i+d[0], j+d[1]; p >= 0 && p < k && q >= 0 && q < k {
					e = less(e, x[p*k+q])
				}
			}
			b.zero(Sum(e, multiple(h*h, less(Power(x[at], num(3)), num(10)))))
		}
	}
}

// network is rules of three names each, picked near on a line under a shuffled
// numbering.
func network(b build, n int) {
	rnd := rand.New(rand.NewPCG(3, uint64(n)))
	x := b.names(n, -3, 3)
	order := rnd.Perm(n)
	for i := range n {
		j, k := (i+1+rnd.IntN(4))%n, (i+n-1-rnd.IntN(4))%n
		p, q, r := x[order[i]], x[order[j]], x[order[k]]
		b.rule(total(multiple(2.5, p), Sin(p), multiple(-0.7, Product(q, Cos(r)))), num(rnd.Float64()))
	}
}

// wild is rules of three names each, picked anywhere: without a band.
func wild(b build, n int) {
	rnd := rand.New(rand.NewPCG(3, uint64(n)))
	x := b.names(n, -3, 3)
	for i := range n {
		j, k := rnd.IntN(n), rnd.IntN(n)
		b.rule(total(multiple(2.5, x[i]), Sin(x[i]), multiple(-0.7, Product(x[j], Cos(x[k])))), num(rnd.Float64()))
	}
}

func loop(b build, n int) {
	x := b.names(n, -10, 10)
	for i := range x {
		b.rule(Sum(multiple(3, x[i]), Sin(x[i])), Sum(num(1.5), multiple(0.5, Sum(x[(i+1)%n], x[(i+n-1)%n]))))
	}
}

// wells is a chain in which k names, far from each other, have two values each.
func wells(k int) func(b build, n int) {
	return func(b build, n int) {
		x := b.names(n, -3, 3)
		for i := range n {
			e := multiple(3, x[i])
			if i%(n/k) == n/k/2 {
				e = less(multiple(3, sqr(x[i])), num(3))
			}
			if i > 0 {
				e = less(e, multiple(0.3, x[i-1]))
			}
			if i < n-1 {
				e = less(e, multiple(0.3, Sin(x[i+1])))
			}
			b.zero(e)
		}
	}
}

// unreached is a chain whose rules leave its last name nothing in range.
func unreached(b build, n int) {
	x := b.names(n, -1, 1)
	for i := range n {
		e := Sum(multiple(3, x[i]), Power(x[i], num(3)))
		if i > 0 {
			e = less(e, sqr(x[i-1]))
		}
		if i < n-1 {
			e = less(e, multiple(0.5, x[i+1]))
		} else {
			e = less(e, num(5.5))
		}
		b.zero(e)
	}
}

// sparse systems of any size, with the number of their solutions.
var sparseSystems = []struct {
	name   string
	source string
	make   func(b build, n int)
	count  int
}{
	{"discrete boundary value", mgh + "28", boundary, 1},
	{"Broyden, tridiagonal", mgh + "30", tridiagonal(-100, 100), 2},
	{"Broyden, tridiagonal, narrow", mgh + "30", tridiagonal(-2, 2), 2},
	{"Broyden, banded", mgh + "31", banded(-1, 1), 1},
	{"extended Rosenbrock", mgh + "21", rosenbrock, 1},
	{"trigexp 1", "L. Lukšan's collection, as in a public benchmark set", trigexp, 1},
	{"plate", hand + ": monotone", plate, 1},
	{"network", hand + ": each rule contracts", network, 1},
	{"scattered", hand + ": each rule contracts", wild, 1},
	{"loop", hand + ": each rule contracts", loop, 1},
	{"wells", hand + ": five of two values", wells(5), 32},
	{"out of reach", hand, unreached, 0},
}

// TestSparse finds and proves all solutions of sparse blocks larger than those whose
// matrices are kept whole; the referee proves the first of each again in big numbers, which
// takes it most of the time: with -short of each fourth system.
func TestSparse(t *testing.T) {
	for i, c := range sparseSystems {
		t.Run(c.name, func(t *testing.T) {
			b := begin(t)
			c.make(b, 72)
			r := b.Solve()
			if len(r.Solutions) != c.count || !r.Proof.Complete || c.count > 0 && !r.Proof.Exist {
				t.Fatalf("%d solutions, want %d; status %d, %+v", len(r.Solutions), c.count, r.Status, r.Proof)
			}
			if len(r.Solutions) == 0 || testing.Short() && i%4 != 0 {
				return
			}
			if x := r.Solutions[0]; !refereed(t, b.System, x, 1e-9) {
				t.Errorf("the referee does not prove %v", x)
			}
		})
	}
}

// TestSparseScales holds the work on sparse systems, in steps, to about the first power
// of their size, and prints that of time. PERCH_SPARSE=3200 asks for so many names; the
// powers are taken from a quarter of them.
func TestSparseScales(t *testing.T) {
	most := 400
	if testing.Short() {
		most = 200
	}
	if n, err := strconv.Atoi(os.Getenv("PERCH_SPARSE")); err == nil {
		most = n
	}
	for _, c := range sparseSystems {
		took := func(n int) (seconds, steps, names float64) {
			b := begin(t)
			c.make(b, n)
			p := compileSystem(b.System)
			w := newScratch(p)
			start, before := time.Now(), w.proof
			o := w.run(p.query())
			seconds = time.Since(start).Seconds()
			if len(o.solutions) != c.count || !o.complete || !o.exist {
				t.Errorf("%s, %d: %d solutions; complete %v, exist %v", c.name, n, len(o.solutions), o.complete, o.exist)
			}
			return seconds, float64(before - w.proof + o.work), float64(len(b.vars))
		}
		s1, w1, n1 := took(most / 4)
		s2, w2, n2 := took(most)
		growth := math.Log(n2 / n1)
		power := math.Log(w2/w1) / growth
		t.Logf("%-28s %4.0f names in %7.1f ms, %5.0f in %8.1f ms: time grows as n^%.2f, steps as n^%.2f", c.name, n1, s1*1e3, n2, s2*1e3, math.Log(s2/s1)/growth, power)
		if power > 1.5 {
			t.Errorf("%s: steps grow as n^%.2f", c.name, power)
		}
	}
}

// TestLargeBlocks proves the one solution of blocks of coupled equations.
func TestLargeBlocks(t *testing.T) { scales(t, "ring", ring, 250, 2000) }

// TestLargeBlockThatDepends says a rule of a large block twice, in other words.
func TestLargeBlockThatDepends(t *testing.T) {
	const n = 100
	s := New()
	xs := make([]Expr, n)
	for i := range xs {
		xs[i] = s.Var(fmt.Sprint("x", i), -10, 10, false).Expr()
	}
	for i := range n - 1 {
		s.Add(Constraint{Left: Sum(Product(Const(3), xs[i]), Sin(xs[i])), Right: Sum(Const(1.5), Sum(xs[(i+1)%n], xs[(i+n-1)%n]))})
	}
	again := Sum(Product(Const(6), xs[0]), Product(Const(2), Sin(xs[0])))
	s.Add(Constraint{Left: again, Right: Sum(Const(3), Product(Const(2), Sum(xs[1], xs[n-1])))})
	if r := s.Solve(); r.Status == Unique || r.Status == Several {
		t.Errorf("status %v, %+v", r.Status, r.Proof)
	}
}
