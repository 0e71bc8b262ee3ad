package drawing

import (
	"fmt"
	"math"

	"perch/parts/drawing/layout"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
)

// Facet is a flat piece of a solid's surface in the world, mm. Outer and Holes
// are closed loops in one plane, whose outside Normal, a unit vector, points to.
type Facet struct {
	Outer  []solid.Vec
	Holes  [][]solid.Vec
	Normal solid.Vec
	Tint   int           // the stock's number: its colour
	Of     int           // the copy's number; of a fastener the one its head lies on
	Soft   []bool        // edges of Outer that are not drawn, by the vertex they start at; nil: all are drawn
	Bend   bool          // a flat that stands for part of a bend
	Thin   bool          // a sheet's edge: no outlines at all, and no shadow
	Head   bool          // a fastener's: it is not measured over
	Marks  [][]solid.Vec // lines and letters scribed on it, beads and nicks, open
}

const (
	// roundness is how far, in sizes of what is drawn, a chord may lie off its arc. Drawn
	// 180 mm large that is 0.06 mm.
	roundness = 1.0 / 3000
	leastSag  = 0.005 // mm
	// A hole's wall is seen only if the hole is this wide, mm.
	wallsFrom = 12
	// maxStep is the angle of one flat of a bend, radians, at most.
	maxStep = 0.8
)

// Facets gives the assembly's surfaces: for each copy, its faces front and back
// with their edges, and its bends as a few flats each; then the heads of its fasteners.
// Arcs are as round as an eye sees at the assembly's size. Error for a copy of no
// blank or a flat without sheet.
func Facets(a *panel.Assembly) ([]Facet, error) {
	out, err := Metal(a)
	if err != nil {
		return nil, err
	}
	tint := tintsOf(a)
	for i := range a.Joins {
		for _, f := range headsOf(a, &a.Joins[i]) {
			f.Tint, f.Head = tint[a.Copies[f.Of].Blank], true
			out = append(out, f)
		}
	}
	return out, nil
}

// tintsOf are the blanks' tints: their stocks', numbered as they come.
func tintsOf(a *panel.Assembly) []int {
	known := map[string]int{}
	out := make([]int, len(a.Blanks))
	for i, b := range a.Blanks {
		name := b.Flat.Panel.Stock.Name
		if _, ok := known[name]; !ok {
			known[name] = len(known)
		}
		out[i] = known[name]
	}
	return out
}

// Metal is Facets without fasteners.
func Metal(a *panel.Assembly) ([]Facet, error) {
	for _, b := range a.Blanks {
		if b.Flat == nil || b.Flat.Panel == nil {
			return nil, fmt.Errorf("picture: blank %q has no flat", b.Name)
		}
	}
	for _, c := range a.Copies {
		if c.Blank < 0 || c.Blank >= len(a.Blanks) {
			return nil, fmt.Errorf("picture: copy %q is of blank %d of %d", c.Name, c.Blank, len(a.Blanks))
		}
	}
	tint, sag := tintsOf(a), sagOf(a)
	parts := map[[2]int][]Facet{} // by blank, and whether it is bent the other way
	var out []Facet
	for i, c := range a.Copies {
		key := [2]int{c.Blank}
		if c.Mirrored {
			key[1] = 1
		}
		part, made := parts[key]
		if !made {
			part = partFacets(a.Blanks[c.Blank], tint[c.Blank], sag, c.Mirrored)
			parts[key] = part
		}
		for _, f := range part {
			f.Of = i
			out = append(out, f.moved(c.Matrix))
		}
	}
	return out, nil
}

// sagOf is how far chords may lie off arcs in a picture of the whole.
func sagOf(a *panel.Assembly) float64 {
	inf := math.Inf(1)
	lo, hi := solid.Vec{X: inf, Y: inf, Z: inf}, solid.Vec{X: -inf, Y: -inf, Z: -inf}
	for _, c := range a.Copies {
		for _, f := range a.Blanks[c.Blank].Flat.Faces {
			b := f.Loop.Bounds()
			for _, q := range [4]plane.Point{b.Min, b.Max, {X: b.Min.X, Y: b.Max.Y}, {X: b.Max.X, Y: b.Min.Y}} {
				v := movedPoint(f.Frame.At(q), c.Matrix)
				lo = solid.Vec{X: min(lo.X, v.X), Y: min(lo.Y, v.Y), Z: min(lo.Z, v.Z)}
				hi = solid.Vec{X: max(hi.X, v.X), Y: max(hi.Y, v.Y), Z: max(hi.Z, v.Z)}
			}
		}
	}
	if size := hi.Sub(lo).Len() * roundness; size > leastSag && size < inf {
		return size
	}
	return leastSag
}

func (f Facet) moved(m panel.Matrix) Facet {
	f.Outer = movedLoop(f.Outer, m)
	holes := make([][]solid.Vec, len(f.Holes))
	for i, h := range f.Holes {
		holes[i] = movedLoop(h, m)
	}
	f.Holes = holes
	marks := make([][]solid.Vec, len(f.Marks))
	for i, l := range f.Marks {
		marks[i] = movedLoop(l, m)
	}
	f.Marks = marks
	o := movedPoint(solid.Vec{}, m)
	f.Normal = movedPoint(f.Normal, m).Sub(o)
	return f
}

