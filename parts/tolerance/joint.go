package tolerance

import (
	"slices"

	"perch/parts/panel"
	"perch/parts/solid"
)

// motion is a small motion of a part against another by six numbers: how far the place that
// it is told about shifts, mm, then its turn, rad. A form that is linear in it has six too.
type motion [6]float64

// by is what a form takes of a motion.
func (w *motion) by(v *motion) float64 {
	return float64(w[0]*v[0]) + float64(w[1]*v[1]) + float64(w[2]*v[2]) + float64(w[3]*v[3]) + float64(w[4]*v[4]) + float64(w[5]*v[5])
}

// along is the form of how far a place moves in a direction, with motions told about middle.
func along(dir, at, middle solid.Vec) motion {
	turn := at.Sub(middle).Cross(dir) // dir · (w × q) = w · (q × dir)
	return motion{dir.X, dir.Y, dir.Z, turn.X, turn.Y, turn.Z}
}

// joint is two faces that lie on each other: how far any place of the second lies off the
// first goes by one motion, about middle, which unknowns and errors each have a share in.
// However many springs are between the two, they are one matrix.
type joint struct {
	middle   solid.Vec
	unknowns []mover // in order, each once
	errors   []mover
	pressed  bool          // it has springs
	stiff    [6][6]float64 // of all its springs together
	block    int           // of the ground
	places   []int         // of its errors there
}

// mover is an unknown, or an error, with the motion that a unit of it makes, or one standard deviation.
type mover struct {
	of int
	by motion
}

// joint finds that of two faces, or makes it about a place of theirs.
func (m *model) joint(a, b sheet, at solid.Vec) int {
	key := [4]int{a.copy, a.face, b.copy, b.face}
	i, known := m.jointOf[key]
	if !known {
		i = len(m.joints)
		m.jointOf[key] = i
		j := joint{middle: at, block: -1}
		m.shares(&j, b, 1)
		m.shares(&j, a, -1)
		j.unknowns, j.errors = gathered(j.unknowns), gathered(j.errors)
		m.joints = append(m.joints, j)
	}
	return i
}

// gathered has each unknown once, in order: a part that is fastened to itself moves both
// sides of a joint.
func gathered(all []mover) []mover {
	slices.SortStableFunc(all, func(a, b mover) int { return a.of - b.of })
	out := all[:0]
	for _, s := range all {
		if last := len(out) - 1; last >= 0 && out[last].of == s.of {
			for k := range s.by {
				out[last].by[k] += s.by[k]
			}
			continue
		}
		out = append(out, s)
	}
	return out
}

// shares adds what moves a face of a part, sign times.
func (m *model) shares(j *joint, s sheet, sign float64) {
	c := &m.a.Copies[s.copy]
	if first := m.first[s.copy]; first >= 0 {
		for k, e := range [3]solid.Vec{{X: sign}, {Y: sign}, {Z: sign}} {
			w := e.Scale(1 / reach)
			turned := w.Cross(j.middle)
			j.unknowns = append(j.unknowns,
				mover{first + k, motion{e.X, e.Y, e.Z}},
				mover{first + 3 + k, motion{turned.X, turned.Y, turned.Z, w.X, w.Y, w.Z}})
		}
	}
	sh := m.shapes[c.Blank]
	for k := range sh.hinges {
		if h := &sh.hinges[k]; h.moves[s.face] {
			j.unknowns = append(j.unknowns, mover{m.hinged[s.copy] + k, h.about(c.Matrix, j.middle, sign)})
		}
	}
	for k := range sh.errors {
		if e := &sh.errors[k]; e.moves[s.face] {
			j.errors = append(j.errors, mover{m.bends[s.copy] + k, e.about(c.Matrix, j.middle, sign)})
		}
	}
}

// about is a motion of part space, sign times, about a place of the world. Where a matrix
// mirrors, turns go the other way.
func (w twist) about(m panel.Matrix, middle solid.Vec, sign float64) motion {
	shift := inWorld(m, w.at(inPart(m, middle))).Scale(sign)
	turn := inWorld(m, w.turn).Scale(sign)
	x, y, z := solid.Vec{X: m[0], Y: m[4], Z: m[8]}, solid.Vec{X: m[1], Y: m[5], Z: m[9]}, solid.Vec{X: m[2], Y: m[6], Z: m[10]}
	if x.Cross(y).Dot(z) < 0 {
		turn = turn.Neg()
	}
	return motion{shift.X, shift.Y, shift.Z, turn.X, turn.Y, turn.Z}
}

// press adds a spring of k N/mm against what a form takes of the motion.
func (j *joint) press(w motion, k float64) {
	j.pressed = true
	for r := range w {
		by := float64(k * w[r])
		for c := range r + 1 {
			j.stiff[r][c] += float64(by * w[c])
		}
	}
}

// mirror fills the upper triangle of the stiffness.
func (j *joint) mirror() {
	for r := range 6 {
		for c := range r {
			j.stiff[c][r] = j.stiff[r][c]
		}
	}
}

// force is that of all springs against a motion.
func (j *joint) force(v *motion) (out motion) {
	for r := range out {
		out[r] = (*motion)(&j.stiff[r]).by(v)
	}
	return out
}

// moved is the motion that unknowns make.
func (j *joint) moved(x []float64) (out motion) {
	for i := range j.unknowns {
		u := &j.unknowns[i]
		if v := x[u.of]; v != 0 {
			for k := range out {
				out[k] += float64(u.by[k] * v)
			}
		}
	}
	return out
}

// stiffness is that of the springs over its unknowns, row by row.
func (j *joint) stiffness() []float64 {
	n := len(j.unknowns)
	out := make([]float64, n*n)
	for a := range n {
		f := j.force(&j.unknowns[a].by)
		for b := range a + 1 {
			out[a*n+b] = f.by(&j.unknowns[b].by)
		}
	}
	return out
}
