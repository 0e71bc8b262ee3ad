package scene

import (
	"context"
	"math"

	"perch/parts/drawing/layout"
	"perch/parts/mesh"
	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/solver/elementary"
)

const (
	// sag is how far, mm, a chord may lie off its arc in the flat.
	sag = 0.009
	// past is how far, mm, lines across the metal reach past a strip's ends: where a relief ends it,
	// chords lie off the arc that the tangent line ends on.
	past = 4 * sag
	// facetTurn is the angle, radians, of one flat of a bend at most: 10°.
	facetTurn = math.Pi / 18
	// bendSag is how far, mm, a flat of a bend may lie off its round.
	bendSag = 0.05
	// mostFacets bounds the flats of one bend.
	mostFacets = 90
	// cornerTurn is the angle, radians, from which on an outline turns a corner: 15°.
	cornerTurn = math.Pi / 12
	// mostNodes bounds what one blank is divided into.
	mostNodes = 200_000
)

func newShape(b *panel.Blank, number int, names *naming.Names) (*Shape, error) {
	f := b.Flat
	stock := f.Panel.Stock
	s := &Shape{
		Name: b.Name, Called: names.Blank(number), Stock: stock.Name, Material: stock.Material, Thickness: stock.Thickness,
		Count: b.Count, Root: f.Root, Order: b.Order, Outline: chords(b.Contour()),
	}
	for i := range f.Faces {
		s.Faces = append(s.Faces, Face{Name: f.FaceName(i), Called: names.Face(number, i), Loop: chords(f.Faces[i].Loop)})
	}
	for i := range f.Folds {
		fold := newFold(&f.Folds[i])
		fold.Called = names.Fold(number, i)
		s.Folds = append(s.Folds, fold)
	}
	area := b.Contour().Area()
	for _, l := range layout.Openings(f) {
		s.Openings = append(s.Openings, chords(l))
		area += l.Area()
	}
	s.Mass = area * stock.Thickness * stock.Density * 1e-9
	s.holes(f)
	s.lines(f)
	if err := s.divide(); err != nil {
		return nil, &TooFineError{Blank: b.Name, Why: err}
	}
	return s, nil
}

// newFold reads a fold. The tangent lines run its way, whatever reliefs left of them.
func newFold(f *panel.FlatFold) Fold {
	u := f.To.Sub(f.From).Unit()
	out := Fold{
		Name: f.Name, A: f.A, B: f.B, Start: f.TangentA[0], Along: u, Loop: chords(f.Loop), Angle: f.Bend.Angle,
		Radius: f.Bend.Radius, K: f.Bend.K, Allowance: f.Bend.Allowance(), Down: f.Down,
	}
	for _, e := range f.Loop.Edges() {
		if e.Straight() && math.Abs(e.To.Sub(e.From).Dot(out.away())) > sag {
			out.ends = append(out.ends, [2]plane.Point{e.From, e.To})
		}
	}
	if f.TangentA[0].Dot(u) > f.TangentA[1].Dot(u) {
		out.Start = f.TangentA[1]
	}
	step := facetTurn
	if k := bendSag / (f.Bend.Radius + f.Bend.Thickness); k < 1 {
		step = min(step, 2*math.Sqrt(2*k)) // the chord's rise is R·(1 − cos(step/2))
	}
	out.Facets = min(mostFacets, max(1, int(math.Ceil(f.Bend.Angle/step-1e-9))))
	return out
}

// chords are a loop's corners, with its arcs as even chords.
func chords(l plane.Loop) []plane.Point {
	var out []plane.Point
	for _, e := range l.Edges() {
		out = append(out, e.From)
		if e.Straight() {
			continue
		}
		n := 1
		if k := sag / e.Radius(); k < 1 {
			n = int(math.Ceil(math.Abs(e.Sweep()) / (2 * math.Sqrt(2*k))))
		}
		for i := 1; i < n; i++ {
			out = append(out, e.PointAt(float64(i)/float64(n)))
		}
	}
	return out
}

// holes lists what is open in a flat and where joins fasten.
func (s *Shape) holes(f *panel.Flat) {
	for _, c := range f.Cuts {
		h := Hole{Name: c.Name, Kind: "cut", Face: c.Face, Loop: chords(c.Loop), At: c.Loop.Centroid()}
		if c.Notch {
			h.Kind = "notch"
		}
		if _, r, ok := layout.Circle(c.Loop); ok {
			h.Diameter = 2 * r
		}
		s.Holes = append(s.Holes, h)
	}
	for _, p := range f.Points {
		h := Hole{Name: p.Name, For: p.For, Kind: string(p.Kind), When: string(p.Made()), Face: p.Face, At: p.At, Diameter: p.Diameter}
		if !p.Marked() && p.Made() != panel.InPlace && !f.Open(p) {
			r := float64(p.Diameter / 2)
			h.Loop = chords(plane.Loop{{P: plane.Point{X: p.At.X - r, Y: p.At.Y}, Bulge: 1}, {P: plane.Point{X: p.At.X + r, Y: p.At.Y}, Bulge: 1}})
		}
		s.Holes = append(s.Holes, h)
	}
}

// lines are what is scribed and the beads' middle lines.
func (s *Shape) lines(f *panel.Flat) {
	kinds := map[panel.MarkKind]string{panel.MarkLine: "line", panel.MarkBead: "bead"}
	for _, m := range f.Marks {
		kind, ok := kinds[m.Kind]
		if !ok || len(m.Path) == 0 {
			continue
		}
		path := m.Path
		if m.Closed {
			path = append(path.Clone(), plane.Vertex{P: path[0].P})
		}
		s.Lines = append(s.Lines, Line{Name: m.Name, Kind: kind, Face: m.Face, Points: layout.OpenPolyline(path, sag)})
	}
}

// divide makes the net: no triangle crosses a fold's tangent lines, the lines between its
// flats or its ends.
func (s *Shape) divide() error {
	r := mesh.Region{Loops: append([][]plane.Point{s.Outline}, s.Openings...), Most: mostNodes}
	for i := range s.Folds {
		f := &s.Folds[i]
		r.Lines = append(r.Lines, f.ends...)
		lo, hi := f.reach()
		for k := 0; k <= f.Facets; k++ {
			base := f.Start.Add(f.away().Scale(f.Allowance * float64(k) / float64(f.Facets)))
			r.Lines = append(r.Lines, [2]plane.Point{base.Add(f.Along.Scale(lo - past)), base.Add(f.Along.Scale(hi + past))})
		}
	}
	var m *mesh.Mesh
	var err error
	for _, r.Apart = range [...]float64{1e-5, 1e-4, 1e-3} {
		if m, err = mesh.Divide(context.Background(), r); err == nil {
			break
		}
	}
	if err != nil {
		return err
	}
	s.regions(m)
	return nil
}

// reach is how far the strip goes along its fold, from Start.
func (f *Fold) reach() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range f.Loop {
		along := p.Sub(f.Start).Dot(f.Along)
		lo, hi = min(lo, along), max(hi, along)
	}
	return lo, hi
}

// turns tells by how much a path turns at b, radians.
func turns(a, b, c plane.Point) float64 {
	u, v := b.Sub(a), c.Sub(b)
	return math.Abs(elementary.Atan2(u.Cross(v), u.Dot(v)))
}
