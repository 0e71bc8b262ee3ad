package joining_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/joining"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// built is a design's first size.
func built(t *testing.T, name, text string, s *shop.Shop) *panel.Assembly {
	t.Helper()
	prog, diags, err := load.Source(diag.NewSource(name, text), load.Library(), s)
	if err != nil || diag.HasErrors(diags) {
		t.Fatalf("%s: %v %v", name, err, diags)
	}
	r, diags := build.Size(prog, build.Sizes(prog)[0], s, nil)
	if diag.HasErrors(diags) || r.Assembly == nil {
		t.Fatalf("%s: %v", name, diags)
	}
	return r.Assembly
}

// slab is a face's metal for the checker: a polygon of straight chords with holes, in the
// face's own frame, from 0 down to −thick. It is read off the flat and the matrices, as
// a reader of the record would, and shares no code with the search.
type slab struct {
	o, x, y, z solid.Vec
	loops      [][][2]float64
	thick      float64
}

func chords(l plane.Loop) [][2]float64 {
	var out [][2]float64
	for i, v := range l {
		w := l[(i+1)%len(l)]
		out = append(out, [2]float64{v.P.X, v.P.Y})
		if v.Bulge == 0 {
			continue
		}
		// an arc by its bulge: points at equal angles about the middle of its circle
		turn := 4 * math.Atan(v.Bulge)
		dx, dy := w.P.X-v.P.X, w.P.Y-v.P.Y
		half := math.Hypot(dx, dy) / 2
		r := half / math.Sin(turn/2)
		h := r * math.Cos(turn/2)
		cx, cy := (v.P.X+w.P.X)/2-dy/(2*half)*h, (v.P.Y+w.P.Y)/2+dx/(2*half)*h
		from := math.Atan2(v.P.Y-cy, v.P.X-cx)
		for k := 1; k < 16; k++ {
			a := from + turn*float64(k)/16
			out = append(out, [2]float64{cx + math.Abs(r)*math.Cos(a), cy + math.Abs(r)*math.Sin(a)})
		}
	}
	return out
}

func slabs(a *panel.Assembly, copy int) []slab {
	c := a.Copies[copy]
	f := a.Blanks[c.Blank].Flat
	m := c.Matrix
	dir := func(v solid.Vec) solid.Vec {
		return solid.Vec{X: m[0]*v.X + m[1]*v.Y + m[2]*v.Z, Y: m[4]*v.X + m[5]*v.Y + m[6]*v.Z, Z: m[8]*v.X + m[9]*v.Y + m[10]*v.Z}
	}
	var out []slab
	for _, face := range f.Faces {
		s := slab{o: dir(face.Frame.O).Add(solid.Vec{X: m[3], Y: m[7], Z: m[11]}), x: dir(face.Frame.X), y: dir(face.Frame.Y),
			z: dir(face.Frame.Normal()), thick: f.Panel.Stock.Thickness}
		s.loops = append(s.loops, chords(face.Loop))
		for _, l := range f.Inner {
			s.loops = append(s.loops, chords(l))
		}
		out = append(out, s)
	}
	return out
}

func allSlabs(a *panel.Assembly) [][]slab {
	out := make([][]slab, len(a.Copies))
	for i := range out {
		out[i] = slabs(a, i)
	}
	return out
}

// holds tells whether a point lies in the metal, at least deep mm below its two surfaces.
func (s slab) holds(p solid.Vec, deep float64) bool {
	d := p.Sub(s.o)
	if z := d.Dot(s.z); z > -deep || z < -s.thick+deep {
		return false
	}
	x, y, in := d.Dot(s.x), d.Dot(s.y), false
	for k, l := range s.loops {
		crosses := false
		for i, a := range l {
			b := l[(i+1)%len(l)]
			if (a[1] > y) != (b[1] > y) && x < a[0]+(y-a[1])*(b[0]-a[0])/(b[1]-a[1]) {
				crosses = !crosses
			}
		}
		if k == 0 {
			in = crosses
		} else if crosses {
			return false
		}
	}
	return in
}

// within is the stretch of a line, from lo to hi, that runs between the slab's surfaces.
func (s slab) within(p, dir solid.Vec, lo, hi float64) (float64, float64) {
	slope, z := dir.Dot(s.z), p.Sub(s.o).Dot(s.z)
	if math.Abs(slope) < 1e-9 {
		if z > 0 || z < -s.thick {
			return 1, 0
		}
		return lo, hi
	}
	a, b := -z/slope, (-s.thick-z)/slope
	return max(lo, min(a, b)), min(hi, max(a, b))
}

