package shell

import (
	"context"
	"fmt"

	"perch/parts/solid"
	"perch/solver/sparse"
)

// body is a model made ready: elements, unknowns and the pattern of its matrix.
type body struct {
	*Model
	elements []*element
	unknown  []int32 // by freedom: its number among the unknowns, −1 where it is held
	freedom  []int32 // by unknown
	cliques  [][]int32
	places   [][]int32 // by triangle: of its entries in the matrix
	pattern  *sparse.Pattern
	factor   *sparse.Factor
	matrix   *sparse.Matrix
	most     []float64 // by contact: what resists sliding at most, N; nil where nothing slides
	kept     float64   // of the secant of what slides, in the tangent
}

// ModelError is a model that can't be computed.
type ModelError struct {
	What string
}

func (e *ModelError) Error() string { return e.What }

// newBody makes a model ready; the factors may take so many bytes, 0 for any.
func newBody(m *Model, limit int64) (*body, error) {
	b := &body{Model: m, unknown: make([]int32, freedoms*len(m.Nodes))}
	if err := b.check(); err != nil {
		return nil, err
	}
	met := make([]bool, len(m.Nodes))
	for i := range m.Triangles {
		t := &m.Triangles[i]
		e := newElement(m, t)
		if !(e.flat.area > 0) {
			return nil, &ModelError{fmt.Sprintf("triangle %d has no area", i)}
		}
		b.elements = append(b.elements, e)
		for _, n := range t.Nodes {
			met[n] = true
		}
	}
	for _, l := range m.Links {
		met[l.A], met[l.B] = true, true
	}
	for n := range m.Nodes {
		if !met[n] {
			for c := range freedoms {
				b.unknown[freedoms*n+c] = -1
			}
		}
	}
	for _, h := range m.Held {
		b.unknown[freedoms*int(h.Node)+h.Freedom] = -1
	}
	for i := range b.unknown {
		if b.unknown[i] == 0 {
			b.unknown[i] = int32(len(b.freedom))
			b.freedom = append(b.freedom, int32(i))
		}
	}
	return b, b.prepare(limit)
}

// prepare draws the pattern and makes room for its factors.
func (b *body) prepare(limit int64) error {
	for _, e := range b.elements {
		b.cliques = append(b.cliques, b.unknowns(e.nodes[:]))
	}
	for _, l := range b.Links {
		b.cliques = append(b.cliques, b.unknowns([]int32{l.A, l.B}))
	}
	for i := range b.Contacts {
		b.cliques = append(b.cliques, b.unknowns(b.Contacts[i].nodes()))
	}
	for _, t := range b.Ties {
		var of []int32
		for _, h := range t.Of {
			of = append(of, b.unknown[freedoms*int(h.Node)+h.Freedom])
		}
		b.cliques = append(b.cliques, of)
	}
	var met [][]int32
	for _, c := range b.cliques {
		var own []int32
		for _, u := range c {
			if u >= 0 {
				own = append(own, u)
			}
		}
		met = append(met, own)
	}
	var err error
	if b.pattern, err = sparse.NewPattern(len(b.freedom), met); err != nil {
		return err
	}
	for i := range b.elements {
		b.places = append(b.places, b.pattern.Places(b.cliques[i]))
	}
	b.matrix = sparse.NewMatrix(b.pattern)
	b.factor, err = sparse.NewFactor(sparse.Analyse(b.pattern), limit)
	return err
}

