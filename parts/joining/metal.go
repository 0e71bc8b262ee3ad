package joining

import (
	"math"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
)

// box is an upright box in the world.
type box struct{ lo, hi solid.Vec }

func emptyBox() box {
	inf := math.Inf(1)
	return box{solid.Vec{X: inf, Y: inf, Z: inf}, solid.Vec{X: -inf, Y: -inf, Z: -inf}}
}

func (b box) with(p solid.Vec) box {
	return box{
		solid.Vec{X: min(b.lo.X, p.X), Y: min(b.lo.Y, p.Y), Z: min(b.lo.Z, p.Z)},
		solid.Vec{X: max(b.hi.X, p.X), Y: max(b.hi.Y, p.Y), Z: max(b.hi.Z, p.Z)},
	}
}

func (b box) meets(c box) bool {
	return b.lo.X <= c.hi.X && c.lo.X <= b.hi.X && b.lo.Y <= c.hi.Y && c.lo.Y <= b.hi.Y && b.lo.Z <= c.hi.Z && c.lo.Z <= b.hi.Z
}

// above is the box as seen from above.
func (b box) above() plane.Box {
	return plane.Box{Min: plane.Point{X: b.lo.X, Y: b.lo.Y}, Max: plane.Point{X: b.hi.X, Y: b.hi.Y}}
}

// facet is a flat piece of a part's surface, its outer loop first.
type facet struct {
	loops [][]solid.Vec
	box   box
}

// Metal is a part's surface in the world. What of it no tool comes near is never made.
type Metal struct {
	flat   *panel.Flat               // where the first of its blank stands
	move   func(solid.Vec) solid.Vec // from there
	pieces []piece                   // faces, then bends
	box    box
}

// piece is a face or a bend.
type piece struct {
	box    box
	made   bool
	facets []facet
}

// chord is how far, in mm, the flats that stand for arcs and bends may be off.
const chord = 0.5

// MetalOf is the metal of a part where it stands.
func MetalOf(f *panel.Flat) *Metal {
	m := metalOf(f, func(p solid.Vec) solid.Vec { return p })
	return &m
}

func metalOf(f *panel.Flat, move func(solid.Vec) solid.Vec) Metal {
	m := Metal{flat: f, move: move, pieces: make([]piece, 0, len(f.Faces)+len(f.Folds)), box: emptyBox()}
	t := f.Panel.Stock.Thickness
	add := func(b box) {
		m.pieces = append(m.pieces, piece{box: b})
		m.box = m.box.with(b.lo).with(b.hi)
	}
	for i := range f.Faces {
		p := f.Prism(i)
		b, n := emptyBox(), p.Frame.Normal().Scale(-t)
		for _, c := range [4]plane.Point{p.Bounds.Min, p.Bounds.Max, {X: p.Bounds.Min.X, Y: p.Bounds.Max.Y}, {X: p.Bounds.Max.X, Y: p.Bounds.Min.Y}} {
			at := p.Frame.At(c)
			b = b.with(move(at)).with(move(at.Add(n)))
		}
		add(b)
	}
	for i := range f.Folds {
		s := &f.Folds[i]
		b, w := emptyBox(), f.World(s.A)
		for _, v := range s.Loop {
			b = b.with(move(w.At(v.P)))
		}
		// Bent out of the plane of the first face, no point of the strip moves farther than
		// twice its width.
		far := float64(2*s.Bend.Allowance()) + t
		reach := solid.Vec{X: far, Y: far, Z: far}
		add(box{b.lo.Sub(reach), b.hi.Add(reach)})
	}
	return m
}

// metals are the surfaces of every copy. A copy's is that of the first of its blank, moved.
func metals(a *panel.Assembly) []Metal {
	first := make([]int, len(a.Blanks))
	for i := range first {
		first[i] = -1
	}
	out := make([]Metal, len(a.Copies))
	for i, c := range a.Copies {
		if first[c.Blank] < 0 {
			first[c.Blank] = i
		}
		out[i] = metalOf(a.Blanks[c.Blank].Flat, carry(a.Copies[first[c.Blank]].Matrix, c.Matrix))
	}
	return out
}

// carry takes the world where one copy stands to where another of its blank does.
func carry(from, to panel.Matrix) func(solid.Vec) solid.Vec {
	if from == to {
		return func(p solid.Vec) solid.Vec { return p }
	}
	return func(p solid.Vec) solid.Vec {
		d := solid.Vec{X: p.X - from[3], Y: p.Y - from[7], Z: p.Z - from[11]}
		q := solid.Vec{ // back by the transpose: it is a rigid motion
			X: float64(from[0]*d.X) + float64(from[4]*d.Y) + float64(from[8]*d.Z),
			Y: float64(from[1]*d.X) + float64(from[5]*d.Y) + float64(from[9]*d.Z),
			Z: float64(from[2]*d.X) + float64(from[6]*d.Y) + float64(from[10]*d.Z),
		}
		return solid.Vec{
			X: float64(to[0]*q.X) + float64(to[1]*q.Y) + float64(to[2]*q.Z) + to[3],
			Y: float64(to[4]*q.X) + float64(to[5]*q.Y) + float64(to[6]*q.Z) + to[7],
			Z: float64(to[8]*q.X) + float64(to[9]*q.Y) + float64(to[10]*q.Z) + to[11],
		}
	}
}

// facets are those of the i-th piece, made when they are first asked for.
func (m *Metal) facets(i int) []facet {
	p := &m.pieces[i]
	if p.made {
		return p.facets
	}
	p.made = true
	var of panel.Solid
	if i < len(m.flat.Faces) {
		of = m.flat.FaceSolid(i, chord)
	} else {
		of = m.flat.BendSolid(i-len(m.flat.Faces), chord)
	}
	for _, f := range of.Facets {
		g := facet{loops: make([][]solid.Vec, 0, 1+len(f.Holes)), box: emptyBox()}
		for k := -1; k < len(f.Holes); k++ {
			l := f.Loop
			if k >= 0 {
				l = f.Holes[k]
			}
			loop := make([]solid.Vec, len(l))
			for i, p := range l {
				loop[i] = m.move(p)
				g.box = g.box.with(loop[i])
			}
			g.loops = append(g.loops, loop)
		}
		p.facets = append(p.facets, g)
	}
	return p.facets
}

// reaches tells whether a part's metal reaches into a tool's room.
func (m *Metal) reaches(t tool, b box, work *int) bool {
	if !m.box.meets(b) {
		return false
	}
	for i := range m.pieces {
		if !m.pieces[i].box.meets(b) {
			continue
		}
		for _, f := range m.facets(i) {
			if f.box.meets(b) {
				*work -= len(f.loops[0])
				if t.meets(f) {
					return true
				}
			}
		}
	}
	return false
}