// rays asks whether straight lines along a tool's axis, in the middle and in rings about
// it, run through metal between the tool's ends.
func rays(metal []slab, t joining.Probe, scale float64) bool {
	across := solid.Vec{Z: 1}
	if math.Abs(t.Dir.Z) > 0.7 {
		across = solid.Vec{X: 1}
	}
	u := t.Dir.Cross(across).Unit()
	v := t.Dir.Cross(u)
	for _, s := range metal {
		for _, ring := range []float64{0, 0.25, 0.5, 0.75, 1} {
			for k := range 24 {
				w := 2 * math.Pi * float64(k) / 24
				r := ring * t.Radius * scale
				from := t.At.Add(u.Scale(r * math.Cos(w))).Add(v.Scale(r * math.Sin(w)))
				lo, hi := s.within(from, t.Dir, t.From, t.Length)
				for z := lo; z <= hi; z += max(0.3, (hi-lo)/60) {
					if s.holds(from.Add(t.Dir.Scale(z)), 0.02) {
						return true
					}
				}
				if ring == 0 {
					break
				}
			}
		}
	}
	return false
}

// together are the parts of a step's set that a fastener belongs to: what hangs together
// by fasteners that are set by then.
func together(a *panel.Assembly, set map[int]bool, join int) []int {
	in := map[int]bool{}
	for _, m := range a.Joins[join].Members {
		in[m.Copy] = true
	}
	for grown := true; grown; {
		grown = false
		for i := range set {
			touches, whole := false, true
			for _, m := range a.Joins[i].Members {
				touches = touches || in[m.Copy]
				whole = whole && in[m.Copy]
			}
			if touches && !whole {
				for _, m := range a.Joins[i].Members {
					in[m.Copy], grown = true, true
				}
			}
		}
	}
	var out []int
	for c := range in {
		out = append(out, c)
	}
	slices.Sort(out)
	return out
}

// torched tells whether a torch's room, somewhat thinner than it is, is free from some side
// square to a bead.
func torched(a *panel.Assembly, metal [][]slab, j *panel.JoinPoint, there []int) bool {
	along := j.Line[1].Sub(j.Line[0]).Unit()
	side := along.Cross(solid.Vec{X: 0.3, Y: 0.5, Z: 0.8}).Unit()
	up := along.Cross(side)
	for k := range 64 {
		w := 2 * math.Pi * float64(k) / 64
		dir := side.Scale(math.Cos(w)).Add(up.Scale(math.Sin(w)))
		torch := joining.Probe{At: j.At, Dir: dir, Radius: j.Reach.Head.Radius, From: j.Reach.Head.From, Length: j.Reach.Head.Length}
		if !slices.ContainsFunc(there, func(c int) bool { return rays(metal[c], torch, 0.9) }) {
			return true
		}
	}
	return false
}

// followed goes through a plan: every fastener is set once, and no ray of its tools meets
// metal that hangs together with it by the end of its step.
func followed(t *testing.T, a *panel.Assembly, s *shop.Shop, p joining.Plan) (set int) {
	t.Helper()
	lost := map[int]bool{}
	for _, u := range p.Unreached {
		lost[u.Join] = true
	}
	probes, metal := joining.Probes(a, s), allSlabs(a)
	done := map[int]bool{}
	for _, step := range p.Steps {
		var now []int
		for _, f := range step.Fasteners {
			now = append(now, f.Joins...)
		}
		now = slices.Concat(now, step.Tacks, step.Welds)
		for _, i := range now {
			if done[i] {
				t.Errorf("%s is set twice", a.Joins[i].Name)
			}
			done[i] = true
		}
		for _, i := range now {
			j := &a.Joins[i]
			if lost[i] {
				continue
			}
			if j.Line != nil {
				set++
				if !torched(a, metal, j, together(a, done, i)) {
					t.Errorf("%s: no torch comes to it", j.Name)
				}
				continue
			}
			for _, tool := range probes[i] {
				set++
				for _, c := range together(a, done, i) {
					if rays(metal[c], tool, 0.95) {
						t.Errorf("%s: %s is in the way", j.Name, a.Copies[c].Name)
					}
				}
			}
		}
	}
	for i := range a.Joins {
		if !done[i] {
			t.Errorf("%s is never set", a.Joins[i].Name)
		}
	}
	return set
}

