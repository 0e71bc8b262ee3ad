package plane

import (
	"math"
	"slices"

	"perch/solver/elementary"
)

// piece is a directed edge of a result, between vertices of an arrangement.
type piece struct {
	p, q  int32
	seg   int32 // the input edge it is part of, −1 none
	bulge float64
	used  bool
}

// stitch joins the pieces to simple loops, interior on the left, and cleans them
// up. Where loops touch in a vertex they part there. The second result is false
// when a chain of pieces found no end: the pieces were inconsistent, and the
// chain is left out.
func (ar *arrangement) stitch() (Region, bool) {
	if len(ar.pieces) == 0 {
		return nil, true
	}
	ar.linkPieces()
	ar.onPath = slices.Grow(ar.onPath[:0], len(ar.pts))[:len(ar.pts)]
	for i := range ar.onPath {
		ar.onPath[i] = -1
	}
	var out Region
	whole := true
	for start := range ar.pieces {
		if ar.pieces[start].used {
			continue
		}
		path := ar.path[:0]
		for k := int32(start); k >= 0; {
			ar.pieces[k].used = true
			ar.onPath[ar.pieces[k].p] = int32(len(path))
			path = append(path, k)
			v := ar.pieces[k].q
			if at := ar.onPath[v]; at >= 0 {
				if l := ar.loop(path[at:]); l != nil {
					out = append(out, l)
				}
				for _, i := range path[at:] {
					ar.onPath[ar.pieces[i].p] = -1
				}
				if path = path[:at]; at == 0 {
					break
				}
				k = path[at-1]
			}
			k = ar.leave(k)
		}
		if len(path) > 0 {
			whole = false
			for _, i := range path {
				ar.onPath[ar.pieces[i].p] = -1
			}
		}
		ar.path = path[:0]
	}
	return out, whole
}

// linkPieces lists the pieces that leave every vertex.
func (ar *arrangement) linkPieces() {
	n := len(ar.pts)
	ar.first = slices.Grow(ar.first[:0], n+1)[:n+1]
	clear(ar.first)
	for i := range ar.pieces {
		ar.first[ar.pieces[i].p]++
	}
	var sum int32
	for v := range ar.first {
		sum += ar.first[v]
		ar.first[v] = sum
	}
	ar.incid = slices.Grow(ar.incid[:0], int(sum))[:sum]
	for i := len(ar.pieces) - 1; i >= 0; i-- {
		v := ar.pieces[i].p
		ar.first[v]--
		ar.incid[ar.first[v]] = int32(i)
	}
}

func (ar *arrangement) pieceEdge(k int32) Edge {
	p := &ar.pieces[k]
	return Edge{ar.pts[p.p], ar.pts[p.q], p.bulge}
}

// leave is the unused piece that turns off most to the left where k ends, −1 none.
func (ar *arrangement) leave(k int32) int32 {
	best := int32(-1)
	for _, i := range ar.at(ar.pieces[k].q) {
		if ar.pieces[i].used {
			continue
		}
		if best < 0 || ar.lefter(k, i, best) {
			best = i
		}
	}
	return best
}

// lefter tells whether piece i leaves the end of k more to the left than j does;
// between tangent ones the curvature decides.
func (ar *arrangement) lefter(k, i, j int32) bool {
	in := ar.pieceEdge(k)
	turn := func(e Edge) (angle, curve float64) {
		d, o := in.EndTangent(), e.StartTangent()
		angle = elementary.Atan2(d.Cross(o), d.Dot(o))
		curve = e.curvature()
		if math.Pi-math.Abs(angle) < tangentAngle {
			angle = math.Copysign(math.Pi, -in.curvature()-curve)
		}
		return angle, curve
	}
	ai, ci := turn(ar.pieceEdge(i))
	aj, cj := turn(ar.pieceEdge(j))
	if math.Abs(ai-aj) > tangentAngle {
		return ai > aj
	}
	return ci > cj
}

// tangentAngle is the angle below which two directions at a vertex count as one.
const tangentAngle = 1e-7

func (e Edge) curvature() float64 {
	if e.Bulge == 0 {
		return 0
	}
	return math.Copysign(1/e.Radius(), e.Bulge)
}

// loop makes a clean loop of a closed path, nil for one too thin to be metal.
func (ar *arrangement) loop(path []int32) Loop {
	run := ar.run[:0]
	defer func() { ar.run = run }()
	for _, k := range path {
		run = append(run, joined{piece: ar.pieces[k]})
		for len(run) > 1 && ar.join(&run[len(run)-2], run[len(run)-1]) {
			run = run[:len(run)-1]
		}
	}
	for len(run) > 2 && ar.join(&run[len(run)-1], run[0]) {
		run[0] = run[len(run)-1]
		run = run[:len(run)-1]
	}
	if len(run) < 2 {
		return nil
	}
	l := make(Loop, len(run))
	for i := range run {
		l[i] = Vertex{ar.pts[run[i].p], run[i].bulge}
	}
	if math.Abs(l.Area()) <= ar.tol*l.Length() {
		return nil
	}
	return l
}

// joined is one or more pieces as one edge; strayed is how far the vertices
// between them may lie off it.
type joined struct {
	piece
	strayed float64
}

// join lengthens x by y if both lie on one line or one circle and the whole is an
// edge again.
func (ar *arrangement) join(x *joined, y joined) bool {
	if (x.bulge == 0) != (y.bulge == 0) || x.q != y.p || x.p == y.q {
		return false
	}
	a, v, b := ar.pts[x.p], ar.pts[x.q], ar.pts[y.q]
	bulge := 0.0
	var off float64
	if x.bulge == 0 {
		d := b.Sub(a)
		if v.Sub(a).Dot(b.Sub(v)) <= 0 {
			return false
		}
		off = math.Abs(d.Cross(v.Sub(a))) / d.Len()
	} else {
		if (x.bulge > 0) != (y.bulge > 0) || x.bulge*y.bulge >= 1 {
			return false
		}
		bulge = (x.bulge + y.bulge) / (1 - float64(x.bulge*y.bulge))
		if math.Abs(bulge) > 1+1e-9 {
			return false
		}
		bulge = max(-1, min(1, bulge))
		e := Edge{a, b, bulge}
		c, r := e.Center(), e.Radius()
		for _, p := range [3]Point{v, Edge{a, v, x.bulge}.Mid(), Edge{v, b, y.bulge}.Mid()} {
			off = max(off, math.Abs(p.Dist(c)-r))
		}
	}
	off += x.strayed + y.strayed
	if !(off <= ar.tol) {
		return false
	}
	x.q, x.bulge, x.strayed = y.q, bulge, off
	if x.seg < 0 {
		x.seg = y.seg
	}
	if bulge != 0 && x.seg >= 0 {
		// A whole input edge again takes its own bulge, to the bit.
		s := &ar.segs[x.seg]
		own := s.bulge
		if s.from == x.q && s.to == x.p {
			own = -own
		} else if s.from != x.p || s.to != x.q {
			return true
		}
		if math.Abs(own-bulge)*b.Dist(a) <= 2*ar.tol {
			x.bulge = own
		}
	}
	return true
}
