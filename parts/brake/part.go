package brake

import (
	"math"

	"perch/parts/bend"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
	"perch/solver/elementary"
)

const (
	// chord is how far, in mm, the corners that stand for an outline's arcs lie off them.
	chord = 0.1
	// inset is how deep, in mm, metal may reach into other metal and only touch it: two
	// edges by this each. A bend lies no nearer than half a millimetre to its line.
	inset = 0.25
	// bandAngle is how far, in rad, one flat band of a finished bend turns.
	bandAngle = 30 * bend.Degree
	// hemAngle is the bend angle above which a fold is a hem, closed or open.
	hemAngle = 150*bend.Degree + 1e-9
	// maxOps bounds the strokes of one blank: a set of them is one number.
	maxOps = 60
)

// element is a face or a fold's strip: metal that moves as one.
type element struct {
	face   int            // the face, of a strip the one towards the root
	fold   int            // of a strip; −1 of a face
	pieces []piece        // convex, in the flat
	sides  [2]int         // faces that a strip lies between
	mold   [2]plane.Point // of a strip: the tangent line at its A side
}

// piece is a convex part of an element's outline, and the same inset.
type piece struct{ outline, inner []plane.Point }

// op is one operation on one fold: all of a bend, or one of a hem's two.
type op struct {
	fold     int
	kind     Op
	from, to float64 // bend angle before and after, rad
	needs    int     // op that has to be done before; −1
}

// part is a blank as the search sees it.
type part struct {
	flat     *panel.Flat
	brake    shop.Brake
	material shop.Material
	t        float64
	elements []element
	ops      []op
	opsOf    [][]int     // by fold
	joined   [][]int     // by face: folds on it
	reach    float64     // diameter of the flat
	middle   plane.Point // of the flat
	rack     *rack
	names    Names
	carver   carver
	looked   int // work done: bodies and pairs of them looked at
}

func newPart(flat *panel.Flat, s *shop.Shop, names Names) *part {
	p := &part{flat: flat, names: names, brake: s.Brake, t: flat.Panel.Stock.Thickness}
	p.material, _ = s.Material(flat.Panel.Stock.Material)
	p.rack = newRack(s.Brake.Fingers, s.Brake.FingerGap, max(s.Brake.Length, 10))
	p.joined = make([][]int, len(flat.Faces))
	box := plane.EmptyBox()
	for i := range flat.Faces {
		loop := flat.Faces[i].Loop
		box = box.Union(loop.Bounds())
		p.elements = append(p.elements, element{face: i, fold: -1, pieces: pieces(loop)})
	}
	p.opsOf = make([][]int, len(flat.Folds))
	for i := range flat.Folds {
		f := &flat.Folds[i]
		p.joined[f.A], p.joined[f.B] = append(p.joined[f.A], i), append(p.joined[f.B], i)
		p.elements = append(p.elements, element{face: f.A, fold: i, pieces: pieces(f.Loop), sides: [2]int{f.A, f.B}, mold: f.TangentA})
		p.addOps(i)
	}
	size := box.Size()
	p.middle = box.Center()
	p.reach = elementary.Hypot(size.X, size.Y)
	return p
}

// addOps notes what is to be done to a fold: a hem is started and then flattened.
func (p *part) addOps(i int) {
	a := p.flat.Folds[i].Bend.Angle
	if a <= hemAngle {
		p.opsOf[i] = []int{len(p.ops)}
		p.ops = append(p.ops, op{fold: i, kind: Bend, to: a, needs: -1})
		return
	}
	start := min(135*bend.Degree, p.steepest())
	n := len(p.ops)
	p.opsOf[i] = []int{n, n + 1}
	p.ops = append(p.ops, op{fold: i, kind: StartHem, to: start, needs: -1},
		op{fold: i, kind: Flatten, from: start, to: a, needs: n})
}

// steepest is the most that a side turns on this brake.
func (p *part) steepest() float64 {
	if p.brake.Kind == shop.BrakeVDie {
		return math.Pi - p.brake.PunchAngle
	}
	return p.brake.FrontAngle
}

// pieces cut an outline into convex ones, counter-clockwise.
func pieces(l plane.Loop) []piece {
	var out []piece
	for _, poly := range plane.ConvexParts(plane.Flatten(l, chord), nil) {
		out = append(out, piece{outline: poly, inner: insetPolygon(poly, inset)})
	}
	return out
}

// insetPolygon is a convex polygon smaller by d all round; nil where nothing is left.
func insetPolygon(poly []plane.Point, d float64) []plane.Point {
	left := poly
	for i := range poly {
		e := poly[(i+1)%len(poly)].Sub(poly[i])
		if e.Len() < 1e-9 {
			continue
		}
		n := e.Unit().Perp().Neg()
		left = clip(left, n, n.Dot(poly[i])-d)
		if len(left) < 3 {
			return nil
		}
	}
	return left
}

