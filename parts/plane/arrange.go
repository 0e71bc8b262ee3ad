package plane

import (
	"cmp"
	"math"
	"slices"
	"sync"
)

// arrangement cuts the edges of one or two regions at all their meetings. Points
// within tol of each other become one vertex, the one met first (input vertices
// come before crossings, so they keep their coordinates). After cut, edges meet
// in common vertices only, or coincide from end to end.
type arrangement struct {
	tol     float64
	pts     []Point
	grid    map[cell]int32 // vertex by cell, built when pts outgrow a linear search
	next    []int32        // next vertex of the same cell, −1 at the end
	segs    []seg
	splits  []split
	subs    []sub
	first   []int32 // subs at a vertex: incident[first[v]:first[v+1]]
	incid   []int32
	pieces  []piece
	onPath  []int32
	path    []int32
	run     []joined
	loops   int32    // loops taken in
	asked   int      // windings asked for
	byPlace *boxTree // of the subs, once many are
}

type cell struct{ x, y int64 }

// seg is an input edge with what the tests need of it.
type seg struct {
	a, b     Point
	bulge    float64
	c        Point // centre, of arcs
	r        float64
	box      Box
	from, to int32 // vertices
	owner    uint8
	loop     int32 // counts the loops taken in
}

// split says that a seg passes through a vertex.
type split struct {
	seg, vertex int32
	key         float64
}

// sub is a stretch of a seg between neighbouring vertices.
type sub struct {
	p, q  int32
	seg   int32
	lead  int32 // the coincident sub that stands for the group; itself when alone
	same  bool  // runs as its lead does
	bulge float64
	a, b  Point // where p and q are
	mid   Point
	delta [2]int32 // of a lead: winding left of it less winding right of it, by owner
}

var arrangements = sync.Pool{New: func() any { return new(arrangement) }}

func newArrangement(tol float64) *arrangement {
	ar := arrangements.Get().(*arrangement)
	ar.tol, ar.loops, ar.asked, ar.byPlace = tol, 0, 0, nil
	ar.pts, ar.next, ar.grid = ar.pts[:0], ar.next[:0], nil
	ar.segs, ar.splits, ar.subs, ar.pieces = ar.segs[:0], ar.splits[:0], ar.subs[:0], ar.pieces[:0]
	return ar
}

func (ar *arrangement) free() { arrangements.Put(ar) }

// linearSearch is the number of vertices up to which a search through all of
// them beats a grid.
const linearSearch = 64

func (ar *arrangement) cellOf(p Point) cell {
	size := 16 * ar.tol
	return cell{int64(math.Floor(p.X / size)), int64(math.Floor(p.Y / size))}
}

// vertex is the index of the vertex at p, made when none lies within tol.
func (ar *arrangement) vertex(p Point) int32 {
	if len(ar.pts) < linearSearch {
		for i := range ar.pts {
			if ar.pts[i].Near(p, ar.tol) {
				return int32(i)
			}
		}
		ar.pts = append(ar.pts, p)
		return int32(len(ar.pts) - 1)
	}
	if ar.grid == nil {
		ar.grid = make(map[cell]int32, 4*linearSearch)
		ar.next = ar.next[:0]
		for i := range ar.pts {
			ar.enter(int32(i))
		}
	}
	lo := ar.cellOf(Point{p.X - ar.tol, p.Y - ar.tol})
	hi := ar.cellOf(Point{p.X + ar.tol, p.Y + ar.tol})
	best := int32(-1)
	for x := lo.x; x <= hi.x && x <= lo.x+1; x++ {
		for y := lo.y; y <= hi.y && y <= lo.y+1; y++ {
			i, ok := ar.grid[cell{x, y}]
			for ; ok && i >= 0; i = ar.next[i] {
				if ar.pts[i].Near(p, ar.tol) && (best < 0 || i < best) {
					best = i
				}
			}
		}
	}
	if best >= 0 {
		return best
	}
	ar.pts = append(ar.pts, p)
	i := int32(len(ar.pts) - 1)
	ar.enter(i)
	return i
}

