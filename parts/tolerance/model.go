package tolerance

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// pressed is how far round a fastener its sheets are pressed together (a model of ours, no
// source).
const pressed = 10.0 // mm, of the three points that the sheets lie on each other at

// term is a coefficient of an unknown, or of an error of one standard deviation.
type term struct {
	of int
	by float64
}

// form is a small length, linear in unknowns and errors: mm, radians of hinges.
type form struct{ unknowns, errors []term }

// model is a piece as springs: parts are rigid but for their hinges.
type model struct {
	a       *panel.Assembly
	s       *shop.Shop
	index   []map[string]int // by blank: points by name
	shapes  []*shape         // by blank
	first   []int            // by copy: its first unknown, 6 and its hinges; −1 where it is held or nothing fastens it
	bends   []int            // by copy: its first error
	hinged  []int            // by copy: the first unknown of its hinges; −1 where nothing fastens it
	errors  int
	n       int // unknowns
	joints  []joint
	jointOf map[[4]int]int // by the copies and faces of both sheets
	hinges  []term         // the stiffness of each, N·mm a radian
	stacks  []stack        // by join
	weighed float64        // the sum of the squares of the weights of four feet
}

// stack is a fastener with its sheets.
type stack struct {
	sheets []sheet      // outermost first
	across [2]solid.Vec // unit, square to the axis and to each other
	at     []solid.Vec  // by sheet: where the axis goes into it
}

type sheet struct {
	copy  int
	face  int
	point *panel.Point
	t     float64
}

// newModel puts the springs of an assembly together, all but its pins: of the sheets that lie
// on each other, of bends, and of the hand that lays sheets by their edges and marks.
func newModel(a *panel.Assembly, s *shop.Shop) (*model, error) {
	if err := sound(a); err != nil {
		return nil, err
	}
	m := &model{a: a, s: s, jointOf: map[[4]int]int{}, first: make([]int, len(a.Copies)), bends: make([]int, len(a.Copies)), hinged: make([]int, len(a.Copies))}
	m.index, m.shapes = indexed(a), make([]*shape, len(a.Blanks))
	for i := range a.Joins {
		m.stacks = append(m.stacks, m.stackOf(&a.Joins[i]))
	}
	m.number()
	if m.n > mostUnknowns {
		return nil, &TooLarge{m.n, mostUnknowns, "ways to move"}
	}
	round := around()
	for i := range a.Joins {
		m.press(&a.Joins[i], &m.stacks[i], &round)
	}
	for i := range m.joints {
		m.joints[i].mirror()
	}
	for c, at := range m.hinged {
		if at < 0 {
			continue
		}
		for h := range m.shapes[a.Copies[c].Blank].hinges {
			m.hinges = append(m.hinges, term{at + h, m.shapes[a.Copies[c].Blank].hinges[h].k})
		}
	}
	return m, nil
}

// sound finds what would point nowhere.
func sound(a *panel.Assembly) error {
	for _, b := range a.Blanks {
		if b == nil || b.Flat == nil || b.Flat.Panel == nil {
			return fmt.Errorf("a blank has no flat")
		}
		for _, p := range b.Flat.Points {
			if p.Face < 0 || p.Face >= len(b.Flat.Faces) {
				return fmt.Errorf("point %s lies on face %d of %d", p.Name, p.Face, len(b.Flat.Faces))
			}
		}
	}
	for _, c := range a.Copies {
		if c.Blank < 0 || c.Blank >= len(a.Blanks) {
			return fmt.Errorf("copy %s is of blank %d of %d", c.Name, c.Blank, len(a.Blanks))
		}
	}
	for _, j := range a.Joins {
		for _, m := range j.Members {
			if m.Copy < 0 || m.Copy >= len(a.Copies) {
				return fmt.Errorf("join %s holds copy %d of %d", j.Name, m.Copy, len(a.Copies))
			}
		}
	}
	return nil
}

// mostUnknowns bounds the work of settling a piece.
const mostUnknowns = 20_000

// TooLarge says that a piece has too much of something for its misfits to be worked out.
type TooLarge struct {
	Got, Most int
	What      string // in a sentence, behind the number
}

func (e *TooLarge) Error() string {
	return fmt.Sprintf("the piece has %d %s, up to %d are worked out", e.Got, e.What, e.Most)
}

var errSingular = errors.New("the piece's pins cannot be told apart")

