package family_test

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/record"
	"perch/parts/solid"
	"perch/parts/strength"
)

// carried is a piece of the examples under a load on a face's middle, and a push beside it.
type carried struct {
	example, size string
	copy, face    string
	force, push   solid.Vec
	spread        float64
	rims          []int // openings that are held; none for a piece that stands
	always        bool  // asked each time that referees are; the rest where PERCH_PIECES is set
}

var allCarried = []carried{
	{example: "stool", size: "mid", copy: "cap", face: "top", force: solid.Vec{Z: -1300}, push: solid.Vec{X: 65}, spread: 200, always: true},
	{example: "stool", size: "low", copy: "cap", face: "top", force: solid.Vec{Z: -1300}, push: solid.Vec{X: 65}, spread: 200},
	{example: "stool", size: "bar", copy: "cap", face: "top", force: solid.Vec{Z: -1300}, push: solid.Vec{X: 65}, spread: 200},
	{example: "bench", size: "child", copy: "cap", face: "top", force: solid.Vec{Z: -1300}, push: solid.Vec{X: 65}, spread: 200},
	{example: "plant_stand", size: "window", copy: "deck", face: "top", force: solid.Vec{Z: -1300}, push: solid.Vec{X: 65}, spread: 200, always: true},
	{example: "wall_hook", size: "road", copy: "hanger", face: "arm", force: solid.Vec{Z: -100}, spread: 30, rims: []int{0, 1}, always: true},
}

// load is the case's load with where it lies.
func (c *carried) load(t *testing.T, a *panel.Assembly) strength.Load {
	t.Helper()
	for i, copied := range a.Copies {
		if copied.Name != c.copy {
			continue
		}
		f := a.Blanks[copied.Blank].Flat
		for k := range f.Faces {
			if f.Faces[k].Name == c.face {
				at := copied.Matrix.Apply(f.Faces[k].Frame.At(f.Faces[k].Loop.Centroid()))
				return strength.Load{Name: c.example, Force: c.force, Copy: i, At: at, Spread: c.spread}
			}
		}
	}
	t.Fatalf("%s has no %s.%s", c.example, c.copy, c.face)
	return strength.Load{}
}

// TestCarriedReferee holds sag and racking stiffness of whole pieces to CalculiX on a mesh of
// gmsh's, by large movements: within 5 %, joints and feet modelled alike: fasteners do not
// give, sheets do not press on each other, feet do not slide. What giving and pressing makes
// of ours is told.
func TestCarriedReferee(t *testing.T) {
	const python = "/usr/bin/python3"
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("outside referees, python3-gmsh and calculix-ccx: PERCH_REFEREES=require asks for them")
	}
	for _, c := range allCarried {
		if !c.always && os.Getenv("PERCH_PIECES") == "" {
			continue
		}
		t.Run(c.example+"/"+c.size, func(t *testing.T) {
			a, _, sh := pieceOf(t, c.example, c.size)
			l := c.load(t, a)
			o := strength.Options{Side: 11, Model: strength.Solid, Friction: 1e6, Weightful: true, Through: true, Metal: strength.MetalOf(sh)}
			for _, i := range c.rims {
				o.Supports = append(o.Supports, c.rim(t, a, l.Copy, i))
			}
			sag, moved, pushed := solved(t, a, o, l, c.push)
			if c.example == "stool" && c.size == "mid" {
				o.Through, o.Model = false, strength.Rigid
				s, _, p := solved(t, a, o, l, c.push)
				t.Logf("where sheets press on each other and rivets give it sags %.3f mm instead of %.3f, and moves %.4f mm by the push instead of %.4f", s, sag, p, pushed)
			}
			metal, _ := o.Metal(a.Blanks[a.Copies[l.Copy].Blank].Flat.Panel.Stock)
			want := c.calculix(t, python, a, l, metal)
			t.Logf("%d nodes there: sag %.3f mm, CalculiX %.3f; moved %.3f, %.3f; pushed %.4f, %.4f", want.Nodes, sag, want.Sag, moved, want.Moved, pushed, want.Pushed)
			for _, v := range []struct {
				what      string
				got, want float64
			}{{"the sag", sag, want.Sag}, {"the loaded place's movement", moved, want.Moved}, {"the push's movement", pushed, want.Pushed}} {
				if v.want > 0.02 && math.Abs(v.got-v.want) > 0.05*v.want {
					t.Errorf("%s is %.4f mm, CalculiX says %.4f", v.what, v.got, v.want)
				}
			}
		})
	}
}

