package step

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"perch/parts/bend"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

func pt(x, y float64) plane.Point { return plane.Point{X: x, Y: y} }

func polygon(ps ...plane.Point) plane.Region {
	l := make(plane.Loop, len(ps))
	for i, p := range ps {
		l[i].P = p
	}
	return plane.Region{l}
}

// bentPart is a web of 50 × 100 with a flange on its right edge.
func bentPart(t *testing.T, b bend.Bend, down bool, web, flange plane.Region, relief panel.Relief) *panel.Flat {
	t.Helper()
	f, err := panel.Unfold(&panel.Panel{
		Name:  "part",
		Stock: shop.Stock{Name: "sheet", Material: "mild_steel", Thickness: b.Thickness, Density: 7850},
		Faces: []panel.Face{
			{Name: "web", Frame: solid.LevelFrame(0), Outline: web},
			{Name: "flange", Frame: panel.Hung(solid.LevelFrame(0), pt(50, 0), pt(50, 100), b, down), Outline: flange},
		},
		Folds: []panel.Fold{{Name: "bend", A: 0, B: 1, Radius: b.Radius, K: b.K, Angle: b.Angle, Down: down, Relief: relief}},
	}, panel.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// shapes are parts that no example has, or not by itself.
func shapes(t *testing.T) map[string]*panel.Flat {
	const quarter = math.Pi / 2
	square, slanted := polygon(pt(0, 0), pt(50, 0), pt(50, 100), pt(0, 100)), polygon(pt(0, -20), pt(50, 0), pt(50, 100), pt(0, 120))
	flange := polygon(pt(-50, 0), pt(50, 0), pt(50, 30), pt(-50, 30))
	tapered := polygon(pt(-50, 0), pt(50, 0), pt(30, 30), pt(-30, 30))
	short := polygon(pt(-20, 0), pt(20, 0), pt(20, 30), pt(-20, 30))
	sharp := bend.Bend{Angle: quarter, Thickness: 2, K: 0.4}
	round := bend.Bend{Angle: quarter, Thickness: 1.5, Radius: 2, K: 0.4}
	hole := bentPart(t, round, true, square, flange, panel.ReliefAuto)
	hole.Points = []panel.Point{
		{Name: "a", At: pt(30, 40), Diameter: 6, Kind: panel.Drill},
		{Name: "b", At: pt(30, 44), Diameter: 6, Kind: panel.Drill, When: panel.InPlace}, // into the first
		{Name: "c", At: pt(46, 70), Diameter: 8, Kind: panel.Hole},                       // into the bend
	}
	return map[string]*panel.Flat{
		"square":                      bentPart(t, round, true, square, flange, panel.ReliefAuto),
		"up":                          bentPart(t, round, false, square, flange, panel.ReliefAuto),
		"aslant":                      bentPart(t, round, true, slanted, tapered, panel.ReliefAuto),
		"aslant, up":                  bentPart(t, round, false, slanted, tapered, panel.ReliefAuto),
		"sharp":                       bentPart(t, sharp, true, square, flange, panel.ReliefAuto),
		"sharp, up, aslant":           bentPart(t, sharp, false, slanted, tapered, panel.ReliefAuto),
		"closed hem":                  bentPart(t, bend.Hem(1.5), true, square, flange, panel.ReliefAuto),
		"closed hem, aslant":          bentPart(t, bend.Hem(1.5), true, slanted, tapered, panel.ReliefAuto),
		"closed hem, up, aslant":      bentPart(t, bend.Hem(1.5), false, slanted, tapered, panel.ReliefAuto),
		"in the middle":               bentPart(t, round, true, square, short, panel.ReliefRound),
		"holes in each other, a bend": hole,
	}
}

// assembled has a part once as it is and once bent the other way, 500 mm off.
func assembled(f *panel.Flat) *panel.Assembly {
	return &panel.Assembly{Design: "Try", Size: "only", Blanks: []*panel.Blank{{Name: "part", Flat: f, Count: 2, Mirrored: 1}}, Copies: []panel.Copy{
		{Name: "part.1", Matrix: panel.Matrix{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1}},
		{Name: "part.2", Mirrored: true, Matrix: panel.Matrix{-1, 0, 0, 500, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1}},
	}}
}

// Corners, edges and faces of a closed surface go by the rule of Euler and Poincaré: with R
// rings beyond the first of a face and G openings through the metal, V − E + F − R = 2 − 2·G.
func TestClosed(t *testing.T) {
	for name, f := range shapes(t) {
		for _, mirrored := range []bool{false, true} {
			s, err := solidOf(f, mirrored)
			if err != nil {
				t.Fatal(name, err)
			}
			used := map[int]bool{}
			for _, e := range s.edges {
				used[e.from], used[e.to] = true, true
			}
			rings := 0
			for _, p := range s.faces {
				rings += len(p.holes)
			}
			openings := 0
			if strings.HasPrefix(name, "holes") {
				openings = 2
			}
			if got := len(used) - len(s.edges) + len(s.faces) - rings; got != 2-2*openings {
				t.Errorf("%s: %d corners, %d edges, %d faces, %d rings", name, len(used), len(s.edges), len(s.faces), rings)
			}
		}
	}
}

// OpenCASCADE finds in every part the volume that flat metal and bends hold: a strip's, by its
// length at each place across it, is that length times the sector of a ring.
func TestVolumes(t *testing.T) {
	const python = "/usr/bin/python3"
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("PERCH_REFEREES=require asks python3-gmsh")
	}
	dir := t.TempDir()
	var files []string
	want := map[string]float64{}
	for name, f := range shapes(t) {
		var b bytes.Buffer
		if err := Write(&b, assembled(f)); err != nil {
			t.Fatal(name, err)
		}
		file := filepath.Join(dir, name+".step")
		if err := os.WriteFile(file, b.Bytes(), 0o666); err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
		s := f.Folds[0]
		ring := s.Bend.Angle * (s.Bend.Radius + s.Bend.Thickness/2) * s.Bend.Thickness / s.Bend.Allowance()
		want[file] = (f.Faces[0].Loop.Area()+f.Faces[1].Loop.Area())*s.Bend.Thickness + s.Loop.Area()*ring
		if strings.HasPrefix(name, "holes") {
			// two circles of 6 whose centres lie 4 apart, and one of 8 that goes over the tangent line
			lens := 2*9*math.Acos(4/6.0) - 2*math.Sqrt(36-16)
			x := f.Folds[0].TangentA[0].X - 46
			over := 16*math.Acos(x/4) - x*math.Sqrt(16-x*x)
			want[file] -= (2*math.Pi*9 - lens + math.Pi*16 - over) * s.Bend.Thickness
			want[file] -= over * ring
		}
	}
	out, err := exec.Command(python, append([]string{"../../cmd/perch/testdata/read_step.py"}, files...)...).Output()
	if err != nil {
		t.Fatal(err)
	}
	var got []struct {
		File   string
		Solids []struct {
			Volume  float64
			Open    int
			Corners [][3]float64
		}
	}
	if err := json.Unmarshal(out, &got); err != nil {
		t.Fatal(err)
	}
	for _, g := range got {
		name := filepath.Base(g.File)
		if len(g.Solids) != 2 {
			t.Errorf("%s: %d solids", name, len(g.Solids))
			continue
		}
		for i, s := range g.Solids {
			if !(math.Abs(s.Volume/want[g.File]-1) <= 1e-7) || s.Open != 0 {
				t.Errorf("%s: %.9g mm³, %.9g by hand; %d open edges", name, s.Volume, want[g.File], s.Open)
			}
			for _, p := range s.Corners { // what is mirrored stands at the other side
				if (i == 0) != (p[0] < 200) {
					t.Errorf("%s: a corner of solid %d is at %v", name, i, p)
				}
			}
		}
	}
}

// A spline lies within what is promised of a helix and of an arc wound on a cylinder, and on
// its cylinder, looked at between the places at which it was made.
func TestSplines(t *testing.T) {
	f := bentPart(t, bend.Bend{Angle: 3, Thickness: 3, Radius: 40, K: 0.4}, true,
		polygon(pt(-100, 0), pt(50, 0), pt(50, 100), pt(-100, 100)), polygon(pt(-50, 0), pt(50, 0), pt(50, 300), pt(-50, 300)), panel.ReliefAuto)
	a := &fold(f, false).bends[0]
	for _, e := range []plane.Edge{
		{From: a.base, To: a.base.Add(a.out.Scale(a.allowance)).Add(a.e.Scale(70))},
		{From: a.base, To: a.base.Add(a.out.Scale(a.allowance)).Add(a.e.Scale(7)), Bulge: 1},
		{From: a.base, To: a.base.Add(a.out.Scale(a.allowance)), Bulge: -0.3},
	} {
		p := &path{arch: a, edge: e}
		both, err := p.splines()
		if err != nil {
			t.Fatal(err)
		}
		for s := range both {
			for k := range 1000 {
				v := both[s].at((float64(k) + 0.317) / 1000).Sub(a.centre)
				if off := math.Abs(v.Sub(a.axis.Scale(v.Dot(a.axis))).Len() - a.radius[s]); off > 2*splineTol {
					t.Fatalf("%+v: %g mm off its cylinder", e, off)
				}
			}
			ends := [2]solid.Vec{both[s].at(0), both[s].at(1)}
			if d := ends[0].Sub(a.at(e.From, s)).Len() + ends[1].Sub(a.at(e.To, s)).Len(); d > 1e-9 {
				t.Errorf("%+v: its ends are %g mm off", e, d)
			}
		}
	}
}

// ISO 10303-21, 6.4.3, from memory: quotes and backslashes doubled, others by number.
func TestText(t *testing.T) {
	for s, want := range map[string]string{
		"":             "''",
		"leg.1":        "'leg.1'",
		"maker's":      "'maker''s'",
		`a\b`:          `'a\\b'`,
		"Höhe":         `'H\X\F6he'`,
		"a\n":          `'a\X\0A'`,
		"Ωm!":          `'\X2\03A9\X0\m!'`,
		"台灣":           `'\X2\53F07063\X0\'`,
		"Ω\U0001d11eb": `'\X2\03A9\X0\\X4\0001D11E\X0\b'`,
	} {
		if got := string(text(nil, s)); got != want {
			t.Errorf("%q is written %s, want %s", s, got, want)
		}
	}
	for x, want := range map[float64]string{0: "0.", 12.5: "12.5", -3: "-3.", 1e-12: "0.", 100: "100."} {
		if got := string(number(nil, x, lengthDecimals)); got != want {
			t.Errorf("%g is written %s, want %s", x, got, want)
		}
	}
}

// What is no solid is told with its part, and nothing is written.
func TestRefusals(t *testing.T) {
	off := bentPart(t, bend.Bend{Angle: 1, Thickness: 1, Radius: 2, K: 0.4}, true,
		polygon(pt(0, 0), pt(50, 0), pt(50, 100), pt(0, 100)), polygon(pt(-50, 0), pt(50, 0), pt(50, 30), pt(-50, 30)), panel.ReliefAuto)
	apart := *off
	apart.Folds = append([]panel.FlatFold(nil), off.Folds...)
	apart.Folds[0].Loop = off.Folds[0].Loop.Transform(plane.Translate(pt(300, 0)))
	endless := *off
	endless.Faces = append([]panel.FlatFace(nil), off.Faces...)
	endless.Faces[0].Frame.O.X = math.Inf(1)
	for want, f := range map[string]*panel.Flat{
		"part part: fold bend does not touch face": &apart,
		"a number is not finite":                   &endless,
	} {
		var b bytes.Buffer
		if err := Write(&b, assembled(f)); err == nil || !strings.Contains(err.Error(), want) || b.Len() > 0 {
			t.Errorf("%d bytes, %v; want %s", b.Len(), err, want)
		}
	}
}
