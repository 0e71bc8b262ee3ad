package tolerance

import (
	"math"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// twist is a small motion: a point p moves by turn × p + shift.
type twist struct{ turn, shift solid.Vec }

func (w twist) at(p solid.Vec) solid.Vec { return w.turn.Cross(p).Add(w.shift) }

// about is a turn about an axis through a point.
func about(axis, through solid.Vec) twist { return twist{axis, through.Cross(axis)} }

func (w twist) add(v twist) twist { return twist{w.turn.Add(v.turn), w.shift.Add(v.shift)} }

func (w twist) scale(k float64) twist { return twist{w.turn.Scale(k), w.shift.Scale(k)} }

// cause is an error of a bend, or a turn about it, as the motion of some faces of its part:
// in part space, by a unit of it.
type cause struct {
	twist
	moves []bool // by face
	name  string // of the fold
}

// shape is what of a flat moves by what: the same for every copy of it.
type shape struct {
	flat   *panel.Flat
	errors []cause // each of one standard deviation
	hinges []hinge
}

// hinge is a face that hangs on one fold, with its stiffness against turning about it.
type hinge struct {
	cause
	k float64 // N·mm a radian
}

// leastLever is the least distance, in mm, from a fold to what is fastened that a face bends
// over.
const leastLever = 8.0

// shapeOf works out a flat's errors and hinges; only faces with fasteners have hinges.
func shapeOf(f *panel.Flat, s *shop.Shop) *shape {
	sh := &shape{flat: f}
	modulus := defaultModulus
	if m, ok := s.Material(f.Panel.Stock.Material); ok {
		modulus = m.Modulus
	}
	for i := range f.Folds {
		beyond := beyond(f, i)
		fold := newLine(f, &f.Folds[i])
		for _, w := range fold.errors(s.Tolerance) {
			sh.errors = append(sh.errors, cause{w, beyond, f.Folds[i].Name})
		}
	}
	single := make([]bool, len(f.Folds)) // a face hangs on it alone
	for face := range f.Faces {
		if fold, moves, ok := hanging(f, face); ok {
			single[fold] = true
			if k := stiffness(f, face, fold, modulus); k > 0 {
				sh.hinges = append(sh.hinges, hinge{cause{newLine(f, &f.Folds[fold]).swing(face == f.Folds[fold].A), moves, f.Folds[fold].Name}, k})
			}
		}
	}
	for i := range f.Folds {
		if !single[i] {
			fold, moves := newLine(f, &f.Folds[i]), beyond(f, i)
			bends, twists := between(f, i, modulus)
			sh.hinges = append(sh.hinges,
				hinge{cause{fold.swing(false), moves, f.Folds[i].Name}, bends},
				hinge{cause{about(fold.outB, fold.endB), moves, f.Folds[i].Name}, twists})
		}
	}
	return sh
}

// defaultModulus is that of steel, MPa, for a material that the shop does not know.
const defaultModulus = 205000.0

// line is a fold in part space: the tangent line of its first face, and what lies on
// either side of it.
type line struct {
	fold       *panel.FlatFold
	midA, midB solid.Vec // the middle of the first tangent line, as either face's plane carries it
	endB       solid.Vec // the middle of the second tangent line
	outA, outB solid.Vec // unit, away from the first face, in its plane and in the second's
	nA, nB     solid.Vec
	long       float64
}

func newLine(f *panel.Flat, s *panel.FlatFold) line {
	a, b := f.Faces[s.A].Frame, f.Faces[s.B].Frame
	way := s.To.Sub(s.From)
	out := way.Unit().Perp().Neg() // the first face lies left
	mid := s.TangentA[0].Lerp(s.TangentA[1], 0.5)
	return line{
		fold: s, midA: a.At(mid), midB: b.At(mid), endB: b.At(s.TangentB[0].Lerp(s.TangentB[1], 0.5)),
		outA: a.Dir(out), outB: b.Dir(out), nA: a.Normal(), nB: b.Normal(), long: way.Len(),
	}
}

// errors are what a standard deviation of the fold's angle, and of its line's place and
// direction, do to all that hangs on it, seen from the first face. The flat's lengths stay: what
// a bend that is too far uses up in its arc its flange lacks. With x out from the first
// face's tangent line a point of the second lies at arc(A) + (x − A·(r + K·t))·outB; a bend
// whose line lies d further out moves it by d·(outA − outB).
func (l line) errors(by shop.Tolerance) [3]twist {
	b := l.fold.Bend
	toward := 1.0 // the way outA turns over: to the first face's normal, or away
	if l.fold.Down {
		toward = -1
	}
	axis := l.outA.Cross(l.nA.Scale(toward))
	height := b.Radius
	if l.fold.Down {
		height = -(b.Radius + b.Thickness)
	}
	centre := l.midA.Add(l.nA.Scale(height))
	used := b.Allowance() / max(b.Angle, 1e-9)
	angle := about(axis, centre).add(twist{shift: l.outB.Scale(-used)})

	offset := twist{shift: l.outA.Sub(l.outB)}
	skew := about(l.nA, l.midA).add(about(l.nB, l.midB).scale(-1))
	// Two ends that are off by themselves are a shift of the middle and a turn, by themselves
	// too. A short fold is squared by its flange: it turns by no more than an angle is off.
	turn := min(float64(math.Sqrt2*by.Line/2)/l.long, by.Angle/2)
	return [3]twist{angle.scale(by.Angle / 2), offset.scale(by.Line / 2 / math.Sqrt2), skew.scale(turn)}
}

// swing is a turn of a face about its own tangent line.
func (l line) swing(first bool) twist {
	if first {
		return about(l.outA.Cross(l.nA), l.midA)
	}
	return about(l.outB.Cross(l.nB), l.endB)
}

// beyond tells which faces hang on a fold, seen from the root.
func beyond(f *panel.Flat, fold int) []bool {
	out := make([]bool, len(f.Faces))
	out[f.Folds[fold].B] = true
	for more := true; more; {
		more = false
		for i := range f.Folds {
			if s := &f.Folds[i]; i != fold && out[s.A] != out[s.B] {
				out[s.A], out[s.B], more = true, true, true
			}
		}
	}
	return out
}

// hanging tells on which fold a face hangs, where there is one alone, and what moves with
// it: itself, and the tabs in which it goes on behind its neighbours.
func hanging(f *panel.Flat, face int) (fold int, moves []bool, ok bool) {
	moves = make([]bool, len(f.Faces))
	moves[face] = true
	for _, t := range f.Tabs {
		if t.Of == face {
			moves[t.Face] = true
		}
	}
	fold = -1
	for i := range f.Folds {
		s := &f.Folds[i]
		if s.A != face && s.B != face || moves[s.A] && moves[s.B] {
			continue
		}
		if fold >= 0 {
			return 0, nil, false
		}
		fold = i
	}
	return fold, moves, fold >= 0
}

// stiffness is that of a face against turning about its fold, where its fasteners hold it:
// that of a strip clamped at the fold, 3·E·I/L. 0 where nothing is fastened to it.
func stiffness(f *panel.Flat, face, fold int, modulus float64) float64 {
	s := &f.Folds[fold]
	tangent := s.TangentB
	if s.A == face {
		tangent = s.TangentA
	}
	along := tangent[1].Sub(tangent[0]).Unit()
	n, lever, lo, hi := 0.0, 0.0, math.Inf(1), math.Inf(-1)
	for _, p := range f.Points {
		if p.Face != face {
			continue
		}
		to := p.At.Sub(tangent[0])
		n++
		lever += math.Abs(to.Cross(along))
		lo, hi = min(lo, to.Dot(along)), max(hi, to.Dot(along))
	}
	if n == 0 {
		return 0
	}
	lever = max(lever/n, leastLever)
	wide := min(tangent[0].Dist(tangent[1]), hi-lo+float64(2*lever))
	t := f.Panel.Stock.Thickness
	return float64(3*modulus*wide*elementary.Pow(t, 3)) / float64(12*lever)
}

// between is how stiff the sheet is at a fold between two faces that both have others,
// N·mm a radian: against turning about the fold each face bends as a strip that its far side
// holds up, 3·E·I over its depth, one behind the other; against turning across it the second
// twists as a strip as wide as the fold is long, G·b·t³/3 over its depth.
func between(f *panel.Flat, fold int, modulus float64) (bends, twists float64) {
	s := &f.Folds[fold]
	a, b := depth(f, s.A, s.TangentA), depth(f, s.B, s.TangentB)
	wideA, wideB := s.TangentA[0].Dist(s.TangentA[1]), s.TangentB[0].Dist(s.TangentB[1])
	cube := elementary.Pow(f.Panel.Stock.Thickness, 3)
	bends = float64(3*modulus*cube) / float64(12*(a/wideA+b/wideB))
	twists = float64(modulus/(2+2*poisson)*wideB*cube) / float64(3*b)
	return bends, twists
}

// poisson is the ratio of metals (common practice).
const poisson = 0.3

// depth is how far a face reaches from a line.
func depth(f *panel.Flat, face int, line [2]plane.Point) float64 {
	dir := line[1].Sub(line[0]).Unit()
	out := leastLever
	for _, v := range f.Faces[face].Loop {
		out = max(out, math.Abs(v.P.Sub(line[0]).Cross(dir)))
	}
	return out
}

// inPart takes a place of the world to part space.
func inPart(m panel.Matrix, v solid.Vec) solid.Vec {
	d := solid.Vec{X: v.X - m[3], Y: v.Y - m[7], Z: v.Z - m[11]}
	return solid.Vec{
		X: float64(m[0]*d.X) + float64(m[4]*d.Y) + float64(m[8]*d.Z),
		Y: float64(m[1]*d.X) + float64(m[5]*d.Y) + float64(m[9]*d.Z),
		Z: float64(m[2]*d.X) + float64(m[6]*d.Y) + float64(m[10]*d.Z),
	}
}

// inWorld takes a direction of part space to the world.
func inWorld(m panel.Matrix, d solid.Vec) solid.Vec {
	return solid.Vec{
		X: float64(m[0]*d.X) + float64(m[1]*d.Y) + float64(m[2]*d.Z),
		Y: float64(m[4]*d.X) + float64(m[5]*d.Y) + float64(m[6]*d.Z),
		Z: float64(m[8]*d.X) + float64(m[9]*d.Y) + float64(m[10]*d.Z),
	}
}
