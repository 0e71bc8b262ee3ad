package solid

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// moved is a rigid motion written out anew: a turn about the z axis through the
// origin, then a move.
func moved(v Vec, angle float64, by Vec) Vec {
	s, c := math.Sincos(angle)
	return Vec{c*v.X - s*v.Y + by.X, s*v.X + c*v.Y + by.Y, v.Z + by.Z}
}

func apart(a, b Vec) float64 { return a.Sub(b).Len() }

// TestPlacedBody wants everything that a body names, of random bodies turned and
// moved in random steps, to be where the motion takes it, and its own measures to
// stay what they were.
func TestPlacedBody(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 7))
	for range 300 {
		n := 3 + r.IntN(6)
		top, height := 100+400*r.Float64(), 50+600*r.Float64()
		b, err := Frustum(n, top, top*(1+r.Float64()), height)
		if n == 4 && r.IntN(2) == 0 {
			b, err = RectFrustum(top, 1.5*top, 1.2*top, 1.6*top, height)
		}
		if err != nil {
			t.Fatal(err)
		}
		if b, err = b.Inset(5*r.Float64(), 5*r.Float64(), 5*r.Float64()); err != nil {
			t.Fatal(err)
		}
		p, angle, by := b, 0.0, Vec{}
		for range 1 + r.IntN(3) {
			a, v := 7*r.Float64()-3.5, Vec{1000 * r.NormFloat64(), 1000 * r.NormFloat64(), 100 * r.NormFloat64()}
			p = p.Turned(a).Moved(v)
			angle, by = angle+a, by.Add(v)
		}
		if p, err = p.Inset(1, 2, 0); err != nil { // an inset follows the body where it stands
			t.Fatal(err)
		}
		if b, err = b.Inset(1, 2, 0); err != nil {
			t.Fatal(err)
		}
		where := fmt.Sprintf("n %d, turned %.3f, by %v", n, angle, by)
		same := func(what string, was, is Frame) {
			for i, d := range []float64{apart(moved(was.O, angle, by), is.O), apart(moved(was.X, angle, Vec{}), is.X), apart(moved(was.Y, angle, Vec{}), is.Y)} {
				if d > 1e-9 {
					t.Fatalf("%s: %s is off by %g in %d", where, what, d, i)
				}
			}
		}
		same("the top", b.Top(), p.Top())
		same("the bottom", b.Bottom(), p.Bottom())
		for i, s := range p.Sides() {
			was := b.Sides()[i]
			same(fmt.Sprintf("side %d", i+1), was.Frame(), s.Frame())
			for k, d := range []float64{s.Lean() - was.Lean(), s.Slant() - was.Slant(), s.Half(9) - was.Half(9),
				s.Up(by.Z+20) - was.Up(20), s.Band(3, 9)[2].X - was.Band(3, 9)[2].X} {
				if math.Abs(d) > 1e-9 {
					t.Fatalf("%s: measure %d of side %d differs by %g", where, k, i+1, d)
				}
			}
		}
		for i, c := range p.Corners() {
			was := b.Corners()[i]
			if d := apart(moved(was.PointAt(30), angle, by), c.PointAt(30+by.Z)); d > 1e-9 {
				t.Fatalf("%s: corner %d is off by %g", where, i+1, d)
			}
			if d := apart(moved(was.Foot(), angle, by), c.Foot()) + apart(moved(was.Head(), angle, by), c.Head()); d > 1e-9 {
				t.Fatalf("%s: the ends of corner %d are off by %g", where, i+1, d)
			}
			if d := c.Height() - was.Height() - by.Z; math.Abs(d) > 1e-9 {
				t.Fatalf("%s: the height of corner %d is off by %g", where, i+1, d)
			}
		}
		if d := p.Height() - b.Height(); math.Abs(d) > 1e-9 {
			t.Fatalf("%s: its own height changed by %g", where, d)
		}
		if h, l := p.Stands(); math.Abs(l-by.Z) > 1e-9 || math.Abs(h-b.Low-by.Z) > 1e-9 {
			t.Fatalf("%s: it stands at %g, lifted by %g", where, h, l)
		}
	}
}

// TestQuarterTurns wants quarter turns to leave no dust: a piece turned about
// itself is the same piece to the last bit.
func TestQuarterTurns(t *testing.T) {
	b, err := RectFrustum(300, 200, 400, 260, 500)
	if err != nil {
		t.Fatal(err)
	}
	for k, want := range []Vec{{0, -1, 0}, {1, 0, 0}, {0, 1, 0}, {-1, 0, 0}, {0, -1, 0}} {
		turned := b.Turned(float64(k*90) * deg)
		n := turned.Sides()[0].Frame().X.Cross(Vec{Z: 1}) // outward, level
		if n != want {
			t.Errorf("after %d quarters the front faces %v, want %v", k, n, want)
		}
		twice := b
		for range k {
			twice = twice.Turned(-90 * deg)
		}
		if o := b.Turned(float64(-90*k) * deg).Sides()[2].Frame().O; o != twice.Sides()[2].Frame().O {
			t.Errorf("%d quarters back at once and one by one differ: %v", k, o)
		}
	}
	if o := b.Turned(45 * deg).Sides()[0].Frame().X; math.Abs(o.X-math.Sqrt2/2) > 1e-15 || math.Abs(o.Y-math.Sqrt2/2) > 1e-15 {
		t.Errorf("an eighth turns the front's u to %v", o)
	}
}

// TestInsetEach wants every side to move by its own distance, square to it.
func TestInsetEach(t *testing.T) {
	b, err := RectFrustum(300, 200, 400, 260, 500)
	if err != nil {
		t.Fatal(err)
	}
	b = b.Turned(20 * deg).Moved(Vec{50, 60, 70})
	by := []float64{1, -2, 3, 0}
	in, err := b.InsetEach(by, -4, 5)
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range in.Sides() {
		was, is := b.Sides()[i].Frame().Plane(), s.Frame().Plane()
		if apart(was.N, is.N) > 1e-15 || math.Abs(was.D-is.D-by[i]) > 1e-12 {
			t.Errorf("side %d moved in by %g, want %g", i+1, was.D-is.D, by[i])
		}
	}
	if d := in.Top().O.Z; math.Abs(d-574) > 1e-12 {
		t.Errorf("the top lies at %g, want 574", d)
	}
	if d := in.Bottom().O.Z; math.Abs(d-75) > 1e-12 {
		t.Errorf("the bottom lies at %g, want 75", d)
	}
	if _, err := b.InsetEach([]float64{200, 0, 200, 0}, 0, 0); err == nil {
		t.Error("two sides that pass each other: no error")
	}
}
