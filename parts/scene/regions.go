package scene

import (
	"math"
	"slices"

	"perch/parts/mesh"
	"perch/parts/plane"
)

// near is how far, mm, the middle of a thin triangle may lie outside of chords that stand for
// its region's outline.
const near = 2 * sag

// net is the mesh of a blank while its nodes are told apart by the regions they move with.
type net struct {
	shape     *Shape
	mesh      *mesh.Mesh
	region    []int            // by triangle
	across    map[[2]int32]int // by edge as a triangle runs round it: that triangle
	same      []int32          // by 3·triangle + corner: another corner that is one node with it
	unsettled int
}

// regions gives every triangle its region and makes nodes: one for all corners that stay
// together however the folds are bent.
func (s *Shape) regions(m *mesh.Mesh) {
	n := &net{shape: s, mesh: m, region: make([]int, len(m.Triangles)), across: map[[2]int32]int{}, same: make([]int32, 3*len(m.Triangles))}
	for i, t := range m.Triangles {
		for e := range 3 {
			n.across[[2]int32{t[e], t[(e+1)%3]}] = i
		}
		n.region[i] = n.regionAt(n.middle(i))
		if n.region[i] < 0 {
			n.unsettled++
		}
	}
	n.settle()
	for i := range n.same {
		n.same[i] = int32(i)
	}
	border := n.together()
	n.write(border)
}

func (n *net) middle(t int) plane.Point {
	v := n.mesh.Triangles[t]
	a, b, c := n.mesh.Nodes[v[0]], n.mesh.Nodes[v[1]], n.mesh.Nodes[v[2]]
	return plane.Point{X: (a.X + b.X + c.X) / 3, Y: (a.Y + b.Y + c.Y) / 3}
}

// regionAt is the region of a place in the metal; −1 where no outline goes round it.
func (n *net) regionAt(p plane.Point) int {
	s := n.shape
	for k := range s.Folds {
		f := &s.Folds[k]
		across := p.Sub(f.Start).Dot(f.away())
		if across > 0 && across < f.Allowance && (within(f.Loop, p) || distance(f.Loop, p) < near) {
			return len(s.Faces) + k
		}
	}
	for i := range s.Faces {
		if within(s.Faces[i].Loop, p) {
			return i
		}
	}
	return -1
}

// settle gives what lies in no outline, thin triangles along arcs, to a neighbour's region.
func (n *net) settle() {
	for n.unsettled > 0 {
		before := n.unsettled
		for i, t := range n.mesh.Triangles {
			for e := 0; e < 3 && n.region[i] < 0; e++ {
				if o, ok := n.across[[2]int32{t[(e+1)%3], t[e]}]; ok && n.region[o] >= 0 && n.region[o] < len(n.shape.Faces) {
					n.region[i] = n.region[o]
					n.unsettled--
				}
			}
		}
		if n.unsettled == before {
			break
		}
	}
	for i, r := range n.region {
		if r < 0 { // an island: to the nearest face
			n.region[i] = n.nearestFace(n.middle(i))
		}
	}
}

func (n *net) nearestFace(p plane.Point) int {
	best, least := n.shape.Root, math.Inf(1)
	for i := range n.shape.Faces {
		if d := distance(n.shape.Faces[i].Loop, p); d < least {
			best, least = i, d
		}
	}
	return best
}

// together joins the corners of triangles that hang together at an edge, and lists the edges
// where metal ends: by triangle and the corner that they start at.
func (n *net) together() (border [][2]int) {
	for i, t := range n.mesh.Triangles {
		for e := range 3 {
			a, b := t[e], t[(e+1)%3]
			o, ok := n.across[[2]int32{b, a}]
			if !ok || !n.hangs(i, o, a, b) {
				border = append(border, [2]int{i, e})
				continue
			}
			v := n.mesh.Triangles[o]
			n.union(3*i+e, 3*o+slices.Index(v[:], a))
			n.union(3*i+(e+1)%3, 3*o+slices.Index(v[:], b))
		}
	}
	return border
}

// hangs tells whether two triangles move as one metal at the edge between them: of one region,
// or a fold's strip and one of its faces at the tangent line between them.
func (n *net) hangs(i, o int, a, b int32) bool {
	r, q := min(n.region[i], n.region[o]), max(n.region[i], n.region[o])
	if r == q {
		return true
	}
	k := q - len(n.shape.Faces)
	if k < 0 || r >= len(n.shape.Faces) {
		return false
	}
	f := &n.shape.Folds[k]
	line := 0.0
	switch r {
	case f.B:
		line = f.Allowance
	case f.A:
	default:
		return false
	}
	on := func(p plane.Point) bool { return math.Abs(p.Sub(f.Start).Dot(f.away())-line) < near }
	return on(n.mesh.Nodes[a]) && on(n.mesh.Nodes[b])
}

func (n *net) root(i int) int {
	for int(n.same[i]) != i {
		n.same[i] = n.same[n.same[i]]
		i = int(n.same[i])
	}
	return i
}

func (n *net) union(i, o int) {
	a, b := n.root(i), n.root(o)
	n.same[max(a, b)] = int32(min(a, b))
}

// write puts nodes, triangles and border into the shape.
func (n *net) write(border [][2]int) {
	s := n.shape
	number := make([]int32, len(n.same))
	for i := range n.same {
		r := n.root(i)
		if r == i {
			number[i] = int32(len(s.Nodes))
			s.Nodes = append(s.Nodes, Node{P: n.mesh.Nodes[n.mesh.Triangles[i/3][i%3]], Region: n.region[i/3]})
		}
		number[i] = number[r]
	}
	for i := range n.mesh.Triangles {
		t := Triangle{Nodes: [3]int32{number[3*i], number[3*i+1], number[3*i+2]}, Region: n.region[i]}
		if k := t.Region - len(s.Faces); k >= 0 {
			f := &s.Folds[k]
			across := n.middle(i).Sub(f.Start).Dot(f.away()) / f.Allowance
			t.Facet = min(f.Facets-1, max(0, int(across*float64(f.Facets))))
		}
		s.Triangles = append(s.Triangles, t)
	}
	into := map[int32]int32{} // by node, where the border comes from
	for _, e := range border {
		i, k := e[0], e[1]
		edge := Edge{From: number[3*i+k], To: number[3*i+(k+1)%3], Region: n.region[i]}
		s.Border = append(s.Border, edge)
		into[edge.To] = edge.From
	}
	for i := range s.Border {
		e := &s.Border[i]
		from, ok := into[e.From]
		e.Sharp = !ok || turns(s.Nodes[from].P, s.Nodes[e.From].P, s.Nodes[e.To].P) > cornerTurn
	}
}

// within tells whether a closed outline goes round a point.
func within(l []plane.Point, p plane.Point) bool {
	in := false
	for i, a := range l {
		b := l[(i+1)%len(l)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+float64((p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X)) {
			in = !in
		}
	}
	return in
}

// distance is how far a point lies off a closed outline.
func distance(l []plane.Point, p plane.Point) float64 {
	least := math.Inf(1)
	for i, a := range l {
		d := l[(i+1)%len(l)].Sub(a)
		k := 0.0
		if q := d.Dot(d); q > 0 {
			k = min(1, max(0, p.Sub(a).Dot(d)/q))
		}
		least = min(least, p.Dist(a.Add(d.Scale(k))))
	}
	return least
}
