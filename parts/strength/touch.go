package strength

import (
	"math"

	"perch/parts/shell"
	"perch/parts/solid"
)

const (
	// touching is the greatest gap between two sheets that touch under load, mm: a fit and
	// what rounding of a drawing leaves.
	touching = 0.5
	// parallel is the least cosine between the normals of sheets that lie on each other.
	parallel = 0.9995
)

// cell is a cube of space in which triangles are looked for.
type cell [3]int32

// touch finds where sheets of different copies lie on each other: each node of the later
// copy over a triangle of the earlier one.
func (p *Piece) touch() {
	size := math.Max(2*p.options.Side, 10)
	at := func(v solid.Vec) cell {
		return cell{int32(math.Floor(v.X / size)), int32(math.Floor(v.Y / size)), int32(math.Floor(v.Z / size))}
	}
	where := map[cell][]int32{}
	for i := range p.model.Triangles {
		lo, hi := p.bounds(i)
		a, b := at(lo), at(hi)
		for x := a[0]; x <= b[0]; x++ {
			for y := a[1]; y <= b[1]; y++ {
				for z := a[2]; z <= b[2]; z++ {
					where[cell{x, y, z}] = append(where[cell{x, y, z}], int32(i))
				}
			}
		}
	}
	normal := p.normals()
	for n, v := range p.model.Nodes {
		last := int32(-1) // one triangle of each other copy
		for _, i := range where[at(v)] {
			if p.triCopy[i] >= p.copyOf[n] || p.triCopy[i] == last {
				continue
			}
			if c, ok := p.lies(int32(n), i, normal); ok {
				p.model.Contacts = append(p.model.Contacts, c)
				last = p.triCopy[i]
			}
		}
	}
}

// bounds is the box around a triangle, grown by what a sheet on it may be away.
func (p *Piece) bounds(i int) (lo, hi solid.Vec) {
	t := &p.model.Triangles[i]
	grow := 2*t.Thickness + touching
	lo, hi = p.model.Nodes[t.Nodes[0]], p.model.Nodes[t.Nodes[0]]
	for _, n := range t.Nodes[1:] {
		v := p.model.Nodes[n]
		lo = vec(math.Min(lo.X, v.X), math.Min(lo.Y, v.Y), math.Min(lo.Z, v.Z))
		hi = vec(math.Max(hi.X, v.X), math.Max(hi.Y, v.Y), math.Max(hi.Z, v.Z))
	}
	return lo.Sub(vec(grow, grow, grow)), hi.Add(vec(grow, grow, grow))
}

// normals are the sheets' at the nodes, the mean of the triangles'.
func (p *Piece) normals() []solid.Vec {
	out := make([]solid.Vec, len(p.model.Nodes))
	for _, t := range p.model.Triangles {
		a := p.model.Nodes[t.Nodes[0]]
		n := p.model.Nodes[t.Nodes[1]].Sub(a).Cross(p.model.Nodes[t.Nodes[2]].Sub(a)).Unit()
		for _, k := range t.Nodes {
			out[k] = out[k].Add(n)
		}
	}
	for i := range out {
		out[i] = out[i].Unit()
	}
	return out
}

// lies is the contact of a node with a triangle, where it lies on it.
func (p *Piece) lies(node, tri int32, normal []solid.Vec) (c shell.Contact, ok bool) {
	t := &p.model.Triangles[tri]
	a, b, d := p.model.Nodes[t.Nodes[0]], p.model.Nodes[t.Nodes[1]], p.model.Nodes[t.Nodes[2]]
	n := b.Sub(a).Cross(d.Sub(a))
	area := n.Len()
	n = n.Scale(1 / area)
	v := p.model.Nodes[node].Sub(a)
	away := v.Dot(n)
	if away < 0 {
		n, away = n.Neg(), -away
	}
	gap := away - float64((t.Thickness+p.sheet(node).t)/2)
	if math.Abs(normal[node].Dot(n)) < parallel || gap > touching || gap < -touching {
		return c, false
	}
	v = v.Sub(n.Scale(away))
	u := b.Sub(a).Cross(d.Sub(a)).Unit()
	w1 := v.Cross(d.Sub(a)).Dot(u) / area
	w2 := b.Sub(a).Cross(v).Dot(u) / area
	if w1 < -1e-9 || w2 < -1e-9 || w1+w2 > 1+1e-9 {
		return c, false
	}
	return shell.Contact{Node: node, Face: t.Nodes, Weight: [3]float64{1 - w1 - w2, w1, w2}, Normal: n,
		Clear: math.Max(0, gap), Stiffness: contactStiffness}, true
}