func movedLoop(l []solid.Vec, m panel.Matrix) []solid.Vec {
	out := make([]solid.Vec, len(l))
	for i, p := range l {
		out[i] = movedPoint(p, m)
	}
	return out
}

func movedPoint(p solid.Vec, m panel.Matrix) solid.Vec {
	row := func(i int) float64 {
		return float64(m[i]*p.X) + float64(m[i+1]*p.Y) + float64(m[i+2]*p.Z) + m[i+3]
	}
	return solid.Vec{X: row(0), Y: row(4), Z: row(8)}
}

// sheet is one blank's metal in part space, under way.
type sheet struct {
	flat      *panel.Flat
	inner     []plane.Loop
	thickness float64
	tint      int
	sag       float64
	nicks     [][3]plane.Point
	mirrored  bool
	facets    []Facet
}

// partFacets are a blank's surfaces. What is scribed on it is on the drawn side; a copy that
// is bent the other way has that on the side which for the others is the back.
func partFacets(b *panel.Blank, tint int, sag float64, mirrored bool) []Facet {
	f := b.Flat
	s := &sheet{flat: f, inner: layout.Openings(f), thickness: f.Panel.Stock.Thickness, tint: tint, sag: sag, mirrored: mirrored}
	for _, m := range b.FoldMarks {
		if m.Kind == panel.Nick {
			s.nicks = append(s.nicks, m.Vee)
		}
	}
	for i, face := range f.Faces {
		s.face(face, i)
	}
	for i := range f.Folds {
		s.bend(&f.Folds[i])
	}
	return s.facets
}

// face adds a face's both sides and its edges, each side with its marks.
func (s *sheet) face(face panel.FlatFace, index int) {
	outline := layout.Polyline(face.Loop, s.sag)
	if len(outline) < 3 {
		return
	}
	var holes [][]plane.Point
	for _, l := range s.inner {
		if len(l) > 0 && inside(outline, l[0].P) {
			holes = append(holes, layout.Polyline(l, s.sag))
		}
	}
	scribed, rolled := marked(s.flat, index, s.sag), beads(s.flat, index, s.sag)
	soft := s.softEdges(outline)
	normal := face.Frame.Normal()
	for _, side := range []struct {
		depth, sign float64
		scribed     bool
	}{{0, 1, !s.mirrored}, {s.thickness, -1, s.mirrored}} {
		f := Facet{Outer: s.lift(face.Frame, outline, side.depth), Normal: normal.Scale(side.sign), Tint: s.tint, Soft: soft}
		for _, h := range holes {
			f.Holes = append(f.Holes, s.lift(face.Frame, h, side.depth))
		}
		for _, l := range rolled {
			f.Marks = append(f.Marks, s.lift(face.Frame, l, side.depth))
		}
		if side.scribed {
			for _, l := range scribed {
				f.Marks = append(f.Marks, s.lift(face.Frame, l, side.depth))
			}
		}
		s.facets = append(s.facets, f)
	}
	s.walls(face.Frame, outline, soft)
	for _, h := range holes {
		if spread(h) > wallsFrom {
			s.walls(face.Frame, h, nil)
		}
	}
}

func (s *sheet) lift(f solid.Frame, pts []plane.Point, depth float64) []solid.Vec {
	down := f.Normal().Scale(-depth)
	out := make([]solid.Vec, len(pts))
	for i, p := range pts {
		out[i] = f.At(p).Add(down)
	}
	return out
}

// walls are the sheet's edge along a loop that has the metal on its left.
func (s *sheet) walls(f solid.Frame, pts []plane.Point, soft []bool) {
	top, low := s.lift(f, pts, 0), s.lift(f, pts, s.thickness)
	for i := range pts {
		if soft != nil && soft[i] {
			continue // the bend goes on here
		}
		j := (i + 1) % len(pts)
		out := top[j].Sub(top[i]).Cross(f.Normal())
		if n := out.Len(); n > 0 {
			s.facets = append(s.facets, Facet{Outer: []solid.Vec{top[i], top[j], low[j], low[i]}, Normal: out.Scale(1 / n), Tint: s.tint, Thin: true})
		}
	}
}

// softEdges finds the edges along a bend's tangent lines, where the surface goes on.
func (s *sheet) softEdges(pts []plane.Point) []bool {
	const near = 1e-3 // mm
	soft := make([]bool, len(pts))
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		for _, f := range s.flat.Folds {
			for _, t := range [2][2]plane.Point{f.TangentA, f.TangentB} {
				u, long := unit(t[0], t[1])
				on := func(r plane.Point) bool {
					d := plane.Point{X: r.X - t[0].X, Y: r.Y - t[0].Y}
					a := dot(d, u)
					return math.Abs(float64(d.X*u.Y)-float64(d.Y*u.X)) < near && a > -near && a < long+near
				}
				soft[i] = soft[i] || long > 0 && on(p) && on(q)
			}
		}
	}
	return soft
}

func spread(pts []plane.Point) float64 {
	lo, hi := pts[0].X, pts[0].X
	for _, p := range pts {
		lo, hi = math.Min(lo, p.X), math.Max(hi, p.X)
	}
	return hi - lo
}

// inside reports whether p lies in the closed polygon, by crossing parity.
func inside(pts []plane.Point, p plane.Point) bool {
	in := false
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+float64((p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X)) {
			in = !in
		}
	}
	return in
}