// clip is what of a convex polygon lies where n·p ≤ d.
func clip(poly []plane.Point, n plane.Point, d float64) []plane.Point {
	out := make([]plane.Point, 0, len(poly)+1)
	for i, p := range poly {
		q := poly[(i+1)%len(poly)]
		a, b := n.Dot(p)-d, n.Dot(q)-d
		if a <= 0 {
			out = append(out, p)
		}
		if a < 0 && b > 0 || a > 0 && b < 0 {
			out = append(out, p.Lerp(q, a/(a-b)))
		}
	}
	return out
}

// faceName is what people call a face.
func (p *part) faceName(face int) string { return p.names.Face(face) }

// angle is how far a fold is bent when the operations of the set are done.
func (p *part) angle(fold int, done uint64) float64 {
	a := 0.0
	for _, o := range p.opsOf[fold] {
		if done&(1<<o) != 0 {
			a = p.ops[o].to
		}
	}
	return a
}

// depth is how far, in mm, one of a fold's two faces reaches from its tangent line, square to
// it, over the fold's length.
func (p *part) depth(fold int, ofA bool) float64 {
	f := &p.flat.Folds[fold]
	face, line := f.A, f.TangentA
	into := f.To.Sub(f.From).Unit().Perp()
	if !ofA {
		face, line, into = f.B, f.TangentB, into.Neg()
	}
	along := into.Perp()
	lo, hi := along.Dot(line[0]), along.Dot(line[1])
	lo, hi = min(lo, hi), max(lo, hi)
	most := 0.0
	for _, piece := range p.elements[face].pieces {
		for _, q := range clip(clip(piece.outline, along, hi), along.Neg(), -lo) {
			most = max(most, into.Dot(q.Sub(line[0])))
		}
	}
	return most
}

// crossing is a step over a fold from one of its faces to the other.
type crossing struct {
	fold  int
	fromA bool
}

// over carries the frame of the face on one side of a fold to the other side, bent by an angle
// towards the drawn side or away from it.
func (p *part) over(frame solid.Frame, c crossing, angle float64, down bool) solid.Frame {
	if angle == 0 {
		return frame
	}
	f := &p.flat.Folds[c.fold]
	u := f.To.Sub(f.From).Unit()
	v := u.Perp().Neg() // from A to B
	at := f.TangentA[0]
	if !c.fromA {
		v, at = v.Neg(), f.TangentB[0]
	}
	m := newTurning(frame, at, v, f.Bend, down)
	return m.frame(frame, u, v, angle)
}

// turning is the motion of the metal past a tangent line, seen from the frame before it.
type turning struct {
	at        plane.Point // on the tangent line
	axis      solid.Vec   // the bend's, over at
	along, up solid.Vec   // away from the tangent line, and towards the inside
	height    float64     // of the axis over the drawn surface, along up
	per       float64
	line      solid.Vec // along the fold: a quarter turn from along in the flat
}

func newTurning(frame solid.Frame, at, v plane.Point, b bend.Bend, down bool) turning {
	up, height := frame.Normal(), b.Radius
	if down {
		up, height = up.Neg(), b.Radius+b.Thickness
	}
	return turning{at: at, axis: shift(frame.At(at), height, up), along: frame.Dir(v), up: up, height: height,
		per: b.Radius + float64(b.K*b.Thickness), line: frame.Dir(v.Perp())}
}

// turned are along and up after an angle.
func (m *turning) turned(a float64) (along, up solid.Vec) {
	s, c := elementary.Sincos(a)
	return combine(c, m.along, s, m.up), combine(-s, m.along, c, m.up)
}

// point is where metal comes to that lies d past the tangent line, in the plane of at, and
// depth above the drawn surface along up.
func (m *turning) point(d, depth, a float64) solid.Vec {
	along, up := m.turned(a)
	return shift(shift(m.axis, depth-m.height, up), d-float64(a*m.per), along)
}

// frame is the flat's frame past the bend; u, v are the fold's directions in the flat.
func (m *turning) frame(frame solid.Frame, u, v plane.Point, a float64) solid.Frame {
	along, _ := m.turned(a)
	axis := frame.Dir(u)
	x, y := combine(u.X, axis, v.X, along), combine(u.Y, axis, v.Y, along)
	at := m.point(0, 0, a)
	return solid.Frame{O: shift(shift(at, -m.at.X, x), -m.at.Y, y), X: x, Y: y}
}

func combine(a float64, v solid.Vec, b float64, w solid.Vec) solid.Vec {
	return solid.Vec{
		X: float64(a*v.X) + float64(b*w.X),
		Y: float64(a*v.Y) + float64(b*w.Y),
		Z: float64(a*v.Z) + float64(b*w.Z),
	}
}

// shift is p + k·v.
func shift(p solid.Vec, k float64, v solid.Vec) solid.Vec { return combine(1, p, k, v) }
