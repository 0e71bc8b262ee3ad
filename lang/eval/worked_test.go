package eval_test

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"perch/lang/build"
	"perch/parts/panel"
	"perch/parts/plane"
)

// worked is what of testdata/worked-stool.json is held to the language: derived
// from intersecting planes, independent of this code.
type worked struct {
	LegBend  workedBend `json:"leg_bend"`
	FlapBend workedBend `json:"flap_bend"`
	Leg      struct {
		StripY [2]float64 `json:"strip_y"`
		Half   float64    `json:"half_strip"`
		Cheek  [][2]float64
		Size   [2]float64
		Area   float64
	}
	Cap struct {
		Top, Size float64
		Flap      [][2]float64
	}
	Rivets []struct {
		World    vec
		Cap, Leg [2]float64
	}
}

type workedBend struct {
	Angle, Allowance, Deduction float64
	SetBack                     float64 `json:"set_back"`
}

// TestWorkedStool writes the stool that was worked by hand in the language and
// compares bends, outlines, overall sizes and rivet places in both flats.
func TestWorkedStool(t *testing.T) {
	text, err := os.ReadFile("../../testdata/worked-stool.json")
	if err != nil {
		t.Fatal(err)
	}
	var w worked
	if err := json.Unmarshal(text, &w); err != nil {
		t.Fatal(err)
	}
	r := built(t, "../../testdata/worked-stool.perch")[0]
	if len(r.Assembly.Blanks) != 2 || r.Assembly.Blanks[0].Count != 1 || r.Assembly.Blanks[1].Count != 4 {
		t.Fatalf("not a cap and four legs of one blank: %d blanks", len(r.Assembly.Blanks))
	}
	c := &comparison{t: t}
	c.cap(r.Assembly.Blanks[0].Flat, &w)
	c.leg(r.Assembly.Blanks[1].Flat, &w)
	c.rivets(r, &w)
	t.Logf("at most %.2g mm off", c.worst)
}

type comparison struct {
	t     *testing.T
	worst float64 // of what is compared within 1e-6
}

func (c *comparison) near(what string, got, want float64) {
	c.t.Helper()
	d := math.Abs(got - want)
	c.worst = max(c.worst, d)
	if !(d <= 1e-6) {
		c.t.Errorf("%s: got %.9f, want %.9f", what, got, want)
	}
}

func (c *comparison) bend(what string, f panel.FlatFold, want workedBend) {
	c.near(what+" angle", f.Bend.Angle*180/math.Pi, want.Angle)
	c.near(what+" set-back", f.SetBackA, want.SetBack)
	c.near(what+" set-back", f.SetBackB, want.SetBack)
	c.near(what+" allowance", f.Bend.Allowance(), want.Allowance)
	c.near(what+" deduction", f.Bend.Deduction(), want.Deduction)
}

// holds looks for the wanted vertex in a loop.
func (c *comparison) holds(what string, l plane.Loop, x, y float64) {
	best := math.Inf(1)
	for _, v := range l {
		best = min(best, max(math.Abs(v.P.X-x), math.Abs(v.P.Y-y)))
	}
	c.worst = max(c.worst, best)
	if best > 1e-6 {
		c.t.Errorf("%s: no vertex within %g of (%.9f, %.9f)", what, best, x, y)
	}
}

// cap compares the seat's flat, whose middle is 0 in both.
func (c *comparison) cap(f *panel.Flat, w *worked) {
	width, height := f.Size()
	c.near("cap width", width, w.Cap.Size)
	c.near("cap height", height, w.Cap.Size)
	for _, s := range f.Folds {
		c.bend(s.Name, s, w.FlapBend)
	}
	for _, sx := range []float64{-1, 1} {
		for _, sy := range []float64{-1, 1} {
			c.holds("cap", f.Outer, sx*w.Cap.Top, sy*w.Cap.Top)
			for _, v := range w.Cap.Flap {
				c.holds("cap", f.Outer, sx*v[0], sy*v[1])
				c.holds("cap", f.Outer, sx*v[1], sy*v[0])
			}
		}
	}
	if want := 4 * 5; len(f.Outer) != want { // a corner of the top, and four of each flap
		c.t.Errorf("cap: %d vertices, want %d", len(f.Outer), want)
	}
}

// leg compares the leg's flat in the worked one's coordinates: x = 0 in the
// middle of the strip, y along it from the toe's mold corner.
func (c *comparison) leg(f *panel.Flat, w *worked) {
	s := f.Folds[0]
	c.bend("leg", s, w.LegBend)
	to := onWorkedLeg(f, w)
	flat := f.Outer.Transform(to)
	for _, v := range w.Leg.Cheek {
		c.holds("leg", flat, v[0], v[1])
		c.holds("leg", flat, -v[0], v[1])
	}
	if len(flat) != 2*len(w.Leg.Cheek) {
		c.t.Errorf("leg: %d vertices, want %d", len(flat), 2*len(w.Leg.Cheek))
	}
	size := flat.Bounds().Size()
	c.near("leg width", size.X, w.Leg.Size[0])
	c.near("leg height", size.Y, w.Leg.Size[1])
	c.near("strip's end", to.Apply(s.To).Y, w.Leg.StripY[1])
	c.near("half strip", s.From.Dist(s.TangentA[0]), w.Leg.Half)
	if a := f.Area(); math.Abs(a-w.Leg.Area) > 1e-3 { // given to that
		c.t.Errorf("leg: area %.6f, want %.3f", a, w.Leg.Area)
	}
}

// onWorkedLeg takes the leg's flat to the worked one. The strip starts at the
// stated height over the mold corner.
func onWorkedLeg(f *panel.Flat, w *worked) plane.Affine {
	s := f.Folds[0]
	y := s.To.Sub(s.From).Unit()
	x := plane.Point{X: y.Y, Y: -y.X}
	return plane.Affine{A: x.X, B: x.Y, C: y.X, D: y.Y, E: -x.Dot(s.From), F: w.Leg.StripY[0] - y.Dot(s.From)}
}

// rivets compares their places in the world and in both flats.
func (c *comparison) rivets(r *build.Result, w *worked) {
	a := r.Assembly
	to := onWorkedLeg(a.Blanks[1].Flat, w)
	for _, want := range w.Rivets {
		met := false
		for _, j := range a.Joins {
			at := vec{j.At.X, j.At.Y, j.At.Z}
			if at.sub(want.World).len() > 1e-3 {
				continue
			}
			met = true
			for k := range 3 { // the worked places are given to 1e-6
				if math.Abs(at[k]-want.World[k]) > 1.5e-6 {
					c.t.Errorf("rivet at %.9f, want %v", at, want.World)
				}
			}
			for _, m := range j.Members {
				p := pointOf(a, m)
				switch a.Copies[m.Copy].Blank {
				case 0:
					c.near("rivet in the cap, x", p.X, want.Cap[0])
					c.near("rivet in the cap, y", p.Y, want.Cap[1])
				default:
					q := to.Apply(p)
					c.near("rivet in the leg, x", q.X, want.Leg[0])
					c.near("rivet in the leg, y", q.Y, want.Leg[1])
				}
			}
		}
		if !met {
			c.t.Errorf("no rivet at %v", want.World)
		}
	}
}

func pointOf(a *panel.Assembly, m panel.JoinMember) plane.Point {
	for _, p := range a.Blanks[a.Copies[m.Copy].Blank].Flat.Points {
		if p.Name == m.Point {
			return p.At
		}
	}
	return plane.Point{X: math.NaN()}
}