// The plans of all examples, and of the designs that were written before they were tried,
// can be followed by rays.
func TestPlansCanBeFollowed(t *testing.T) {
	s := shop.Default()
	files, _ := filepath.Glob("../../examples/*/*.perch")
	more, _ := filepath.Glob("../../testdata/designs/*.perch")
	if testing.Short() {
		more = more[:8]
	}
	rooms := 0
	for _, file := range append(files, more...) {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		t.Run(filepath.Base(file), func(t *testing.T) {
			a := built(t, file, string(text), s)
			p := joining.New(a, s)
			for _, u := range p.Unreached {
				t.Errorf("%v", u.Text(a))
			}
			rooms += followed(t, a, s, p)
		})
	}
	if rooms < 300 {
		t.Errorf("%d rooms were looked at", rooms)
	}
}

// What the search takes for a part in a tool's way is in the way of rays, and the other way
// round, on every tool and part of a stool, with tools far too thick so that many are.
func TestRoomsAgreeWithRays(t *testing.T) {
	s := shop.Default()
	text, err := os.ReadFile("../../examples/stool/stool.perch")
	if err != nil {
		t.Fatal(err)
	}
	a := built(t, "stool.perch", string(text), s)
	for i := range a.Joins {
		a.Joins[i].Reach.Head.Radius, a.Joins[i].Reach.Head.Length = 9+float64(i%5)*12, 90
	}
	metal := allSlabs(a)
	hits, misses := 0, 0
	for i, tools := range joining.Probes(a, s) {
		for _, tool := range tools {
			for c := range a.Copies {
				in := slices.Contains(tool.By, c)
				if !in && rays(metal[c], tool, 0.98) {
					t.Errorf("%s: rays meet %s, the search does not", a.Joins[i].Name, a.Copies[c].Name)
				}
				if in {
					hits++
					if !rays(metal[c], tool, 1.1) {
						misses++ // rays look at faces, not at bends
					}
				}
			}
		}
	}
	if hits < 30 || misses > hits/10 {
		t.Errorf("of %d parts in the way rays miss %d", hits, misses)
	}
}

const kit = `design "Kit"
stock steel = sheet(mild_steel, 2mm, radius: 2mm)
panel channel(on_it: plane, wide: length = 80mm, deep: length = 40mm) {
  face web on on_it { outline rect(wide, 120mm) }
  face left off web.left up 90deg { outline strip(deep) }
  face right off web.right up 90deg { outline strip(deep) }
}
panel cover(over: length, wide: length = 88mm) {
  face web on level(over) { outline rect(wide, 120mm) }
  face left off web.left down 90deg { outline strip(30mm) }
  face right off web.right down 90deg { outline strip(30mm) }
}
panel plate(on_it: plane, wide: length = 50mm, long: length = 100mm, up: length = 0mm) {
  face flat on on_it { outline rect(wide, long) at (0mm, up) }
}
`

func unreached(p joining.Plan, a *panel.Assembly) (out []string) {
	for _, u := range p.Unreached {
		var by []string
		for _, c := range u.By {
			by = append(by, a.Copies[c].Name)
		}
		out = append(out, fmt.Sprintf("%s %s by %s, turns %v, knot %v", a.Joins[u.Join].Name, u.Side, strings.Join(by, " "), u.Turns, u.Knot))
	}
	return out
}

// steps says which parts come onto which, and how many fasteners are set.
func steps(p joining.Plan, a *panel.Assembly) (out []string) {
	names := func(of []int) string {
		var all []string
		for _, c := range of {
			all = append(all, a.Copies[c].Name)
		}
		return strings.Join(all, " ")
	}
	for _, s := range p.Steps {
		n := len(s.Tacks) + len(s.Welds)
		for _, f := range s.Fasteners {
			n += len(f.Joins)
		}
		out = append(out, fmt.Sprintf("%s onto %s: %d", names(s.Parts), names(s.Onto), n))
	}
	return out
}

// A cover closes a channel: what is riveted from inside comes before it, though the file
// names it last; with heads outside it may come when it likes.
func TestCoverComesLast(t *testing.T) {
	s := shop.Default()
	text := kit + `
part lid of steel = cover(42mm)
part base of steel = channel(level(0mm))
part strap of steel = plate(base.web.under)
join roof = [lid.left, lid.right] to [base.left, base.right] by rivet(4.8mm, count: 2, drilled: all)
join hold = base.web to strap.flat by rivet(4.8mm, count: 2, head: HEAD, drilled: all)
`
	seen := map[string]bool{}
	for _, head := range []string{"outer", "inner"} {
		a := built(t, "kit.perch", strings.ReplaceAll(text, "HEAD", head), s)
		p := joining.New(a, s)
		if got := unreached(p, a); got != nil {
			t.Fatalf("heads %s: unreached: %v", head, got)
		}
		followed(t, a, s, p)
		inside := false
		for _, j := range a.Joins {
			inside = inside || strings.HasPrefix(j.Name, "hold") && j.Axis.Z < 0
		}
		first := steps(p, a)[0]
		seen[first] = true
		if inside && (first != "strap onto base: 2" && first != "base onto strap: 2") {
			t.Errorf("heads inside: the first step is %q", first)
		}
	}
	if len(seen) != 2 {
		t.Errorf("on either side the first step is %v", seen)
	}
}

