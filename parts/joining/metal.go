package joining

import (
	"math"

	"perch/parts/panel"
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

// facet is a flat piece of a part's surface, its outer loop first.
type facet struct {
	loops [][]solid.Vec
	box   box
}

// Metal is a part's surface in the world.
type Metal struct {
	facets []facet
	box    box
}

// MetalOf is the metal of a part where it stands.
func MetalOf(f *panel.Flat) *Metal {
	m := moved(facetsOf(f), func(p solid.Vec) solid.Vec { return p })
	return &m
}

func facetsOf(f *panel.Flat) []panel.Facet {
	var out []panel.Facet
	for _, s := range f.Solids(chord) {
		out = append(out, s.Facets...)
	}
	return out
}

// chord is how far, in mm, the flats that stand for arcs and bends may be off.
const chord = 0.5

// metals are the surfaces of every copy. A copy's is that of the first of its blank, moved.
func metals(a *panel.Assembly) []Metal {
	first := make([]int, len(a.Blanks))
	for i := range first {
		first[i] = -1
	}
	of := make([][]panel.Facet, len(a.Blanks))
	out := make([]Metal, len(a.Copies))
	for i, c := range a.Copies {
		if first[c.Blank] < 0 {
			first[c.Blank] = i
			of[c.Blank] = facetsOf(a.Blanks[c.Blank].Flat)
		}
		move := carry(a.Copies[first[c.Blank]].Matrix, c.Matrix)
		out[i] = moved(of[c.Blank], move)
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

func moved(of []panel.Facet, by func(solid.Vec) solid.Vec) Metal {
	m := Metal{facets: make([]facet, 0, len(of)), box: emptyBox()}
	for _, f := range of {
		g := facet{loops: make([][]solid.Vec, 0, 1+len(f.Holes)), box: emptyBox()}
		for k := -1; k < len(f.Holes); k++ {
			l := f.Loop
			if k >= 0 {
				l = f.Holes[k]
			}
			loop := make([]solid.Vec, len(l))
			for i, p := range l {
				loop[i] = by(p)
				g.box = g.box.with(loop[i])
			}
			g.loops = append(g.loops, loop)
		}
		m.box = m.box.with(g.box.lo).with(g.box.hi)
		m.facets = append(m.facets, g)
	}
	return m
}

// reaches tells whether a part's metal reaches into a tool's room.
func (m *Metal) reaches(t tool, b box, work *int) bool {
	if !m.box.meets(b) {
		return false
	}
	for i := range m.facets {
		if m.facets[i].box.meets(b) {
			*work -= len(m.facets[i].loops[0])
			if t.meets(m.facets[i]) {
				return true
			}
		}
	}
	return false
}
