package panel

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"perch/parts/bend"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// workedStool is testdata/worked-stool.json: derived from intersecting planes,
// independent of this code.
type workedStool struct {
	Stated struct {
		Seat, Height, Splay, Thickness, Radius, K, Flap, Toe, Head, Gap float64
	}
	Planes struct {
		NX          float64 `json:"nx"`
		NZ          float64 `json:"nz"`
		FlapOutside float64 `json:"flap_outside"`
		LegOutside  float64 `json:"leg_outside"`
	}
	LegBend  workedBend `json:"leg_bend"`
	FlapBend workedBend `json:"flap_bend"`
	Leg      struct {
		MoldFoot   [3]float64   `json:"mold_foot"`
		MoldHead   [3]float64   `json:"mold_head"`
		MoldLength float64      `json:"mold_length"`
		HalfStrip  float64      `json:"half_strip"`
		StripY     [2]float64   `json:"strip_y"`
		Cheek      [][2]float64 `json:"cheek"`
		Size       [2]float64
		Area       float64
	}
	Cap struct {
		Top     float64
		StripTo float64 `json:"strip_to"`
		Flap    [][2]float64
		Size    float64
		Touch   float64
		CutBack float64 `json:"cut_back"`
	}
	Rivets []struct {
		World    [3]float64
		Cap, Leg [2]float64
	}
}

type workedBend struct {
	Angle     float64
	SetBack   float64 `json:"set_back"`
	Allowance float64
	Deduction float64
}

type failer interface {
	Helper()
	Errorf(string, ...any)
	Fatalf(string, ...any)
}

func readWorked(t testing.TB) *workedStool {
	t.Helper()
	text, err := os.ReadFile("../../testdata/worked-stool.json")
	if err != nil {
		t.Fatal(err)
	}
	w := new(workedStool)
	if err := json.Unmarshal(text, w); err != nil {
		t.Fatal(err)
	}
	return w
}

func near(t failer, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.9f, want %.9f (off by %.2g)", what, got, want, got-want)
	}
}

func vec(v [3]float64) solid.Vec { return solid.Vec{X: v[0], Y: v[1], Z: v[2]} }

// leaning is the frame of a plane at the distance d from the origin that leans by the
// splay and faces the direction k·90° from x: x level to the right seen from outside.
func leaning(k int, d, splay float64) solid.Frame {
	s, c := math.Sincos(splay)
	dir := [4]plane.Point{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}}[k]
	return solid.Frame{
		O: solid.Vec{X: d / c * dir.X, Y: d / c * dir.Y},
		X: solid.Vec{X: -dir.Y, Y: dir.X},
		Y: solid.Vec{X: -s * dir.X, Y: -s * dir.Y, Z: c},
	}
}

func loopOf(ps ...plane.Point) plane.Loop {
	var l plane.Loop
	for _, p := range ps {
		l = append(l, plane.Vertex{P: p})
	}
	return l
}

// drop places points of space in a face's frame.
func drop(f solid.Frame, vs ...solid.Vec) plane.Region {
	var l plane.Loop
	for _, v := range vs {
		l = append(l, plane.Vertex{P: f.Local(v)})
	}
	return plane.Region{l}
}

func (w *workedStool) stock() shop.Stock {
	return shop.Stock{Name: "shell", Material: "mild_steel", Thickness: w.Stated.Thickness, Radius: w.Stated.Radius, Density: 7850}
}

func (w *workedStool) cap(relief Relief) *Panel {
	splay := w.Stated.Splay * math.Pi / 180
	p := &Panel{Name: "cap", Stock: w.stock()}
	half := w.Stated.Seat / 2
	p.Faces = append(p.Faces, Face{Name: "top", Frame: solid.LevelFrame(w.Stated.Height), Outline: plane.Region{plane.Rect(2*half, 2*half)}})
	slant := w.Stated.Height / math.Cos(splay)
	low := slant - w.Stated.Flap
	wide := half + (slant-low)*math.Sin(splay)
	for k := range 4 {
		f := leaning(k, w.Planes.FlapOutside, splay)
		p.Faces = append(p.Faces, Face{Name: "flap." + string(rune('0'+k)), Frame: f, Outline: plane.Region{loopOf(
			plane.Point{X: -wide, Y: low}, plane.Point{X: wide, Y: low}, plane.Point{X: half, Y: slant}, plane.Point{X: -half, Y: slant})}})
		p.Folds = append(p.Folds, Fold{Name: p.Faces[k+1].Name, A: 0, B: k + 1, Radius: w.Stated.Radius, K: w.Stated.K, Relief: relief})
		p.Seams = append(p.Seams, Seam{Name: "corner", A: k + 1, B: (k+1)%4 + 1, Gap: w.Stated.Gap})
	}
	return p
}