// indexed are the places of each blank's points, by their names.
func indexed(a *panel.Assembly) []map[string]int {
	out := make([]map[string]int, len(a.Blanks))
	for i, b := range a.Blanks {
		out[i] = make(map[string]int, len(b.Flat.Points))
		for k, p := range slices.Backward(b.Flat.Points) { // of two of one name the first
			out[i][p.Name] = k
		}
	}
	return out
}

// stackOf finds the sheets of a fastener and how they lie.
func (m *model) stackOf(j *panel.JoinPoint) stack {
	var st stack
	e := solid.Vec{X: 1}
	if math.Abs(j.Axis.X) > 0.9 {
		e = solid.Vec{Y: 1}
	}
	st.across[0] = j.Axis.Cross(e).Unit()
	st.across[1] = j.Axis.Cross(st.across[0])
	deep := 0.0
	for _, k := range j.Members {
		b := m.a.Copies[k.Copy].Blank
		i, ok := m.index[b][k.Point]
		if !ok {
			continue
		}
		f := m.a.Blanks[b].Flat
		p := &f.Points[i]
		st.sheets = append(st.sheets, sheet{k.Copy, p.Face, p, f.Panel.Stock.Thickness})
		st.at = append(st.at, j.At.Add(j.Axis.Scale(deep)))
		deep += f.Panel.Stock.Thickness
	}
	return st
}

// number gives unknowns to all parts that are fastened to others or to themselves, but for
// one of each group, and errors to their bends.
func (m *model) number() {
	of := make([]int, len(m.a.Copies)) // towards the copy that stands for its group
	used := make([]bool, len(of))
	for c := range of {
		of[c] = c
	}
	stands := func(c int) int {
		for of[c] != c {
			c = of[c]
		}
		return c
	}
	for _, st := range m.stacks {
		for _, s := range st.sheets {
			used[s.copy] = true
			a, b := stands(st.sheets[0].copy), stands(s.copy)
			of[max(a, b)] = min(a, b)
		}
	}
	for c := range of {
		m.first[c], m.hinged[c] = -1, -1
		if !used[c] {
			continue
		}
		b := m.a.Copies[c].Blank
		if m.shapes[b] == nil {
			m.shapes[b] = shapeOf(m.a.Blanks[b].Flat, m.s)
		}
		if stands(c) != c {
			m.first[c] = m.n
			m.n += 6
		}
		m.hinged[c] = m.n
		m.n += len(m.shapes[b].hinges)
		m.bends[c] = m.errors
		m.errors += len(m.shapes[b].errors)
	}
}

// moved is how far a part's place moves along a direction.
func (m *model) moved(f *form, s sheet, at, dir solid.Vec) {
	j := joint{middle: at}
	m.shares(&j, s, 1)
	by := along(dir, at, at)
	for i := range j.unknowns {
		f.unknowns = append(f.unknowns, term{j.unknowns[i].of, by.by(&j.unknowns[i].by)})
	}
	for i := range j.errors {
		f.errors = append(f.errors, term{j.errors[i].of, by.by(&j.errors[i].by)})
	}
}

// reach is what turns are told in: mm at that distance, so that all unknowns are of a size.
const reach = 100.0

// press holds the sheets of a fastener on each other at three points round it, and lays
// them beside each other as a hand does; what is welded along an edge is held by a hand alone.
func (m *model) press(j *panel.JoinPoint, st *stack, round *[3][2]float64) {
	normal := m.s.Tolerance.Contact
	if j.Kind == "tack" || j.Kind == "weld" {
		normal = m.s.Tolerance.Aim / 3
	}
	for k := 1; k < len(st.sheets); k++ {
		of := &m.joints[m.joint(st.sheets[k-1], st.sheets[k], st.at[k])]
		for _, to := range round {
			at := st.at[k].Add(st.across[0].Scale(to[0])).Add(st.across[1].Scale(to[1]))
			of.press(along(j.Axis, at, of.middle), normal)
			for _, dir := range st.across {
				of.press(along(dir, at, of.middle), m.s.Tolerance.Aim/3)
			}
		}
	}
}

// around are the three points at which the sheets of a fastener are pressed, in its plane.
func around() (out [3][2]float64) {
	for i := range out {
		s, c := elementary.Sincos(float64(float64(i) * 2 * math.Pi / 3))
		out[i] = [2]float64{pressed * c, pressed * s}
	}
	return out
}