// solved is ours: the sag, how far the loaded place moves along the load, and how far a push
// there moves it on.
func solved(t *testing.T, a *panel.Assembly, o strength.Options, l strength.Load, push solid.Vec) (sag, moved, pushed float64) {
	t.Helper()
	p, err := strength.New(t.Context(), a, o)
	if err != nil {
		t.Fatal(err)
	}
	got, err := p.Solve(t.Context(), l)
	if err != nil {
		t.Fatal(err)
	}
	if push != (solid.Vec{}) {
		beside := l
		beside.Force = push
		from, err := p.Solve(t.Context(), l, beside)
		if err != nil {
			t.Fatal(err)
		}
		pushed = from.Along(&beside) - got.Along(&beside)
	}
	return got.Sag, got.Moved, pushed
}

type refereed struct {
	Nodes              int
	Sag, Moved, Pushed float64
}

// answered are the referees' answers by what they were asked: one asked again, which takes
// them a minute, is not asked twice.
var answered = map[string]refereed{}

// calculix asks the referees.
func (c *carried) calculix(t *testing.T, python string, a *panel.Assembly, l strength.Load, m strength.Metal) (want refereed) {
	t.Helper()
	folder := t.TempDir()
	var b bytes.Buffer
	if err := record.Write(&b, a, record.Options{}); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(folder, "build.json")
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	list := func(v solid.Vec) []float64 { return []float64{v.X, v.Y, v.Z} }
	ask := map[string]any{"side": c.side(), "e": m.E, "nu": m.Nu, "held": c.rims, "push": nil}
	ask["loads"] = []any{map[string]any{"copy": c.copy, "at": list(l.At), "spread": l.Spread, "force": list(l.Force)}}
	if c.push != (solid.Vec{}) {
		ask["push"] = list(c.push)
	}
	asked, err := json.Marshal(ask)
	if err != nil {
		t.Fatal(err)
	}
	key := b.String() + string(asked)
	if known, ok := answered[key]; ok {
		return known
	}
	ask["folder"] = folder
	in, err := json.Marshal(ask)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), python, "testdata/load_piece.py", file)
	cmd.Stdin = bytes.NewReader(in)
	var told bytes.Buffer
	cmd.Stderr = &told
	raw, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s with gmsh and ccx: %v\n%s", python, err, told.Bytes())
	}
	if err := json.Unmarshal(raw, &want); err != nil {
		t.Fatal(err)
	}
	answered[key] = want
	return want
}

// rim is an opening of a copy as what holds it.
func (c *carried) rim(t *testing.T, a *panel.Assembly, copied, opening int) strength.Support {
	t.Helper()
	f := a.Blanks[a.Copies[copied].Blank].Flat
	loop := f.Inner[opening]
	for k := range f.Faces {
		if f.Faces[k].Loop.Locate(loop.Centroid()) != plane.Outside {
			m := a.Copies[copied].Matrix
			o := m.Apply(f.Faces[k].Frame.O)
			frame := solid.Frame{O: o, X: m.Apply(f.Faces[k].Frame.O.Add(f.Faces[k].Frame.X)).Sub(o), Y: m.Apply(f.Faces[k].Frame.O.Add(f.Faces[k].Frame.Y)).Sub(o)}
			return strength.Support{Name: "screw", Copy: copied, Frame: frame, Opening: plane.Region{loop}}
		}
	}
	t.Fatalf("opening %d lies in no face", opening)
	return strength.Support{}
}

// side is that of the referee's triangles, mm.
func (c *carried) side() float64 {
	if len(c.rims) > 0 {
		return 12
	}
	return 60
}