// leg stands at the corner of sides k and k+1.
func (w *workedStool) leg(k int) *Panel {
	splay := w.Stated.Splay * math.Pi / 180
	left, right := leaning(k, w.Planes.LegOutside, splay), leaning((k+1)%4, w.Planes.LegOutside, splay)
	foot, head := vec(w.Leg.MoldFoot), vec(w.Leg.MoldHead)
	for range k {
		foot, head = solid.Vec{X: -foot.Y, Y: foot.X, Z: foot.Z}, solid.Vec{X: -head.Y, Y: head.X, Z: head.Z}
	}
	along := func(p, dir solid.Vec, d float64) solid.Vec { return p.Add(dir.Scale(d)) }
	l, r := left.X.Neg(), right.X
	return &Panel{Name: "leg", Stock: w.stock(),
		Faces: []Face{
			{Name: "left", Frame: left, Outline: drop(left, along(foot, l, w.Stated.Toe), foot, head, along(head, l, w.Stated.Head))},
			{Name: "right", Frame: right, Outline: drop(right, foot, along(foot, r, w.Stated.Toe), along(head, r, w.Stated.Head), head)},
		},
		Folds: []Fold{{Name: "left/right", A: 0, B: 1, Radius: w.Stated.Radius, K: w.Stated.K}},
	}
}

func unfold(t testing.TB, p *Panel) *Flat {
	t.Helper()
	f, err := Unfold(p, Options{})
	if err != nil {
		t.Fatalf("%s: %v", p.Name, err)
	}
	checkFlat(t, f)
	return f
}

// checkFlat holds a flat to what every flat must be: faces fold back to their frames,
// faces and strips tile the blank, strips touch their faces along the tangent lines.
func checkFlat(t failer, f *Flat) {
	t.Helper()
	for i, face := range f.Panel.Faces {
		got := f.FaceFrame(i)
		if d := got.O.Sub(face.Frame.O).Len(); d > 1e-9 {
			t.Errorf("%s: face %s folds back %.2g mm off", f.Panel.Name, face.Name, d)
		}
		if d := got.X.Sub(face.Frame.X).Len() + got.Y.Sub(face.Frame.Y).Len(); d > 1e-11 {
			t.Errorf("%s: face %s folds back turned by %.2g", f.Panel.Name, face.Name, d)
		}
	}
	sum := 0.0
	for i := range f.Faces {
		sum += f.Faces[i].Trimmed.Area()
	}
	for _, s := range f.Folds {
		sum += s.Loop.Area()
	}
	if d := sum - f.Area(); math.Abs(d) > overlapTol+1e-9*f.Area() {
		t.Errorf("%s: faces and strips make %.6f mm², the blank is %.6f", f.Panel.Name, sum, f.Area())
	}
	for _, s := range f.Folds {
		a := f.Faces[s.A].Loop
		left := s.To.Sub(s.From).Unit().Perp()
		probe := s.TangentA[0].Lerp(s.TangentA[1], 0.5).Add(left.Scale(1e-5))
		if plane.Chords(plane.Region{a}, probe, left) == nil {
			t.Errorf("%s: face %s is not left of fold %s", f.Panel.Name, f.Faces[s.A].Name, s.Name)
		}
	}
}

func TestWorkedCap(t *testing.T) {
	w := readWorked(t)
	f := unfold(t, w.cap(ReliefNone))
	for _, s := range f.Folds {
		near(t, "angle", s.Bend.Angle/bend.Degree, w.FlapBend.Angle, 1e-9)
		near(t, "set-back", s.SetBackA, w.FlapBend.SetBack, 1e-9)
		near(t, "allowance", s.Bend.Allowance(), w.FlapBend.Allowance, 1e-9)
		near(t, "deduction", s.Bend.Deduction(), w.FlapBend.Deduction, 1e-9)
		if !s.Down {
			t.Errorf("fold %s goes up", s.Name)
		}
	}
	for _, v := range f.Faces[0].Loop {
		near(t, "top x", math.Abs(v.P.X), w.Cap.Top, 1e-6)
		near(t, "top y", math.Abs(v.P.Y), w.Cap.Top, 1e-6)
	}
	want := loopOf(
		plane.Point{X: w.Cap.Flap[0][0], Y: -w.Cap.Flap[0][1]}, plane.Point{X: w.Cap.Flap[1][0], Y: -w.Cap.Flap[1][1]},
		plane.Point{X: w.Cap.Flap[1][0], Y: w.Cap.Flap[1][1]}, plane.Point{X: w.Cap.Flap[0][0], Y: w.Cap.Flap[0][1]})
	sameLoop(t, "flap.0", f.Faces[1].Loop, want, 1e-6)
	width, height := f.Size()
	near(t, "width", width, w.Cap.Size, 1e-6)
	near(t, "height", height, w.Cap.Size, 1e-6)
	for _, r := range w.Rivets {
		p := f.Faces[1].ToFlat.Apply(f.Panel.Faces[1].Frame.Local(vec(r.World)))
		near(t, "rivet x", p.X, r.Cap[0], 1e-6)
		near(t, "rivet y", p.Y, r.Cap[1], 1e-6)
		// and back through the bends
		at := f.World(1).At(plane.Point{X: r.Cap[0], Y: r.Cap[1]})
		near(t, "rivet in the world", at.Sub(vec(r.World)).Len(), 0, 1e-6)
	}
	if round := unfold(t, w.cap(ReliefAuto)); round.Area() >= f.Area() {
		t.Errorf("reliefs take nothing off: %.3f of %.3f", round.Area(), f.Area())
	} else if rw, rh := round.Size(); math.Abs(rw-w.Cap.Size) > 1e-6 || math.Abs(rh-w.Cap.Size) > 1e-6 {
		t.Errorf("reliefs change the size to %.6f × %.6f", rw, rh)
	}
}