func (ar *arrangement) enter(i int32) {
	c := ar.cellOf(ar.pts[i])
	head, ok := ar.grid[c]
	if !ok {
		head = -1
	}
	ar.next = append(ar.next, head)
	ar.grid[c] = i
}

// set readies a seg for the tests of an edge. Its vertices are given later. An arc
// that leaves its chord by less than half of Tol counts as straight: its centre would
// be noise. (The centre keeps Tol up to radii of some 1e8 mm.)
func (s *seg) set(e Edge) {
	s.a, s.b = e.From, e.To
	s.box = Box{e.From, e.From}.With(e.To)
	if e.Bulge == 0 || math.Abs(e.Bulge)*e.Chord() < Tol {
		s.bulge = 0
		return
	}
	s.bulge, s.c, s.r = e.Bulge, e.Center(), e.Radius()
	for _, p := range [4]Point{{s.c.X + s.r, s.c.Y}, {s.c.X, s.c.Y + s.r}, {s.c.X - s.r, s.c.Y}, {s.c.X, s.c.Y - s.r}} {
		if side := e.To.Sub(e.From).Cross(p.Sub(e.From)); (side < 0) == (e.Bulge > 0) {
			s.box = s.box.With(p)
		}
	}
}

// addEdge takes in an edge as a seg of the loop that is being taken in.
func (ar *arrangement) addEdge(e Edge, owner uint8) *seg {
	var added []seg
	ar.segs, added = more(ar.segs, 1)
	s := &added[0]
	s.set(e)
	s.owner, s.loop = owner, ar.loops
	return s
}

// more makes room for n segs and answers with them; what they held is not cleared.
func more(segs []seg, n int) (all, added []seg) {
	segs = slices.Grow(segs, n)
	all = segs[:len(segs)+n]
	return all, all[len(segs):]
}

// number gives the segs their vertices and drops those shorter than tol.
func (ar *arrangement) number() {
	kept := 0
	var last Point
	var at int32
	for i := range ar.segs {
		s := &ar.segs[i]
		if i > 0 && s.a == last { // the loop runs on
			s.from = at
		} else {
			s.from = ar.vertex(s.a)
		}
		s.to = ar.vertex(s.b)
		last, at = s.b, s.to
		if s.from == s.to {
			continue
		}
		if kept != i {
			ar.segs[kept] = *s
		}
		kept++
	}
	ar.segs = ar.segs[:kept]
}

// cut finds the meetings of segs, and makes the subs. Segs of one loop are taken
// to meet in their common vertices only, unless self is set; two loops of one
// region may touch, a vertex of one on an edge of the other.
func (ar *arrangement) cut(self bool) {
	pairs := 0
	ar.neighbours(func(i, j int) bool {
		if self || ar.segs[i].loop != ar.segs[j].loop {
			ar.meet(int32(i), int32(j))
			pairs++
			count(pairs, maxPairs, "pairs of edges lie near each other")
			count(len(ar.splits), maxMeetings, "meetings of edges")
		}
		return true
	})
	for k := range ar.splits {
		sp := &ar.splits[k]
		s, p := &ar.segs[sp.seg], ar.pts[sp.vertex]
		la, lb := p.Dist(s.a), p.Dist(s.b)
		sp.key = la / (la + lb)
	}
	slices.SortFunc(ar.splits, func(x, y split) int {
		if x.seg != y.seg {
			return cmp.Compare(x.seg, y.seg)
		}
		return cmp.Compare(x.key, y.key)
	})
	k := 0
	for i := range ar.segs {
		at := ar.segs[i].from
		for ; k < len(ar.splits) && ar.splits[k].seg == int32(i); k++ {
			at = ar.addSub(int32(i), at, ar.splits[k].vertex)
		}
		ar.addSub(int32(i), at, ar.segs[i].to)
	}
}

