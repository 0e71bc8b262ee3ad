package tolerance_test

import (
	"math"
	"slices"
	"testing"

	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/solid"
)

// A simulated build bends every part with errors drawn at random, by the arc and its
// allowance and nothing linear, lays the parts together with finite turns, and lets springs
// find their rest step by step. It shares no code with the room.

// motion3 is a rigid motion of space: p goes to x·p.X + y·p.Y + z·p.Z + o.
type motion3 struct{ x, y, z, o solid.Vec }

func (m *motion3) dir(v solid.Vec) solid.Vec {
	return solid.Vec{
		X: m.x.X*v.X + m.y.X*v.Y + m.z.X*v.Z,
		Y: m.x.Y*v.X + m.y.Y*v.Y + m.z.Y*v.Z,
		Z: m.x.Z*v.X + m.y.Z*v.Y + m.z.Z*v.Z,
	}
}

func (m *motion3) at(p solid.Vec) solid.Vec { return m.dir(p).Add(m.o) }

func (m *motion3) after(n *motion3) motion3 {
	return motion3{m.dir(n.x), m.dir(n.y), m.dir(n.z), m.at(n.o)}
}

// local undoes the motion on a place, where it is one without a mirror or with.
func (m *motion3) local(p solid.Vec) solid.Vec {
	d := p.Sub(m.o)
	return solid.Vec{X: d.Dot(m.x), Y: d.Dot(m.y), Z: d.Dot(m.z)}
}

func still() motion3 { return motion3{x: solid.Vec{X: 1}, y: solid.Vec{Y: 1}, z: solid.Vec{Z: 1}} }

// turning turns by w, radians about its own direction, about the origin (O. Rodrigues).
func turning(w solid.Vec) motion3 {
	a := w.Len()
	if a < 1e-300 {
		return still()
	}
	k := w.Scale(1 / a)
	s, c := math.Sincos(a)
	turn := func(v solid.Vec) solid.Vec {
		return v.Scale(c).Add(k.Cross(v).Scale(s)).Add(k.Scale(k.Dot(v) * (1 - c)))
	}
	m := still()
	return motion3{turn(m.x), turn(m.y), turn(m.z), solid.Vec{}}
}

// about is a motion about a place.
func (m motion3) about(p solid.Vec) motion3 {
	m.o = p.Sub(m.dir(p))
	return m
}

// piece is a part as it is simulated.
type piece struct {
	flat    *panel.Flat
	order   []int // folds, from the root outwards
	hinges  []simHinge
	world   motion3
	own     motion3 // how it was moved as a whole, and is where it is tried
	next    motion3
	centre  solid.Vec // in the world
	first   int       // of its unknowns
	fixed   bool
	angle   []float64 // by fold: errors drawn
	ends    [][2]float64
	faces   []motion3 // flat to the world without its own motion
	moved   []motion3 // and with it
	axes    []solid.Vec
	through []solid.Vec
}

type simHinge struct {
	fold  int
	face  int // the face whose tangent line it turns about
	moves []bool
	k     float64
	twist bool // about the way out of the fold, not about the fold
}

