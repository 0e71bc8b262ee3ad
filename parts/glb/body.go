package glb

import (
	"math"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"

	"perch/parts/plane"
	"perch/parts/scene"
	"perch/parts/solid"
)

// body is what all copies of a shape share: meshes, and how they move.
type body struct {
	faces []*int   // by face: its mesh, about its pivot
	hung  []*moved // by face: how it hangs on its parent; nil of the root
	flats [][]flat // by fold
}

// flat is one flat of a bend.
type flat struct {
	mesh  *int
	moved *moved
}

// moved is where a node stands on its parent when the part is finished, and the samplers that
// bring it there.
type moved struct {
	turn        [4]float64
	place       [3]float64
	turns, goes int // of the animation's samplers
}

// drive adds the channels that move a node.
func (m *moved) drive(fold *gltf.Animation, node int) {
	for _, c := range []struct {
		sampler int
		path    gltf.TRSProperty
	}{{m.turns, gltf.TRSRotation}, {m.goes, gltf.TRSTranslation}} {
		fold.Channels = append(fold.Channels, &gltf.AnimationChannel{Sampler: c.sampler,
			Target: gltf.AnimationChannelTarget{Node: gltf.Index(node), Path: c.path}})
	}
}

// maker makes the body of one shape.
type maker struct {
	*file
	shape    *scene.Shape
	pivots   []plane.Point // by face: what is its mesh's origin in the flat, on the line at which it hangs
	finished *scene.Posture
	span     float64 // seconds that the animation takes
	fold     *gltf.Animation
}

func (f *file) body(s *scene.Shape, span float64, fold *gltf.Animation) *body {
	m := &maker{file: f, shape: s, pivots: make([]plane.Point, len(s.Faces)), finished: s.Posture(s.Bent(1)), span: span, fold: fold}
	b := &body{hung: make([]*moved, len(s.Faces)), flats: make([][]flat, len(s.Folds))}
	for i := range s.Folds {
		g := &s.Folds[i]
		m.pivots[g.B] = g.Start.Add(away(g).Scale(g.Allowance))
	}
	for i := range s.Faces {
		b.faces = append(b.faces, m.mesh(m.metal(i, 0)))
	}
	for i := range s.Folds {
		g := &s.Folds[i]
		b.hung[g.B] = m.moves(i, 1, m.pivots[g.B], 0)
		for k := range g.Facets {
			part := (float64(k) + 0.5) / float64(g.Facets)
			at := g.Start.Add(away(g).Scale(g.Allowance * part))
			b.flats[i] = append(b.flats[i], flat{m.mesh(m.metal(len(s.Faces)+i, k)), m.moves(i, part, at, m.neutral(i))})
		}
	}
	return b
}

// neutral is how deep under the drawn side a bend's neutral axis lies, mm.
func (m *maker) neutral(i int) float64 {
	g := &m.shape.Folds[i]
	if g.Down {
		return float64((1 - g.K) * m.shape.Thickness)
	}
	return float64(g.K * m.shape.Thickness)
}

// moves samples how a point of fold i's strip, and what stands on it, move about face A
// while the fold is bent; it has turned by a part of the fold's angle.
func (m *maker) moves(i int, part float64, at plane.Point, depth float64) *moved {
	s, g := m.shape, &m.shape.Folds[i]
	n := max(1, int(math.Ceil(g.Angle/(math.Pi/18)-1e-9))) // a key at every 10° at the least
	begin, end := m.when(i)
	axis := solid.Vec{X: g.Along.X, Y: g.Along.Y} // of the flat, which a face's node has for its own
	if !g.Down {
		axis = axis.Neg()
	}
	var times []float32
	var turns [][4]float32
	var places [][3]float32
	var last moved
	for k := 0; k <= n; k++ {
		t := float64(k) / float64(n)
		bent := make([]float64, len(s.Folds))
		bent[i] = float64(g.Angle * t)
		p := s.Posture(bent)
		v, _ := p.At(len(s.Faces)+i, at, depth)
		a := p.Frames[g.A]
		q := v.Sub(a.At(m.pivots[g.A]))
		last.turn = rounded(about(axis, float64(bent[i]*part)))
		last.place = place(solid.Vec{X: q.Dot(a.X), Y: q.Dot(a.Y), Z: q.Dot(a.Normal())})
		times = append(times, float32(begin+float64((end-begin)*t)))
		turns = append(turns, [4]float32{float32(last.turn[0]), float32(last.turn[1]), float32(last.turn[2]), float32(last.turn[3])})
		places = append(places, [3]float32{float32(last.place[0]), float32(last.place[1]), float32(last.place[2])})
	}
	in := m.times(times)
	last.turns, last.goes = m.sampler(in, m.turns(turns)), m.sampler(in, m.places(places))
	return &last
}

