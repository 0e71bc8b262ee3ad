package panel

import (
	"errors"
	"math"
	"strings"
	"testing"

	"perch/parts/bend"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

var sheet = shop.Stock{Name: "shell", Material: "mild_steel", Thickness: 1.5, Radius: 1.5, Density: 7850}

const dinK = 0.325 // DIN 6935 at r = t

func rectAt(x0, y0, x1, y1 float64) plane.Region {
	return plane.Region{plane.RectAt(plane.Point{X: x0, Y: y0}, plane.Point{X: x1, Y: y1})}
}

// builder hangs rectangles on edges.
type builder struct{ *Panel }

func base(outline plane.Region) builder {
	return builder{&Panel{Name: "test", Stock: sheet, Faces: []Face{{Name: "web", Frame: solid.LevelFrame(0), Outline: outline}}}}
}

// hang adds a face on the edge from→to of face a, metal on the edge's left.
func (b builder) hang(a int, name string, from, to plane.Point, degrees float64, down bool, outline plane.Region) int {
	angle := degrees * bend.Degree
	bd := bend.Bend{Angle: angle, Thickness: sheet.Thickness, Radius: sheet.Radius, K: dinK}
	b.Faces = append(b.Faces, Face{Name: name, Frame: Hung(b.Faces[a].Frame, from, to, bd, down), Outline: outline})
	b.Folds = append(b.Folds, Fold{Name: name, A: a, B: len(b.Faces) - 1, Radius: sheet.Radius, K: dinK, Angle: angle, Down: down})
	return len(b.Faces) - 1
}

func pt(x, y float64) plane.Point { return plane.Point{X: x, Y: y} }

// Out-to-out lengths less the bend deductions, common practice: drawn outside lengths to
// the mold lines for down folds; for up folds the drawn side is the inside.
func TestZSectionAndTray(t *testing.T) {
	const r, th = 1.5, 1.5
	ba := math.Pi / 2 * (r + dinK*th)
	for _, c := range []struct {
		name        string
		left, right bool // down
		want        float64
	}{
		{"channel down", true, true, 40 + 20 + 20 - 4*(r+th) + 2*ba},
		{"channel up", false, false, 40 + 20 + 20 - 4*r + 2*ba},
		{"z section", true, false, 40 + 20 + 20 - 2*(r+th) - 2*r + 2*ba},
	} {
		b := base(rectAt(0, 0, 40, 100))
		b.hang(0, "right", pt(40, 0), pt(40, 100), 90, c.right, rectAt(-50, 0, 50, 20))
		b.hang(0, "left", pt(0, 100), pt(0, 0), 90, c.left, rectAt(-50, 0, 50, 20))
		f := unfold(t, b.Panel)
		w, h := f.Size()
		near(t, c.name+" width", w, c.want, 1e-9)
		near(t, c.name+" height", h, 100, 1e-9)
		near(t, c.name+" area", f.Area(), 100*c.want, 1e-7)
		if f.Folds[0].Down != c.right || f.Folds[1].Down != c.left {
			t.Errorf("%s: folds go down %v %v", c.name, f.Folds[0].Down, f.Folds[1].Down)
		}
		if len(f.Outer) != 4+8 {
			t.Logf("%s: %d vertices", c.name, len(f.Outer))
		}
	}
}

// A lip on a wall that turns back in: both directions on one face.
func TestLippedTray(t *testing.T) {
	for _, down := range []bool{true, false} {
		b := base(rectAt(-100, -60, 100, 60))
		walls := []int{
			b.hang(0, "wall.e", pt(100, -60), pt(100, 60), 90, down, rectAt(-60, 0, 60, 30)),
			b.hang(0, "wall.n", pt(100, 60), pt(-100, 60), 90, down, rectAt(-100, 0, 100, 30)),
			b.hang(0, "wall.w", pt(-100, 60), pt(-100, -60), 90, down, rectAt(-60, 0, 60, 30)),
			b.hang(0, "wall.s", pt(-100, -60), pt(100, -60), 90, down, rectAt(-100, 0, 100, 30)),
		}
		for k, w := range walls {
			b.Seams = append(b.Seams, Seam{Name: "corner", A: w, B: walls[(k+1)%4], Gap: 1})
		}
		half := []float64{60, 100, 60, 100}
		for k, w := range walls {
			h := half[k] - 12
			b.hang(w, "lip."+b.Faces[w].Name, pt(half[k], 30), pt(-half[k], 30), 90, !down, rectAt(-h, 0, h, 10))
		}
		f := unfold(t, b.Panel)
		w, h := f.Size()
		ba := f.Folds[0].Bend.Allowance()
		// mold lengths less one outside and one inside set-back at each end of a wall
		reach := 30 + 10 - 2*(1.5+3) + 2*ba // right angles: set-backs are r and r+t
		near(t, "width", w, 200+2*reach, 1e-9)
		near(t, "height", h, 120+2*reach, 1e-9)
		for _, c := range Interfere(f, f) {
			t.Errorf("down %v: %s and %s share %.3f mm", down, f.Faces[c.FaceA].Name, f.Faces[c.FaceB].Name, c.Depth)
		}
	}
}

// The open seam of walls that stand up is cut back g/(2·cos(A/2)) only: at g = 0 the
// drawn edges touch and nothing interferes; one sheet less of a cut on walls that hang
// down would.
func TestSeamGap(t *testing.T) {
	for _, down := range []bool{true, false} {
		for _, gap := range []float64{0, 0.5, 2} {
			for _, lean := range []float64{70, 90, 100} {
				b := base(rectAt(-100, -60, 100, 60))
				e := b.hang(0, "e", pt(100, -60), pt(100, 60), lean, down, rectAt(-60, 0, 60, 30))
				n := b.hang(0, "n", pt(100, 60), pt(-100, 60), lean, down, rectAt(-100, 0, 100, 30))
				b.Seams = []Seam{{Name: "corner", A: e, B: n, Kind: SeamOpen, Gap: gap}}
				f := unfold(t, b.Panel)
				d := prismGap(f.Prism(e), f.Prism(n))
				near(t, "clear gap", d, gap, 2e-3)
				if c := Interfere(f, f); len(c) > 0 {
					t.Errorf("down %v gap %g: faces interfere by %.3f", down, gap, c[0].Depth)
				}
			}
		}
	}
}

// prismGap is the least distance between two prisms' facing end edges, from points
// sampled on all their edges, front and back.
func prismGap(p, q Prism) float64 {
	best := math.Inf(1)
	pts := func(p Prism) (out [][2]solid.Vec) {
		n := p.Frame.Normal()
		for _, e := range p.Region[0].Edges() {
			for _, z := range []float64{0, -p.Thickness} {
				out = append(out, [2]solid.Vec{p.Frame.At(e.From).Add(n.Scale(z)), p.Frame.At(e.To).Add(n.Scale(z))})
			}
		}
		return out
	}
	for _, a := range pts(p) {
		for _, b := range pts(q) {
			best = min(best, lineGap(a, b))
		}
	}
	return best
}

// lineGap is the least distance between two segments, by descent over one parameter.
func lineGap(a, b [2]solid.Vec) float64 {
	at := func(s [2]solid.Vec, k float64) solid.Vec { return s[0].Add(s[1].Sub(s[0]).Scale(k)) }
	to := func(p solid.Vec) float64 {
		d := b[1].Sub(b[0])
		k := max(0, min(1, p.Sub(b[0]).Dot(d)/d.Dot(d)))
		return p.Sub(at(b, k)).Len()
	}
	lo, hi := 0.0, 1.0
	for range 100 { // the distance is convex along a
		m1, m2 := lo+(hi-lo)/3, hi-(hi-lo)/3
		if to(at(a, m1)) < to(at(a, m2)) {
			hi = m2
		} else {
			lo = m1
		}
	}
	return to(at(a, (lo+hi)/2))
}

// Closed hem on an edge, r = 0 and K = 0.5: BD = 0.4292·t (metal.md, derived).
func TestHem(t *testing.T) {
	b := base(rectAt(0, 0, 50, 100))
	hem := bend.Hem(1.5)
	b.Faces = append(b.Faces, Face{Name: "hem", Frame: Hung(b.Faces[0].Frame, pt(50, 0), pt(50, 100), hem, true), Outline: rectAt(-50, 0, 50, 10)})
	b.Folds = append(b.Folds, Fold{Name: "hem", A: 0, B: 1, K: 0.5, Angle: math.Pi, Down: true})
	f := unfold(t, b.Panel)
	w, _ := f.Size()
	near(t, "width", w, 50+10-0.4292*1.5, 1e-4)
	if c := Interfere(f, f); len(c) > 0 {
		t.Errorf("a closed hem interferes: %+v", c)
	}
	// open hems of 160° and 180°, both ways
	for _, degrees := range []float64{155, 160, 180} {
		for _, down := range []bool{true, false} {
			b := base(rectAt(0, 0, 50, 100))
			b.hang(0, "lip", pt(50, 0), pt(50, 100), degrees, down, rectAt(-50, 0, 50, 10))
			f := unfold(t, b.Panel)
			w, _ := f.Size()
			near(t, "open hem", w, 60-2*3+f.Folds[0].Bend.Allowance(), 1e-9)
			b.Folds[0].Angle -= 0.01
			wants(t, b.Panel, Disagree, math.NaN(), math.NaN())
		}
	}
}

// A tab narrower than the edge it hangs on is cut free by a notch at each end: width
// max(t, 1.5), to a sheet past the tangent line (common practice).
func TestTabReliefs(t *testing.T) {
	for _, down := range []bool{true, false} {
		b := base(rectAt(0, 0, 100, 60))
		b.hang(0, "tab", pt(40, 60), pt(20, 60), 90, down, rectAt(-10, 0, 10, 20))
		f := unfold(t, b.Panel)
		s := f.Folds[0]
		notch := 1.5 * (s.SetBackA + 1.5)
		ba := s.Bend.Allowance()
		near(t, "area", f.Area(), 100*60-20*s.SetBackA-2*notch+20*ba+20*(20-s.SetBackB), 2e-3)
		for _, r := range []Relief{ReliefRound, ReliefSlit, ReliefNone} {
			b.Folds[0].Relief = r
			unfold(t, b.Panel)
		}
		// a horn beside the notch goes with it
		b = base(rectAt(0, 0, 42, 60))
		b.hang(0, "tab", pt(40, 60), pt(20, 60), 90, down, rectAt(-10, 0, 10, 20))
		f = unfold(t, b.Panel)
		near(t, "area without horn", f.Area(), 42*60-20*s.SetBackA-notch-2*(s.SetBackA+1.5)+20*ba+20*(20-s.SetBackB), 2e-3)
	}
}

// A tab in a recess of the edge: the metal runs on beside it.
func TestRecessedTab(t *testing.T) {
	u := plane.Region{loopOf(pt(0, 0), pt(100, 0), pt(100, 80), pt(60, 80), pt(60, 60), pt(40, 60), pt(40, 80), pt(0, 80))}
	b := base(u)
	b.hang(0, "tab", pt(60, 60), pt(40, 60), 90, true, rectAt(-10, 0, 10, 15))
	f := unfold(t, b.Panel)
	if len(f.Inner) != 0 {
		t.Errorf("%d inner loops", len(f.Inner))
	}
}

// wants holds Unfold to fail for a reason, with numbers where they are not NaN.
func wants(t *testing.T, p *Panel, reason Reason, got, need float64) {
	t.Helper()
	_, err := Unfold(p, Options{})
	if err == nil {
		t.Errorf("no error, want %q", reason)
		return
	}
	var fold *FoldError
	var face *FaceError
	var seam *SeamError
	switch {
	case errors.As(err, &fold) && fold.Reason == reason:
		if !math.IsNaN(got) && math.Abs(fold.Got-got) > 1e-6 || !math.IsNaN(need) && math.Abs(fold.Need-need) > 1e-6 {
			t.Errorf("%v: got %g need %g, want %g %g", err, fold.Got, fold.Need, got, need)
		}
	case errors.As(err, &face) && face.Reason == reason:
		if !math.IsNaN(got) && math.Abs(face.Got-got) > 1e-6 {
			t.Errorf("%v: got %g, want %g", err, face.Got, got)
		}
	case errors.As(err, &seam) && seam.Reason == reason:
	default:
		t.Errorf("error %v, want %q", err, reason)
	}
	if strings.Contains(err.Error(), "%!") {
		t.Errorf("badly printed: %v", err)
	}
}

func TestErrors(t *testing.T) {
	any := math.NaN()
	set := 3 * math.Tan(math.Pi/4)
	one := func() builder {
		b := base(rectAt(0, 0, 100, 60))
		b.hang(0, "flange", pt(100, 60), pt(0, 60), 90, true, rectAt(-50, 0, 50, 20))
		return b
	}
	b := one()
	b.Faces[1].Outline = rectAt(-50, 0, 50, 2.1)
	wants(t, b.Panel, TooShort, 2.1, set)
	b = one() // a web narrower than its two set-backs
	b.Faces[0].Outline = rectAt(0, 55, 100, 60)
	b.hang(0, "other", pt(0, 55), pt(100, 55), 90, true, rectAt(-50, 0, 50, 20))
	wants(t, b.Panel, TooShort, 5, 2*set)
	b = one()
	b.Faces[1].Outline = rectAt(-50, 2.3, 50, 20)
	wants(t, b.Panel, NoMeeting, 2.3, any)
	b = one()
	b.Faces[1].Outline = rectAt(60, 0, 80, 20)
	wants(t, b.Panel, NoMeeting, 10, any)
	b = one()
	b.Faces[1].Outline = rectAt(-50, -4, 50, 20)
	wants(t, b.Panel, CrossesLine, 4, any)
	b = one()
	b.Faces[1].Frame = b.Faces[1].Frame.Back()
	b.Folds[0].Angle = 0
	wants(t, b.Panel, WrongSide, any, any)
	b = one()
	b.Folds[0].Down = false
	wants(t, b.Panel, WrongSide, any, any)
	b = one()
	b.Folds[0].Angle = 80 * bend.Degree
	wants(t, b.Panel, Disagree, math.Pi/2, 80*bend.Degree)
	b = one()
	b.Folds[0].Angle = 0
	b.Faces[1].Frame = solid.LevelFrame(0)
	wants(t, b.Panel, SamePlane, 0, any)
	b = one()
	b.Folds[0].K = -1
	wants(t, b.Panel, BadBend, any, any)
	b = one()
	b.hang(1, "far", pt(50, 20), pt(-50, 20), 90, true, rectAt(-50, 0, 50, 20))
	b.Folds = append(b.Folds, Fold{Name: "back", A: 2, B: 1})
	wants(t, b.Panel, TwoParents, any, any)
	b = one()
	b.Faces = append(b.Faces, b.Faces[1], b.Faces[1])
	b.Folds = append(b.Folds, Fold{Name: "x", A: 2, B: 3}, Fold{Name: "y", A: 3, B: 2})
	wants(t, b.Panel, Cycle, any, any)
	b = one()
	b.Faces = append(b.Faces, Face{Name: "loose", Frame: solid.LevelFrame(9), Outline: rectAt(0, 0, 1, 1)})
	wants(t, b.Panel, TwoRoots, any, any)
	b = one()
	b.Folds[0].B = 7
	wants(t, b.Panel, BadIndex, any, any)
	b = one()
	b.Faces[0].Outline = nil
	wants(t, b.Panel, BadOutline, any, any)
	b = one()
	b.Faces[0].Outline = plane.Region{loopOf(pt(0, 0), pt(math.NaN(), 0), pt(1, 1))}
	wants(t, b.Panel, BadOutline, any, any)
	b = one()
	b.Faces[0].Cuts = []Cut{{"slot", rectAt(40, 50, 50, 58)}}
	wants(t, b.Panel, CutInBend, 10, any) // 58 − (60 − 3) = 1 mm into the bend, 10 wide
	b = one()
	b.Faces[0].Cuts = []Cut{{"slot", rectAt(140, 50, 150, 58)}}
	wants(t, b.Panel, OffFace, any, any)
	b = one()
	b.Seams = []Seam{{Name: "s", A: 0, B: 0}}
	wants(t, b.Panel, BadIndex, any, any)
	wants(t, &Panel{Name: "none"}, BadOutline, any, any)
}

// A spiral of four flanges, each square to the edge before, comes back over itself.
func TestOverlap(t *testing.T) {
	b := base(rectAt(0, 0, 100, 20))
	face := 0
	from, to := pt(100, 0), pt(100, 20)
	for k, l := range []float64{40, 40, 80, 60} {
		// an L: the next flange hangs on the long side's end
		face = b.hang(face, string(rune('a'+k)), from, to, 30, true, plane.Region{loopOf(pt(-10, 0), pt(10, 0), pt(10, l), pt(-10, l))})
		from, to = pt(-10, l), pt(-10, l-20)
	}
	_, err := Unfold(b.Panel, Options{})
	var fe *FaceError
	if !errors.As(err, &fe) || fe.Reason != Overlap || !(fe.Got > 1) {
		t.Fatalf("got %v, want an overlap", err)
	}
	t.Log(err)
}

// Independent faults come together.
func TestErrorsTogether(t *testing.T) {
	b := base(rectAt(0, 0, 100, 60))
	b.hang(0, "n", pt(100, 60), pt(0, 60), 90, true, rectAt(-50, 0, 50, 1))
	b.hang(0, "s", pt(0, 0), pt(100, 0), 90, true, rectAt(-50, 0, 50, 2))
	_, err := Unfold(b.Panel, Options{})
	if err == nil || strings.Count(err.Error(), "too short") != 2 {
		t.Errorf("got %v, want both flanges named", err)
	}
}

// Openings, notches and marks.
func TestCuts(t *testing.T) {
	b := base(rectAt(0, 0, 100, 60))
	b.hang(0, "flange", pt(100, 60), pt(0, 60), 90, true, rectAt(-50, 0, 50, 20))
	b.Faces[0].Cuts = []Cut{{"hole", plane.Region{plane.Circle(10).Transform(plane.Translate(pt(30, 30)))}}, {"notch", rectAt(-5, 10, 5, 20)}}
	b.Faces[1].Cuts = []Cut{{"end", rectAt(-10, 15, 10, 30)}}
	b.Faces[1].Marks = []Mark{{Name: "m", Kind: MarkText, Text: "up", At: pt(0, 10), Dir: pt(1, 0), Height: 5}}
	f := unfold(t, b.Panel)
	if len(f.Inner) != 1 || len(f.Cuts) != 3 || f.Cuts[0].Notch || !f.Cuts[1].Notch || !f.Cuts[2].Notch {
		t.Errorf("inner %d, cuts %+v", len(f.Inner), f.Cuts)
	}
	near(t, "area", f.Area(), 100*80-100*6+100*f.Folds[0].Bend.Allowance()-25*math.Pi-5*10-20*5, 1e-6)
	near(t, "mass", f.Mass(), f.Area()*1.5*7850e-9, 1e-12)
	near(t, "mark", f.Marks[0].At.Dist(pt(50, 60-6+f.Folds[0].Bend.Allowance()+10)), 0, 1e-9)
	if f.Holes() != 1 {
		t.Errorf("%d holes", f.Holes())
	}
}