// bend takes the flat's points beyond a fold to where the bent sheet has them, in the
// coordinates of the first face: x from the tangent line, out of which the arc uses
// angle·(r + K·t).
func bend(s *panel.FlatFold, angle float64, ends [2]float64) motion3 {
	v := func(x, y float64) solid.Vec { return solid.Vec{X: x, Y: y} }
	a, b := v(s.TangentA[0].X, s.TangentA[0].Y), v(s.TangentA[1].X, s.TangentA[1].Y)
	along := v(s.To.X-s.From.X, s.To.Y-s.From.Y).Unit()
	if b.Sub(a).Dot(along) < 0 {
		a, b = b, a
	}
	right := v(along.Y, -along.X)
	a, b = a.Add(right.Scale(ends[0])), b.Add(right.Scale(ends[1]))
	along = b.Sub(a).Unit()
	right = v(along.Y, -along.X)
	n := solid.Vec{Z: 1}
	r, side := s.Bend.Radius, 1.0
	if s.Down {
		r, side = s.Bend.Radius+s.Bend.Thickness, -1
	}
	sin, cos := math.Sincos(angle)
	used := angle * (s.Bend.Radius + s.Bend.K*s.Bend.Thickness)
	out := right.Scale(cos).Add(n.Scale(side * sin))
	up := right.Scale(-side * sin).Add(n.Scale(cos))
	// the flat's frame at a: along, right, n; its image: along, out, up, and where a goes
	o := a.Add(right.Scale(r * sin)).Add(n.Scale(side * r * (1 - cos))).Sub(out.Scale(used))
	image := func(d solid.Vec) solid.Vec {
		return along.Scale(d.Dot(along)).Add(out.Scale(d.Dot(right))).Add(up.Scale(d.Dot(n)))
	}
	m := motion3{x: image(v(1, 0)), y: image(v(0, 1)), z: image(n)}
	m.o = o.Sub(m.dir(a))
	return m
}

// fold works out where every face lies, its hinges turned by h.
func (p *piece) fold(h []float64) {
	f := p.flat
	place := make([]motion3, len(f.Faces))
	place[f.Root] = p.world
	for _, i := range p.order {
		s := &f.Folds[i]
		b := bend(s, s.Bend.Angle+p.angle[i], p.ends[i])
		place[s.B] = place[s.A].after(&b)
	}
	for i, hg := range p.hinges {
		s := &f.Folds[hg.fold]
		line := s.TangentB
		if hg.face == s.A {
			line = s.TangentA
		}
		m := &place[hg.face]
		a, b := m.at(solid.Vec{X: line[0].X, Y: line[0].Y}), m.at(solid.Vec{X: line[1].X, Y: line[1].Y})
		p.axes[i], p.through[i] = b.Sub(a).Unit(), a
		if hg.twist {
			mid := a.Add(b).Scale(0.5)
			n := m.dir(solid.Vec{Z: 1})
			p.axes[i], p.through[i] = p.axes[i].Cross(n), mid
			a = mid
		}
		if h[i] == 0 {
			continue
		}
		turn := turning(p.axes[i].Scale(h[i])).about(a)
		for face, moves := range hg.moves {
			if moves {
				place[face] = turn.after(&place[face])
			}
		}
	}
	p.faces = place
}

func newPiece(t testing.TB, a *panel.Assembly, c int, s *shop.Shop) *piece {
	f := a.Blanks[a.Copies[c].Blank].Flat
	m := a.Copies[c].Matrix
	p := &piece{
		flat: f, angle: make([]float64, len(f.Folds)), ends: make([][2]float64, len(f.Folds)),
		world: motion3{solid.Vec{X: m[0], Y: m[4], Z: m[8]}, solid.Vec{X: m[1], Y: m[5], Z: m[9]}, solid.Vec{X: m[2], Y: m[6], Z: m[10]}, solid.Vec{X: m[3], Y: m[7], Z: m[11]}},
	}
	known := map[int]bool{f.Root: true}
	for len(p.order) < len(f.Folds) {
		before := len(p.order)
		for i, fold := range f.Folds {
			if known[fold.A] && !known[fold.B] {
				known[fold.B] = true
				p.order = append(p.order, i)
			}
		}
		if len(p.order) == before {
			t.Fatalf("%s: folds do not hang together", f.Panel.Name)
		}
	}
	p.own, p.next = still(), still()
	p.centre = p.world.at(solid.Vec{X: f.Outer.Bounds().Center().X, Y: f.Outer.Bounds().Center().Y})
	p.hinges = simHinges(f, s)
	slices.SortStableFunc(p.hinges, func(a, b simHinge) int { // what is turned later moves with what was turned before
		place := func(h simHinge) int {
			n := 0
			for _, moves := range h.moves {
				if moves {
					n++
				}
			}
			return -n
		}
		return place(a) - place(b)
	})
	p.axes, p.through = make([]solid.Vec, len(p.hinges)), make([]solid.Vec, len(p.hinges))
	p.moved = make([]motion3, len(f.Faces))
	p.fold(make([]float64, len(p.hinges)))
	for i := range f.Faces { // folded by the arc, it is the part that the build has
		want := f.Faces[i].Frame
		for _, at := range [2]solid.Vec{{}, {X: 100, Y: 50}} {
			got := p.faces[i].at(at)
			if d := got.Sub(p.world.at(want.O.Add(want.X.Scale(at.X)).Add(want.Y.Scale(at.Y)))).Len(); d > 1e-6 {
				t.Fatalf("%s: face %s is %.3g mm off its place", f.Panel.Name, f.Faces[i].Name, d)
			}
		}
	}
	return p
}