func (m *maker) sampler(in, out int) int {
	return m.accessor("sampler", func() int {
		m.fold.Samplers = append(m.fold.Samplers, &gltf.AnimationSampler{Input: in, Output: out})
		return len(m.fold.Samplers) - 1
	}, []int64{int64(in), int64(out)})
}

// when is from which second to which fold i is bent.
func (m *maker) when(i int) (begin, end float64) {
	n, stage := stages(m.shape), float64(len(m.shape.Order))
	for k, f := range m.shape.Order {
		if f == i {
			stage = float64(k)
		}
	}
	return m.span * stage / n, m.span * (stage + 1) / n
}

// piece is the metal of one node.
type piece struct {
	places, normals [][3]float32
	corners         []uint32 // of triangles
	lines           [][3]float32
	strokes         []uint32 // of lines
}

// metal is a face's metal, or that of a flat of a bend as it is when finished, in the axes
// of its node.
func (m *maker) metal(region, facet int) *piece {
	s := m.shape
	local := func(p plane.Point, depth float64) (at, normal solid.Vec) {
		if region < len(s.Faces) {
			q := p.Sub(m.pivots[region])
			return solid.Vec{X: q.X, Y: q.Y, Z: -depth}, solid.Vec{Z: 1}
		}
		return m.onFlat(region-len(s.Faces), facet, p, depth)
	}
	out := &piece{}
	corner := map[[3]int32]uint32{} // node, side
	at := func(n int32, side int32) uint32 {
		key := [3]int32{n, side}
		k, known := corner[key]
		if !known {
			v, normal := local(s.Nodes[n].P, float64(side)*s.Thickness)
			if side == 1 {
				normal = normal.Neg()
			}
			k = out.corner(v, normal)
			corner[key] = k
		}
		return k
	}
	for _, t := range s.Triangles {
		if t.Region != region || region >= len(s.Faces) && t.Facet != facet {
			continue
		}
		v := t.Nodes
		out.corners = append(out.corners, at(v[0], 0), at(v[1], 0), at(v[2], 0), at(v[0], 1), at(v[2], 1), at(v[1], 1))
	}
	for _, e := range s.Border {
		if e.Region != region || region >= len(s.Faces) && m.facetOf(region-len(s.Faces), e) != facet {
			continue
		}
		a, b := s.Nodes[e.From].P, s.Nodes[e.To].P
		var v [4]solid.Vec
		for side := range 2 {
			v[2*side], _ = local(a, float64(side)*s.Thickness)
			v[2*side+1], _ = local(b, float64(side)*s.Thickness)
		}
		out.wall(v)
		out.stroke(v[0], v[1])
		out.stroke(v[2], v[3])
		if e.Sharp {
			out.stroke(v[0], v[2])
		}
	}
	return out
}

// facetOf is the flat of a bend that an edge of the outline lies on.
func (m *maker) facetOf(i int, e scene.Edge) int {
	g := &m.shape.Folds[i]
	across := m.shape.Nodes[e.From].P.Lerp(m.shape.Nodes[e.To].P, 0.5).Sub(g.Start).Dot(away(g))
	return max(0, min(g.Facets-1, int(across/g.Allowance*float64(g.Facets))))
}

