package solver

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"regexp"
	"testing"
	"time"
)

// chain is n rules, each name solved from the one before.
func chain(n int) *System {
	s := New()
	x := s.Var("x0", 0, 1e6, false).Expr()
	s.Add(Constraint{Left: x, Right: Const(1), Strength: Stated})
	for i := 1; i < n; i++ {
		y := s.Var(fmt.Sprint("x", i), -1e9, 1e9, false).Expr()
		if i%2 == 0 {
			s.Add(Constraint{Left: y, Right: Sum(Product(Const(0.5), x), Const(1))})
		} else { // to be solved, not assigned
			s.Add(Constraint{Left: Sum(Product(Const(3), y), Sin(x)), Right: Const(7)})
		}
		x = y
	}
	return s
}

func TestChainIsSolvedAndScales(t *testing.T) {
	took := func(n int) float64 {
		best := math.Inf(1)
		for range 3 {
			s := chain(n)
			start := time.Now()
			if r := s.Solve(); r.Status != Unique {
				t.Fatalf("%d rules: %v", n, r.Status)
			}
			best = math.Min(best, time.Since(start).Seconds())
		}
		return best
	}
	short, long := took(1000), took(10000)
	power := math.Log10(long / short)
	t.Logf("1000 rules %.2f ms, 10000 rules %.1f ms: grows as n^%.2f", short*1e3, long*1e3, power)
	if power > 1.6 {
		t.Errorf("grows as n^%.2f", power)
	}
}

func BenchmarkChain10000(b *testing.B) {
	s := chain(10000)
	for b.Loop() {
		s.Solve()
	}
}

func BenchmarkStool(b *testing.B) {
	s := newStool(b)
	flap, rungs, shell := s.v("flap", 30, 120), s.Var("rungs", 0, 2, true).Expr(), s.v("shell", 0, 5)
	s.is(flap, 70)
	s.is(rungs, 1)
	s.is(shell, 1.5)
	s.is(s.seat, 320)
	s.is(s.height, 760)
	s.is(s.foot, 480)
	s.rel(Quotient(s.height, Sum(rungs, Const(1))), GE, Const(160))
	if r := s.Solve(); r.Status != Unique {
		b.Fatalf("%+v", r)
	}
	for b.Loop() {
		s.Solve()
	}
}

func TestNoFusedInstructions(t *testing.T) {
	tool, err := exec.LookPath("go")
	if err != nil {
		t.Skip("no go tool on this machine")
	}
	fused := regexp.MustCompile(`[^\n]*\t(FN?M(ADD|SUB)[SD]?|VFN?M(ADD|SUB)\S*)\t[^\n]*`)
	for _, env := range [][]string{{"GOARCH=arm64"}, {"GOARCH=amd64", "GOAMD64=v3"}} {
		cmd := exec.Command(tool, "build", "-gcflags=-S", "-o", os.DevNull, ".")
		cmd.Env = append(append(os.Environ(), "GOOS=linux", "CGO_ENABLED=0"), env...)
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %v\n%s", env, err, out)
		}
		if len(out) < 1000 {
			t.Fatalf("%v: no listing", env)
		}
		for _, m := range fused.FindAll(out, 5) {
			t.Errorf("%v: the listing holds %q", env, m)
		}
	}
}