// simHinges are the folds about which faces bend: a face with one fold by 3·E·I over the
// mean distance of its fasteners from there, at least 8 mm, as wide as the fasteners spread
// and twice that distance, at most the fold; a fold between two others by those faces' depths.
func simHinges(f *panel.Flat, s *shop.Shop) []simHinge {
	e := 205000.0
	if m, ok := s.Material(f.Panel.Stock.Material); ok {
		e = m.Modulus
	}
	inertia := math.Pow(f.Panel.Stock.Thickness, 3) / 12
	tabs := map[int]int{}
	for _, t := range f.Tabs {
		tabs[t.Face] = t.Of
	}
	alone := map[int]bool{} // folds that one face hangs on alone
	var out []simHinge
	for face := range f.Faces {
		var on []int
		for i, fold := range f.Folds {
			other := fold.A + fold.B - face
			if fold.A != face && fold.B != face {
				continue
			}
			if of, tab := tabs[other]; tab && of == face {
				continue
			}
			on = append(on, i)
		}
		if len(on) != 1 {
			continue
		}
		alone[on[0]] = true
		fold := &f.Folds[on[0]]
		line := fold.TangentB
		if fold.A == face {
			line = fold.TangentA
		}
		u := line[1].Sub(line[0]).Unit()
		var far, places []float64
		for _, p := range f.Points {
			if p.Face == face {
				far = append(far, math.Abs(u.Cross(p.At.Sub(line[0]))))
				places = append(places, u.Dot(p.At.Sub(line[0])))
			}
		}
		if len(far) == 0 {
			continue
		}
		sum, lo, hi := 0.0, places[0], places[0]
		for i := range far {
			sum, lo, hi = sum+far[i], math.Min(lo, places[i]), math.Max(hi, places[i])
		}
		l := math.Max(8, sum/float64(len(far)))
		moves := make([]bool, len(f.Faces))
		for i := range moves {
			of, tab := tabs[i]
			moves[i] = i == face || tab && of == face
		}
		out = append(out, simHinge{on[0], face, moves, 3 * e * inertia * math.Min(line[0].Dist(line[1]), hi-lo+2*l) / l, false})
	}
	for i := range f.Folds {
		if alone[i] {
			continue
		}
		fold := &f.Folds[i]
		moves := make([]bool, len(f.Faces))
		moves[fold.B] = true
		for range f.Faces {
			for j, g := range f.Folds {
				if j != i && (moves[g.A] || moves[g.B]) {
					moves[g.A], moves[g.B] = true, true
				}
			}
		}
		give, twist := 0.0, 0.0
		for _, side := range [2]int{fold.A, fold.B} {
			line := fold.TangentA
			if side == fold.B {
				line = fold.TangentB
			}
			deep := 8.0
			for _, v := range f.Faces[side].Loop {
				deep = math.Max(deep, math.Abs(line[1].Sub(line[0]).Unit().Cross(v.P.Sub(line[0]))))
			}
			give += deep / (3 * e * inertia * line[0].Dist(line[1]))
			twist = e / 2.6 * line[0].Dist(line[1]) * 4 * inertia / deep // of the second: G·b·t³/3
		}
		out = append(out, simHinge{i, fold.B, moves, 1 / give, false}, simHinge{i, fold.B, moves, twist, true})
	}
	return out
}