// onFlat is where a point of a strip lies when it is bent, in the axes of one of its flats.
func (m *maker) onFlat(i, facet int, p plane.Point, depth float64) (at, normal solid.Vec) {
	s, g := m.shape, &m.shape.Folds[i]
	region := len(s.Faces) + i
	middle := g.Start.Add(away(g).Scale(g.Allowance * (float64(facet) + 0.5) / float64(g.Facets)))
	o, z := m.finished.At(region, middle, m.neutral(i))
	// the flat's own x and y are the blank's
	along := m.finished.Frames[g.A].Dir(g.Along)
	out := along.Cross(z)
	own := func(v solid.Vec) solid.Vec {
		u, w := v.Dot(along), v.Dot(out)
		d := away(g)
		return solid.Vec{X: float64(u*g.Along.X) + float64(w*d.X), Y: float64(u*g.Along.Y) + float64(w*d.Y), Z: v.Dot(z)}
	}
	v, n := m.finished.At(region, p, depth)
	return own(v.Sub(o)), own(n)
}

func (p *piece) corner(at, normal solid.Vec) uint32 {
	n := normal.Unit()
	p.places = append(p.places, at32(at))
	p.normals = append(p.normals, [3]float32{float32(n.X), float32(n.Y), float32(n.Z)})
	return uint32(len(p.places) - 1)
}

// wall is the side of the metal under an edge: its two ends on the drawn side, then below.
func (p *piece) wall(v [4]solid.Vec) {
	n := v[1].Sub(v[0]).Cross(v[0].Sub(v[2]))
	if n.Len() == 0 {
		return
	}
	var c [4]uint32
	for i := range v {
		c[i] = p.corner(v[i], n)
	}
	p.corners = append(p.corners, c[1], c[0], c[2], c[1], c[2], c[3])
}

func (p *piece) stroke(a, b solid.Vec) {
	from, to := at32(a), at32(b)
	if from == to {
		return
	}
	k := uint32(len(p.lines))
	p.lines = append(p.lines, from, to)
	p.strokes = append(p.strokes, k, k+1)
}

// mesh writes metal, once for all that are alike; nil of nothing.
func (m *maker) mesh(p *piece) *int {
	if len(p.corners) == 0 {
		return nil
	}
	k := m.accessor("mesh", func() int {
		made := &gltf.Mesh{Primitives: []*gltf.Primitive{{
			Attributes: gltf.PrimitiveAttributes{gltf.POSITION: modeler.WritePosition(m.doc, p.places), gltf.NORMAL: modeler.WriteNormal(m.doc, p.normals)},
			Indices:    gltf.Index(m.indices(p.corners, len(p.places))), Material: gltf.Index(metal)}}}
		if len(p.lines) > 0 {
			made.Primitives = append(made.Primitives, &gltf.Primitive{Mode: gltf.PrimitiveLines,
				Attributes: gltf.PrimitiveAttributes{gltf.POSITION: modeler.WritePosition(m.doc, p.lines)},
				Indices:    gltf.Index(m.indices(p.strokes, len(p.lines))), Material: gltf.Index(edges)})
		}
		m.doc.Meshes = append(m.doc.Meshes, made)
		return len(m.doc.Meshes) - 1
	}, p.places, p.normals, p.corners, p.lines, p.strokes)
	return gltf.Index(k)
}

// indices are written in two bytes where they fit.
func (m *maker) indices(ks []uint32, corners int) int {
	return m.accessor("indices", func() int {
		if corners > math.MaxUint16 {
			return modeler.WriteIndices(m.doc, ks)
		}
		short := make([]uint16, len(ks))
		for i, k := range ks {
			short[i] = uint16(k)
		}
		return modeler.WriteIndices(m.doc, short)
	}, ks)
}