func (b *body) check() error {
	ok := func(n int32) bool { return n >= 0 && int(n) < len(b.Nodes) }
	for i, t := range b.Triangles {
		if !ok(t.Nodes[0]) || !ok(t.Nodes[1]) || !ok(t.Nodes[2]) || !(t.Thickness > 0) || !(t.Material.E > 0) || !(t.Material.Nu > -1 && t.Material.Nu <= 0.5) {
			return &ModelError{fmt.Sprintf("triangle %d has a node, a thickness or a material that there is not", i)}
		}
	}
	for i, l := range b.Links {
		if !ok(l.A) || !ok(l.B) {
			return &ModelError{fmt.Sprintf("link %d joins a node that there is not", i)}
		}
	}
	for i := range b.Contacts {
		for _, n := range b.Contacts[i].nodes() {
			if !ok(n) {
				return &ModelError{fmt.Sprintf("contact %d touches a node that there is not", i)}
			}
		}
	}
	for i, h := range b.Held {
		if !ok(h.Node) || h.Freedom < 0 || h.Freedom >= freedoms {
			return &ModelError{fmt.Sprintf("held freedom %d is none", i)}
		}
	}
	return nil
}

// unknowns are those of the nodes' freedoms, in order; −1 where one is held.
func (b *body) unknowns(nodes []int32) []int32 {
	of := make([]int32, 0, freedoms*len(nodes))
	for _, n := range nodes {
		of = append(of, b.unknown[freedoms*n:freedoms*(n+1)]...)
	}
	return of
}

// parts tells which parts of the tangent are asked for.
type parts struct {
	elastic  bool // of the sheet, fasteners and touching metal
	stressed bool // of the forces that are there
}

// assemble sums the forces inside a state and, where k is not nil, its tangent.
func (b *body) assemble(ctx context.Context, s *State, forces []float64, k *sparse.Matrix, want parts) error {
	clear(forces)
	if k != nil {
		k.Zero()
	}
	var m moved
	for i, e := range b.elements {
		if i%256 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		e.follow(s, &m)
		p, f := e.forces(&m)
		of := b.cliques[i]
		for n := range 6 {
			v := m.frame.apply(vec(f[3*n], f[3*n+1], f[3*n+2]))
			add(forces, of[3*n:3*n+3], v)
		}
		if k == nil {
			continue
		}
		t := e.tangent(&m, &p, &f, want.stressed, want.elastic)
		toWorld(&t, &m.frame)
		k.AddClique(b.places[i], t[:], 18)
	}
	at := len(b.elements)
	for i := range b.Links {
		b.link(&b.Links[i], s, b.cliques[at+i], forces, k, want)
	}
	at += len(b.Links)
	for i := range b.Contacts {
		b.contact(i, s, b.cliques[at+i], forces, k, want)
	}
	at += len(b.Contacts)
	for i := range b.Ties {
		b.tie(&b.Ties[i], s, b.cliques[at+i], forces, k, want)
	}
	return nil
}

// add adds a vector to the forces on three unknowns.
func add(forces []float64, of []int32, v solid.Vec) {
	for c, x := range [3]float64{v.X, v.Y, v.Z} {
		if of[c] >= 0 {
			forces[of[c]] += x
		}
	}
}

// toWorld turns a triangle's matrix from its frame to the world.
func toWorld(k *[324]float64, frame *mat3) {
	for i := range 18 {
		for n := range 6 {
			at := 18*i + 3*n
			v := frame.apply(vec(k[at], k[at+1], k[at+2]))
			k[at], k[at+1], k[at+2] = v.X, v.Y, v.Z
		}
	}
	for j := range 18 {
		for n := range 6 {
			at := 54*n + j
			v := frame.apply(vec(k[at], k[at+18], k[at+36]))
			k[at], k[at+18], k[at+36] = v.X, v.Y, v.Z
		}
	}
}

// applied are loads as forces on the unknowns.
func (b *body) applied(loads []Load) ([]float64, error) {
	f := make([]float64, len(b.freedom))
	for i, l := range loads {
		if l.Node < 0 || int(l.Node) >= len(b.Nodes) {
			return nil, &ModelError{fmt.Sprintf("load %d is on a node that there is not", i)}
		}
		of := b.unknowns([]int32{l.Node})
		add(f, of[:3], l.Force)
		add(f, of[3:], l.Moment)
	}
	return f, nil
}
