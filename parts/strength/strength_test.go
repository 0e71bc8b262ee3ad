package strength

import (
	"errors"
	"math"
	"testing"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/record/stool"
	"perch/parts/shell"
	"perch/parts/shop"
	"perch/parts/tipping"
)

var mild = Metal{Material: shell.Material{E: 205000, Nu: 0.3}, Yield: 235, Density: 7850}

func options(side float64) Options {
	return Options{Side: side, Friction: 0.3, Weightful: true,
		Metal: func(shop.Stock) (Metal, bool) { return mild, true },
	}
}

func assembled(t testing.TB) *panel.Assembly {
	t.Helper()
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func made(t testing.TB, a *panel.Assembly, o Options) *Piece {
	t.Helper()
	p, err := New(t.Context(), a, o)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func sit() Load {
	return Load{Name: "sit", Force: vec(0, 0, -1300), At: vec(0, 80, 610), Spread: 120}
}

// TestFolded: what a strip's far tangent comes to by way of the one face is where the other
// face lies, and every face's nodes lie in the middle of its sheet.
func TestFolded(t *testing.T) {
	for _, b := range assembled(t).Blanks {
		f := b.Flat
		for i := range f.Folds {
			fold := &f.Folds[i]
			half := fold.Bend.Allowance() / 2
			for _, k := range []float64{0.2, 0.5, 0.8} {
				p := fold.From.Lerp(fold.To, k).Add(across(fold).Scale(half))
				frame := f.Faces[fold.B].Frame
				want := frame.At(p).Sub(frame.Normal().Scale(f.Panel.Stock.Thickness / 2))
				if d := folded(f, p).Sub(want).Len(); d > 1e-6 {
					t.Errorf("%s, fold %s: the tangents miss each other by %.3g mm", b.Name, fold.Name, d)
				}
			}
		}
		d, err := divide(t.Context(), f, nil, 20, 5000)
		if err != nil {
			t.Fatal(err)
		}
		// Between bends nothing is stretched: sharp lines lengthen a strip by less than its
		// allowance.
		flat, up := 0.0, 0.0
		for _, tri := range d.Triangles {
			a, b, c := d.Nodes[tri[0]], d.Nodes[tri[1]], d.Nodes[tri[2]]
			flat += b.Sub(a).Cross(c.Sub(a)) / 2
			up += d.at[tri[1]].Sub(d.at[tri[0]]).Cross(d.at[tri[2]].Sub(d.at[tri[0]])).Len() / 2
		}
		if math.Abs(flat-f.Area()) > 0.01*f.Area() || up < flat || up > 1.03*flat {
			t.Errorf("%s: %.0f mm² of metal, %.0f divided, %.0f folded", b.Name, f.Area(), flat, up)
		}
	}
}

// TestStands: the floor carries the load and the weight, and the moments balance.
func TestStands(t *testing.T) {
	a := assembled(t)
	p := made(t, a, options(25))
	got, err := p.Solve(t.Context(), sit())
	if err != nil {
		t.Fatal(err)
	}
	mass := 0.0
	for _, b := range a.Blanks {
		mass += b.Flat.Mass() * float64(b.Count)
	}
	sum, moment := 0.0, 0.0
	for _, f := range got.Feet {
		sum += f.Force
		moment += f.Force * f.Center.Y
	}
	if want := 1300 + mass*tipping.Gravity; math.Abs(sum-want) > 0.01*want {
		t.Errorf("the floor carries %.1f N, want %.1f", sum, want)
	}
	if want := 1300 * 80.0; math.Abs(moment-want) > 0.02*want {
		t.Errorf("about the middle the floor carries %.0f N·mm, want %.0f", moment, want)
	}
	if len(got.Feet) != 4 || got.Used <= 0 || got.Fastener <= 0 || got.Weakest == "" {
		t.Errorf("%d feet, yield used %.3f, fastener %.3f %s", len(got.Feet), got.Used, got.Fastener, got.Weakest)
	}
}

// TestLarge: a flat seat of 1.5 mm is held up by stretching once it sags more than its
// thickness; small movements' answer is far off.
func TestLarge(t *testing.T) {
	p := made(t, assembled(t), options(25))
	small, err := p.Linear(t.Context(), sit())
	if err != nil {
		t.Fatal(err)
	}
	large, err := p.Solve(t.Context(), sit())
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("linear %.2f mm, %.2f mm", small.Sag, large.Sag)
	if large.Sag < 1.5 || large.Sag > 0.7*small.Sag {
		t.Errorf("sag %.2f mm, linear %.2f mm", large.Sag, small.Sag)
	}
}

// TestFiner: half the side moves the answer little, and a looser model of the joints never
// makes it stiffer.
func TestFiner(t *testing.T) {
	if testing.Short() {
		t.Skip("three solutions")
	}
	sag := map[string]float64{}
	for name, o := range map[string]Options{"coarse": options(24), "fine": options(16)} {
		a, err := made(t, assembled(t), o).Solve(t.Context(), sit())
		if err != nil {
			t.Fatal(err)
		}
		sag[name] = a.Sag
	}
	o := options(24)
	o.Model = Loose
	a, err := made(t, assembled(t), o).Solve(t.Context(), sit())
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%.3f mm, finer %.3f, loose %.3f", sag["coarse"], sag["fine"], a.Sag)
	if math.Abs(sag["coarse"]-sag["fine"]) > 0.05*sag["fine"] {
		t.Errorf("sag %.3f mm, with finer triangles %.3f", sag["coarse"], sag["fine"])
	}
	if a.Sag < sag["coarse"] {
		t.Errorf("with loose joints it sags %.3f mm, with rigid ones %.3f", a.Sag, sag["coarse"])
	}
}

func TestMistakes(t *testing.T) {
	reason := func(what string, err error, want Reason) *Error {
		t.Helper()
		var e *Error
		if !errors.As(err, &e) || e.Reason != want {
			t.Errorf("%s: %v, want %v", what, err, want)
			return &Error{}
		}
		return e
	}
	a := assembled(t)
	a.Joins = nil
	_, err := New(t.Context(), a, options(40))
	if e := reason("no joins", err, Unheld); len(e.Parts) != 1 || e.Parts[0] != a.Copies[0].Name {
		t.Errorf("unheld are %v", e.Parts)
	}
	o := options(40)
	o.Metal = func(shop.Stock) (Metal, bool) { return Metal{}, true }
	_, err = New(t.Context(), assembled(t), o)
	reason("no metal", err, NoMetal)
	o = options(10)
	o.Nodes = 100
	_, err = New(t.Context(), assembled(t), o)
	reason("too many nodes", err, TooLarge)
	o = options(40)
	o.Memory = 1000
	_, err = New(t.Context(), assembled(t), o)
	reason("too little memory", err, TooLarge)
	p := made(t, assembled(t), options(40))
	l := sit()
	l.At = vec(0, 0, 2000)
	_, err = p.Solve(t.Context(), l)
	reason("beside the seat", err, NoPlace)
}

// TestBent: the middle of a strip of 90°, r and t: sharp, its middle is where the sheets'
// middles meet, (r + t/2)·tan 45° from the tangent.
func TestBent(t *testing.T) {
	f := panel.FlatFold{From: plane.Point{}, To: plane.Point{X: 100}, Down: true}
	f.Bend.Angle, f.Bend.Thickness, f.Bend.Radius, f.Bend.K = math.Pi/2, 2, 3, 0.4
	x, z := bent(&f, f.Bend.Allowance()/2)
	if math.Abs(x-4) > 1e-12 || z != 0 {
		t.Errorf("the corner lies %v along and %v out", x, z)
	}
	x, z = bent(&f, f.Bend.Allowance())
	if math.Abs(x-4) > 1e-12 || math.Abs(z+4) > 1e-12 {
		t.Errorf("the far tangent lies %v along and %v out", x, z)
	}
	f.Bend.Angle = math.Pi // a strip turned back on itself: the arc
	x, z = bent(&f, f.Bend.Allowance())
	if math.Abs(x) > 1e-9 || math.Abs(z+8) > 1e-9 {
		t.Errorf("turned back, the far tangent lies %v along and %v out", x, z)
	}
}
