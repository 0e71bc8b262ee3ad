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

// Nothing to join is no plan, and one part has no steps.
func TestNothingToJoin(t *testing.T) {
	if p := joining.New(&panel.Assembly{}, shop.Default()); len(p.Steps)+len(p.Flat)+len(p.Unreached) > 0 {
		t.Errorf("of nothing: %+v", p)
	}
	s := shop.Default()
	a := built(t, "kit.perch", kit+"part only of steel = plate(level(0mm))\n", s)
	if p := joining.New(a, s); len(p.Steps) > 0 || len(p.Flat) != 1 {
		t.Errorf("of one part: %+v", p)
	}
}

// Tacks round a plate: opposite ends first, and never one beside the one before it.
func TestHeatIsSpread(t *testing.T) {
	s := shop.Default()
	a := built(t, "kit.perch", kit+`
part base of steel = plate(level(0mm), 200mm, 200mm)
part pad of steel = plate(base.flat.over, 120mm, 120mm)
join round = [pad.flat] to base.flat by tack(5mm, count: 8)
`, s)
	p := joining.New(a, s)
	var order []int
	for _, step := range p.Steps {
		order = append(order, step.Tacks...)
	}
	if len(order) != 8 {
		t.Fatalf("%d tacks", len(order))
	}
	least := math.Inf(1)
	for k := 1; k < len(order)/2; k++ {
		least = min(least, a.Joins[order[k]].At.Sub(a.Joins[order[k-1]].At).Len())
	}
	pitch := a.Joins[1].At.Sub(a.Joins[0].At).Len()
	if least < 1.9*pitch {
		t.Errorf("of the first half of the tacks two that follow each other lie %.1f apart, at a pitch of %.1f", least, pitch)
	}
	if got, far := a.Joins[order[0]].At.Sub(a.Joins[order[1]].At).Len(), 7*pitch; math.Abs(got-far) > 1e-6 {
		t.Errorf("the first two lie %.1f apart, the ends %.1f", got, far)
	}
}

// Parts that tacks are to locate are tacked beside the ends of their row, and nothing is pinned.
func TestTacksLocate(t *testing.T) {
	s := shop.Default()
	a := built(t, "kit.perch", kit+`
part base of steel = plate(level(0mm), 200mm, 60mm)
part strap of steel = plate(base.flat.over, 180mm, 40mm)
join hold = strap.flat to base.flat by rivet(4.8mm, count: 5, located: tacks)
`, s)
	p := joining.New(a, s)
	if len(p.Steps) != 1 {
		t.Fatalf("%d steps", len(p.Steps))
	}
	var names []string
	for _, i := range p.Steps[0].TackAt {
		names = append(names, a.Joins[i].Name)
	}
	slices.Sort(names)
	if !slices.Equal(names, []string{"hold.1", "hold.5"}) || len(p.Steps[0].Holds) != 1 || len(p.Steps[0].Holds[0].Pins) != 0 || p.Steps[0].Holds[0].Clamps != 2 {
		t.Errorf("tacked beside %v, held %+v", names, p.Steps[0].Holds)
	}
	said := false
	for _, l := range p.Words(a) {
		said = said || strings.Contains(l.Text.String(), "Tack at the nearest edge beside these")
	}
	if !said {
		t.Error("nothing is said of tacks")
	}
}

// An ear is riveted to a channel from outside, and a pad onto the ear where that comes to
// lie: the pad is in the riveter's way, and a hammer on the pad's rivets needs the channel
// away. Either could come first, but not both.
func TestKnotIsTold(t *testing.T) {
	s := shop.Default()
	a := built(t, "kit.perch", kit+`
part base of steel = channel(level(0mm), 40mm, 60mm)
part ear of steel = plate(base.left.under, 80mm, 30mm, 35mm)
part pad of steel = plate(ear.flat.under, 80mm, 30mm, 35mm)
join side = ear.flat to base.left by rivet(4.8mm, count: 2, drilled: all)
join on = pad.flat to ear.flat at [(-20mm, 35mm), (20mm, 35mm)] by rivet(4mm, set: cold, drilled: all)
`, s)
	p := joining.New(a, s)
	got := unreached(p, a)
	if len(got) != 2 {
		t.Fatalf("out of reach: %v", got)
	}
	for _, u := range p.Unreached {
		if text := u.Text(a).String(); !u.Knot || !strings.Contains(text, "and what has to come before them is in the way of others") {
			t.Errorf("%+v: %s", u, text)
		}
	}
	followed(t, a, s, p)
}