func TestWorkedLeg(t *testing.T) {
	w := readWorked(t)
	for k := range 4 {
		f := unfold(t, w.leg(k))
		s := f.Folds[0]
		near(t, "angle", s.Bend.Angle/bend.Degree, w.LegBend.Angle, 1e-8)
		near(t, "set-back", s.SetBackA, w.LegBend.SetBack, 1e-8)
		near(t, "allowance", s.Bend.Allowance(), w.LegBend.Allowance, 1e-8)
		near(t, "area", f.Area(), w.Leg.Area, 1e-3)
		to := w.sheet(f)
		var right, left plane.Loop
		for _, c := range w.Leg.Cheek {
			right = append(right, plane.Vertex{P: plane.Point{X: c[0], Y: c[1]}})
			left = append(left, plane.Vertex{P: plane.Point{X: -c[0], Y: c[1]}})
		}
		sameLoop(t, "right", f.Faces[1].Loop.Transform(to), right, 1e-6)
		sameLoop(t, "left", f.Faces[0].Loop.Transform(to), left.Reversed(), 1e-6)
		size := f.Outer.Transform(to).Bounds().Size()
		near(t, "width", size.X, w.Leg.Size[0], 1e-6)
		near(t, "height", size.Y, w.Leg.Size[1], 1e-6)
		near(t, "strip from", to.Apply(s.From).Y, w.Leg.StripY[0], 1e-6)
		near(t, "strip to", to.Apply(s.To).Y, w.Leg.StripY[1], 1e-6)
		near(t, "strip middle", to.Apply(s.To).X, 0, 1e-9)
		near(t, "sight", to.Apply(s.Sight[0]).X, -w.Leg.HalfStrip+w.Stated.Radius, 1e-6)
		// metal.md: (r + t)·sin θ·(sec(A/2) − 1), for the level toe; the head is cut level too
		near(t, "deviation", s.Deviation, s.Bend.LevelCutDeviation(w.Stated.Splay*bend.Degree), 1e-9)
		if k > 0 {
			continue
		}
		for _, r := range w.Rivets {
			// the leg lies one sheet in from the flap
			on := f.Panel.Faces[0].Frame
			p := to.Apply(f.Faces[0].ToFlat.Apply(on.Local(vec(r.World))))
			near(t, "rivet x", p.X, r.Leg[0], 1e-6)
			near(t, "rivet y", p.Y, r.Leg[1], 1e-6)
		}
	}
}

// sheet is the map from the leg's flat to the worked one: x = 0 in the middle of the
// strip, y along it from the toe's mold corner.
func (w *workedStool) sheet(f *Flat) plane.Affine {
	s := f.Folds[0]
	y := s.To.Sub(s.From).Unit()
	x := y.Perp().Neg()
	mold := f.Faces[0].ToFlat.Apply(f.Panel.Faces[0].Outline[0][1].P)
	return plane.Affine{A: x.X, B: x.Y, C: y.X, D: y.Y, E: -x.Dot(s.From), F: -y.Dot(mold)}
}

// sameLoop compares loops up to their first vertex.
func sameLoop(t *testing.T, what string, got, want plane.Loop, tol float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%s: %d vertices, want %d: %v", what, len(got), len(want), got)
		return
	}
	best := math.Inf(1)
	for k := range want {
		worst := 0.0
		for i := range got {
			v, u := got[i], want[(i+k)%len(want)]
			worst = max(worst, v.P.Dist(u.P), math.Abs(v.Bulge-u.Bulge))
		}
		best = min(best, worst)
	}
	if best > tol {
		t.Errorf("%s: off by %.3g:\n got %v\nwant %v", what, best, got, want)
	}
}

func BenchmarkUnfoldLeg(b *testing.B) {
	w := readWorked(b)
	p := w.leg(0)
	for b.Loop() {
		if _, err := Unfold(p, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