// neighbours calls do for every two segs whose boxes overlap within tol, in their order,
// until it answers false.
func (ar *arrangement) neighbours(do func(i, j int) bool) {
	if len(ar.segs) >= treeFrom {
		overlaps(len(ar.segs), func(i int) Box { return ar.segs[i].box }, ar.tol, do)
		return
	}
	for i := range ar.segs {
		box := ar.segs[i].box.Grow(ar.tol)
		for j := i + 1; j < len(ar.segs); j++ {
			if box.Overlaps(ar.segs[j].box) && !do(i, j) {
				return
			}
		}
	}
}

func (ar *arrangement) addSub(i, p, q int32) int32 {
	if p == q {
		return p
	}
	s := &ar.segs[i]
	u := sub{p: p, q: q, seg: i, lead: int32(len(ar.subs)), same: true, bulge: s.bulge, a: ar.pts[p], b: ar.pts[q]}
	if s.bulge != 0 && (p != s.from || q != s.to) {
		u.bulge = bulgeAbout(u.a, u.b, s.c, s.r, s.bulge > 0)
	}
	u.delta[s.owner] = 1
	u.mid = Edge{u.a, u.b, u.bulge}.Mid()
	ar.subs = append(ar.subs, u)
	return q
}

// bulgeAbout is the bulge of the arc of up to half a turn from a to b about c:
// half the chord over the radius plus the chord's distance from the centre.
func bulgeAbout(a, b, c Point, r float64, ccw bool) float64 {
	d := b.Sub(a)
	l := d.Len()
	if l == 0 {
		return 0
	}
	h := d.Cross(c.Sub(a)) / l
	if !ccw {
		h = -h
	}
	bulge := math.Min(l/2/(r+math.Max(h, 0)), 1)
	if !ccw {
		return -bulge
	}
	return bulge
}

// link lists the subs at every vertex.
func (ar *arrangement) link() {
	n := len(ar.pts)
	ar.first = slices.Grow(ar.first[:0], n+1)[:n+1]
	clear(ar.first)
	for i := range ar.subs {
		ar.first[ar.subs[i].p]++
		ar.first[ar.subs[i].q]++
	}
	var sum int32
	for v := range ar.first {
		sum += ar.first[v]
		ar.first[v] = sum
	}
	ar.incid = slices.Grow(ar.incid[:0], int(sum))[:sum]
	for i := len(ar.subs) - 1; i >= 0; i-- {
		for _, v := range [2]int32{ar.subs[i].p, ar.subs[i].q} {
			ar.first[v]--
			ar.incid[ar.first[v]] = int32(i)
		}
	}
}

// at lists the subs at vertex v.
func (ar *arrangement) at(v int32) []int32 { return ar.incid[ar.first[v]:ar.first[v+1]] }

// coincidence is how far the middles of two subs with common ends may lie apart,
// in tolerances, for the subs to be one.
const coincidence = 4

// group finds subs that coincide; the first of each group leads and carries the
// sum of their windings.
func (ar *arrangement) group() {
	for i := range ar.subs {
		s := &ar.subs[i]
		if s.lead != int32(i) {
			continue
		}
		for _, j := range ar.at(s.p) {
			t := &ar.subs[j]
			if j <= int32(i) || t.lead != j {
				continue
			}
			same := t.p == s.p && t.q == s.q
			if !same && (t.p != s.q || t.q != s.p) {
				continue
			}
			if !s.mid.Near(t.mid, coincidence*ar.tol) {
				continue
			}
			t.lead, t.same = int32(i), same
			if same {
				s.delta[0] += t.delta[0]
				s.delta[1] += t.delta[1]
			} else {
				s.delta[0] -= t.delta[0]
				s.delta[1] -= t.delta[1]
			}
		}
	}
}

// simple tells whether just two groups of subs meet at v.
func (ar *arrangement) simple(v int32) bool {
	n := 0
	for _, i := range ar.at(v) {
		if ar.subs[i].lead == i {
			n++
		}
	}
	return n == 2
}