// Bolts and solid rivets need room on both sides, blind ones on one: in a channel 26 mm
// wide inside, on whose drawn side `outer` is, no hammer swings and no wrench of 40 mm fits.
func TestBothSides(t *testing.T) {
	s := shop.Default()
	for _, c := range []struct {
		by   string
		want []string
	}{
		{"rivet(4.8mm, count: 1, drilled: all)", nil},
		{"bolt(5mm, count: 1, drilled: all)", []string{"side.1 head by base, turns false, knot false"}},
		{"rivet(5mm, count: 1, set: cold, drilled: all)", []string{"side.1 head by base, turns false, knot false"}},
		{"rivet(5mm, count: 1, set: welded, drilled: all)", nil}, // its head goes in, the torch stays out
		{"rivet(5mm, count: 1, set: welded, drilled: all, head: inner)", []string{"side.1 tail by base, turns true, knot false"}},
		{"rivet(4.8mm, count: 1, drilled: all, head: outer)", []string{"side.1 head by base, turns true, knot false"}},
		{"rivet(4.8mm, count: 1, drilled: outer, head: outer)", []string{"side.1 head by base, turns true, knot false"}},
	} {
		a := built(t, "kit.perch", kit+`
part base of steel = channel(level(0mm), 30mm, 60mm)
part wing of steel = plate(base.left.under, 40mm, 30mm, 35mm)
join side = wing.flat to base.left by `+c.by+"\n", s)
		p := joining.New(a, s)
		if got := unreached(p, a); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.by, got, c.want)
		}
		if len(p.Steps) != 1 {
			t.Errorf("%s: %d steps: what is out of reach is in the plan all the same", c.by, len(p.Steps))
		}
	}
}

// A drill is thicker than a riveter: beside a wall 60 mm high, 15 mm away, the hole is to
// be made before bending.
func TestDrillNeedsMoreRoom(t *testing.T) {
	s := shop.Default()
	text := kit + `
part base of steel = channel(level(0mm), 80mm, 80mm)
part strap of steel = plate(base.web.under, 76mm)
join hold = base.web to strap.flat at [(25mm, 0mm), (25mm, 40mm)] by rivet(4.8mm, head: HEAD, drilled: WHEN)
`
	for _, c := range []struct {
		when string
		want int
	}{{"all", 0}, {"outer", 2}} {
		most := 0
		for _, head := range []string{"outer", "inner"} { // one of them is inside the channel
			a := built(t, "kit.perch", strings.NewReplacer("HEAD", head, "WHEN", c.when).Replace(text), s)
			p := joining.New(a, s)
			for _, u := range p.Unreached {
				if u.Side != joining.Bore || !u.Turns {
					t.Errorf("%+v", u)
				}
			}
			most = max(most, len(p.Unreached))
		}
		if most != c.want {
			t.Errorf("drilled: %s: %d out of reach, want %d", c.when, most, c.want)
		}
	}
}

// Where a join says nothing of its heads they lie where a tool comes to them.
func TestHeadsLieWhereTheyAreReached(t *testing.T) {
	s := shop.Default()
	for _, order := range []string{"base.left to wing.flat", "wing.flat to base.left"} {
		a := built(t, "kit.perch", kit+`
part base of steel = channel(level(0mm), 30mm, 60mm)
part wing of steel = plate(base.left.under, 40mm, 30mm, 35mm)
join side = `+order+` by rivet(4.8mm, count: 1)
`, s)
		p := joining.New(a, s)
		if got := unreached(p, a); got != nil {
			t.Errorf("%s: %v", order, got)
		}
		if j := a.Joins[0]; a.Copies[j.Members[0].Copy].Name != "wing" || j.Axis.X < 0.99 {
			t.Errorf("%s: the head lies on %s, axis %v", order, a.Copies[j.Members[0].Copy].Name, j.Axis)
		}
	}
}
