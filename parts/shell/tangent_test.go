package shell

import (
	"math"
	"testing"

	"perch/parts/solid"
	"perch/solver/sparse"
)

// TestTangent holds the tangent to differences of the forces, in states that are far from
// as built. Forces in the two ends of a triangle that turn are not the slope of an energy
// until they are in balance, so that a part stays unsymmetric; it is small beside the rest.
func TestTangent(t *testing.T) {
	s := newSheet(2, 2, 1.5, steel, true, func(u, v float64) solid.Vec {
		return vec(60*u+7*v, 40*v+5*u*v, 12*u*u-8*u*v)
	})
	b, err := newBody(&s.Model, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ deform, off float64 }{{0, 1e-8}, {0.02, 1e-8}, {0.1, 1e-8}} {
		st := newState(&s.Model)
		whole := turnBy(vec(0.4, -0.7, 0.3))
		r := whole.matrix()
		for i := range st.at {
			p := s.Nodes[i]
			bow := 10 * c.deform * math.Sin(p.X/20+p.Y/30)
			st.at[i] = r.apply(p.Add(vec(0, 0, bow)))
			st.turned[i] = whole.after(turnBy(vec(c.deform*math.Sin(p.X), c.deform*math.Cos(p.Y), c.deform*0.3)))
		}
		off, size := difference(t, b, st)
		t.Logf("deformed by %v: off by %.3g of %.3g", c.deform, off, size)
		if off > c.off*size {
			t.Errorf("deformed by %v: the tangent is off by %.3g of %.3g", c.deform, off, size)
		}
	}
}

// difference is the size of what the tangent misses of the mean of the two slopes
func difference(t *testing.T, b *body, st *State) (off, size float64) {
	n := len(b.freedom)
	f := make([]float64, n)
	k := sparse.NewMatrix(b.pattern)
	if err := b.assemble(t.Context(), st, f, k, parts{elastic: true, stressed: true}); err != nil {
		t.Fatal(err)
	}
	const step = 1e-6
	var missed, whole float64
	slopes, rows := make([]float64, n*n), make([]float64, n*n)
	for j := range n {
		x := make([]float64, n)
		x[j] = 1
		want := make([]float64, n)
		k.Mul(x, want)
		var side [2][]float64
		for i, s := range []float64{step, -step} {
			side[i] = make([]float64, n)
			if err := b.assemble(t.Context(), b.move(st, x, s), side[i], nil, parts{}); err != nil {
				t.Fatal(err)
			}
		}
		for i := range want {
			slopes[i*n+j], rows[i*n+j] = (side[0][i]-side[1][i])/(2*step), want[i]
		}
	}
	for i := range n {
		for j := range n {
			d := (slopes[i*n+j]+slopes[j*n+i])/2 - rows[i*n+j]
			missed += d * d
			whole += rows[i*n+j] * rows[i*n+j]
		}
	}
	return math.Sqrt(missed), math.Sqrt(whole)
}