// What is said at the bench, of every kind of fastener.
func TestWords(t *testing.T) {
	s := shop.Default()
	s.Rivets = slices.DeleteFunc(s.Rivets, func(r shop.Rivet) bool { return r.Diameter == 6.4 })
	a := built(t, "kit.perch", kit+`
part base of steel = plate(level(0mm), 300mm, 700mm)
part cold of steel = plate(base.flat.over, 60mm, 60mm, 100mm)
part hot of steel = plate(base.flat.over, 60mm, 60mm, 30mm)
part held of steel = plate(base.flat.over, 60mm, 60mm, -40mm)
part bolted of steel = plate(base.flat.over, 60mm, 60mm, -110mm)
part under of steel = plate(base.flat.under, 60mm, 60mm, 200mm)
part odd of steel = plate(base.flat.under, 60mm, 60mm, 270mm)
part spot of steel = plate(base.flat.under, 60mm, 60mm, -200mm)
part lid of steel = plate(level(200mm)) loose
join a = cold.flat to base.flat by rivet(4mm, count: 2, set: cold, drilled: all)
join b = hot.flat to base.flat by rivet(4mm, count: 2, set: hot, tail: countersunk, drilled: all)
join c = held.flat to base.flat by rivet(4mm, count: 1, set: welded, drilled: all)
join d = bolted.flat to base.flat by bolt(5mm, count: 1, drilled: all)
join e = under.flat to base.flat by rivet(4.8mm, count: 1, drilled: all)
join f = odd.flat to base.flat by rivet(6.4mm, count: 1, drilled: all)
join g = spot.flat to base.flat by plug(12mm, count: 1)
`, s)
	said := map[string]bool{}
	for _, l := range joining.New(a, s).Words(a) {
		said[l.Text.String()] = true
	}
	for _, want := range []string{
		"Hammer cold over a dolly, tails round: 2 solid rivets 4 mm × 10 mm; heads on cold.",
		"Hammer red hot over a dolly, tails flush: 2 solid rivets 4 mm × 8 mm; countersink the holes where the tails lie first, with tongs and nothing that burns below; heads on hot.",
		"Put in and hold with a bead of weld round the tail: 1 solid rivet 4 mm × 8 mm, cut to 6 mm; heads on held.",
		"Bolt: 1 bolt 5 mm × 12 mm, a washer under head and nut; heads on bolted.",
		"Pull: 1 blind rivet 4.8 mm × 8 mm; heads on base.",
		"Pull: 1 blind rivet 6.4 mm, at least 12 mm long; heads on base.",
		"Weld in this order, so that heat spreads: g.1.",
		"Lay lid in place: nothing fastens it.",
	} {
		if !said[want] {
			t.Errorf("nothing says %q in:\n%v", want, said)
		}
	}
}

// The tutorial's stool: four legs alike come to the cap at one step, sixteen rivets; what is
// counted is what the parts have.
func TestStoolIsCounted(t *testing.T) {
	s := shop.Default()
	text, err := os.ReadFile("../../examples/tutorial/5_stool.perch")
	if err != nil {
		t.Fatal(err)
	}
	a := built(t, "5_stool.perch", string(text), s)
	p := joining.New(a, s)
	if got := steps(p, a); len(got) != 1 || !strings.HasSuffix(got[0], "onto cap: 16") || strings.Count(got[0], "leg.") != 4 {
		t.Fatalf("steps %q", got)
	}
	step := p.Steps[0]
	inPlace, holes := 0, 0
	for _, c := range a.Copies {
		for _, x := range a.Blanks[c.Blank].Flat.Points {
			holes++
			if x.Made() == panel.InPlace {
				inPlace++
			}
		}
	}
	drilled := 0
	for _, d := range step.Drills {
		drilled += d.Count
		for k, i := range d.Joins {
			if k > 0 && d.Joins[k-1] >= i {
				t.Errorf("joins %v are listed twice or out of order", d.Joins)
			}
		}
	}
	if drilled != inPlace || inPlace == 0 {
		t.Errorf("%d holes are drilled in place, of %d", drilled, inPlace)
	}
	bores := 0
	for _, d := range p.Bores(a) {
		bores += d.Count
	}
	if holes != 32 || bores != holes { // 4.9 mm: all too small for the cutter
		t.Errorf("%d holes are drilled in all, of %d", bores, holes)
	}
	if len(step.Holds) != 4 || len(step.Onto) != 1 || len(step.Together) != 5 || step.Sets != 1 || step.Loose {
		t.Errorf("%+v", step)
	}
	text, err = os.ReadFile("../../examples/stool/stool.perch")
	if err != nil {
		t.Fatal(err)
	}
	a = built(t, "stool.perch", string(text), s)
	for _, f := range joining.New(a, s).Flat {
		b := a.Blanks[f.Blank]
		beads := 0
		for _, m := range b.Flat.Marks {
			if m.Kind == panel.MarkBead {
				beads++
			}
		}
		if f.Beads != beads || f.Bends != len(b.Flat.Folds) || b.Name == "cap" && beads != 1 {
			t.Errorf("%s: %+v, %d beads", b.Name, f, beads)
		}
	}
}
