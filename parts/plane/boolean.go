package plane

import (
	"math"
	"slices"
)

// Union is the set of points in a or in b.
func Union(a, b Region) Region { return combine(a, b, inEither) }

// Intersect is the set of points in both a and b.
func Intersect(a, b Region) Region { return combine(a, b, inBoth) }

// Subtract is a without b.
func Subtract(a, b Region) Region { return combine(a, b, inFirst) }

// SubtractAll is r without any of the cuts, all taken off at once.
func SubtractAll(r Region, cuts ...Region) Region {
	return Subtract(r, slices.Concat(cuts...))
}

// UnionAll is the union of any number of regions.
func UnionAll(rs ...Region) Region {
	switch len(rs) {
	case 0:
		return nil
	case 1:
		return Union(rs[0], nil)
	}
	return Union(UnionAll(rs[:len(rs)/2]...), UnionAll(rs[len(rs)/2:]...))
}

// rule decides by the winding numbers about a point, by their signs alone, whether it
// is in the result.
type rule func(w [2]int32) bool

func inAny(w [2]int32) bool    { return w[0] > 0 }
func inEither(w [2]int32) bool { return w[0] > 0 || w[1] > 0 }
func inBoth(w [2]int32) bool   { return w[0] > 0 && w[1] > 0 }
func inFirst(w [2]int32) bool  { return w[0] > 0 && w[1] <= 0 }

// looser lists the tolerances tried in turn, in Tol, when edges meet so badly that
// the finer one leaves an outline open.
var looser = [...]float64{1, 10, 100}

// combine applies a rule to two regions. Loops clear of the other region's bounds
// pass or drop as they are: they cannot change a winding number where the rest
// lies, because whatever holds a loop has bounds around that loop's.
func combine(a, b Region, in rule) Region {
	var out Region
	for _, k := range looser {
		ar := newArrangement(k * Tol)
		out = ar.gather(a, b, in)
		rest, whole := ar.resolve(false, in)
		out = append(out, rest...)
		ar.free()
		if whole {
			break
		}
	}
	return out
}

// gather takes in the segs of the loops that may meet the other region, and
// answers with copies of the others that the rule keeps.
func (ar *arrangement) gather(a, b Region, in rule) (out Region) {
	var boxes [2]Box
	for o, r := range [2]Region{a, b} {
		boxes[o] = EmptyBox()
		for _, l := range r {
			boxes[o] = boxes[o].Union(ar.add(l, uint8(o)))
		}
	}
	kept, next := 0, 0
	for o, r := range [2]Region{a, b} {
		other := boxes[1-o].Grow(ar.tol)
		var w [2]int32
		w[o] = 1
		pass := in(w)
		for _, l := range r {
			if len(l) < 2 || !finite(l) {
				continue
			}
			segs := ar.segs[next : next+len(l)]
			next += len(l)
			box := EmptyBox()
			for i := range segs {
				box = box.Union(segs[i].box)
			}
			if box.Overlaps(other) {
				kept += copy(ar.segs[kept:], segs)
			} else if pass {
				out = append(out, l.Clone())
			}
		}
	}
	ar.segs = ar.segs[:kept]
	return out
}

// add takes in the segs of a loop and answers with its bounds; one with a
// coordinate that is not finite is no loop and is left out.
func (ar *arrangement) add(l Loop, owner uint8) Box {
	box := EmptyBox()
	if len(l) < 2 || !finite(l) {
		return box
	}
	for i := range l {
		box = box.Union(ar.addEdge(l.Edge(i), owner).box)
	}
	ar.loops++
	return box
}

func finite(l Loop) bool {
	for _, v := range l {
		if !v.P.Finite() || v.Bulge-v.Bulge != 0 {
			return false
		}
	}
	return true
}

// resolve cuts the segs, keeps what bounds the rule's result and stitches it.
func (ar *arrangement) resolve(self bool, in rule) (Region, bool) {
	ar.number()
	ar.cut(self)
	ar.link()
	ar.group()
	ar.keep(in)
	return ar.stitch()
}

// keep makes pieces of the subs that have the result on one side only. A winding
// number holds along a chain of subs until another edge joins or leaves it.
func (ar *arrangement) keep(in rule) {
	var right [2]int32
	// Where the result is held by an owner, nothing outside that owner's bounds is in it.
	within := [2]Box{everywhere, everywhere}
	if !in([2]int32{0, 1}) {
		within[0] = ar.bounds(0)
	}
	if !in([2]int32{1, 0}) {
		within[1] = ar.bounds(1)
	}
	known := int32(-1) // vertex up to which right holds
	for i := range ar.subs {
		s := &ar.subs[i]
		if s.lead != int32(i) || !within[0].Holds(s.mid) || !within[1].Holds(s.mid) {
			known = -1
			continue
		}
		if known != s.p || !ar.simple(s.p) {
			right = ar.windings(int32(i))
		}
		known = s.q
		left := [2]int32{right[0] + s.delta[0], right[1] + s.delta[1]}
		switch r, l := in(right), in(left); {
		case l && !r:
			ar.pieces = append(ar.pieces, piece{p: s.p, q: s.q, seg: s.seg, bulge: s.bulge})
		case r && !l:
			ar.pieces = append(ar.pieces, piece{p: s.q, q: s.p, seg: s.seg, bulge: -s.bulge})
		}
	}
}

var everywhere = Box{Point{math.Inf(-1), math.Inf(-1)}, Point{math.Inf(1), math.Inf(1)}}

// bounds is the box of an owner's edges, tolerance included.
func (ar *arrangement) bounds(owner uint8) Box {
	box := EmptyBox()
	for i := range ar.segs {
		if s := &ar.segs[i]; s.owner == owner {
			box = box.Union(s.box)
		}
	}
	return box.Grow(coincidence * ar.tol)
}
