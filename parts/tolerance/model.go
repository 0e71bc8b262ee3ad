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

// spring resists a form with k N/mm (N·mm a radian of a hinge).
type spring struct {
	form
	k float64
}

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
	springs []spring
	stacks  []stack // by join
	weighed float64 // the sum of the squares of the weights of four feet
}

// stack is a fastener with its sheets.
type stack struct {
	sheets []sheet      // outermost first
	across [2]solid.Vec // unit, square to the axis and to each other
	at     []solid.Vec  // by sheet: where the axis goes into it
	holes  [][2]int     // by sheet: the errors of its hole along across; −1 without a hole of its own
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
	m := &model{a: a, s: s, first: make([]int, len(a.Copies)), bends: make([]int, len(a.Copies)), hinged: make([]int, len(a.Copies))}
	m.index, m.shapes = indexed(a), make([]*shape, len(a.Blanks))
	for i := range a.Joins {
		m.stacks = append(m.stacks, m.stackOf(&a.Joins[i]))
	}
	m.number()
	if m.n > mostUnknowns {
		return nil, &TooLarge{m.n, mostUnknowns, "ways to move"}
	}
	for i := range a.Joins {
		m.press(&a.Joins[i], &m.stacks[i])
	}
	for c, at := range m.hinged {
		if at < 0 {
			continue
		}
		for h := range m.shapes[a.Copies[c].Blank].hinges {
			m.springs = append(m.springs, spring{form{unknowns: []term{{at + h, 1}}}, m.shapes[a.Copies[c].Blank].hinges[h].k})
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

// moved is how far a part's place moves along a direction, sign times.
func (m *model) moved(f *form, s sheet, at, along solid.Vec, sign float64) {
	c := &m.a.Copies[s.copy]
	if first := m.first[s.copy]; first >= 0 {
		turn := at.Cross(along) // along · (w × at) = w · (at × along)
		for k, v := range [6]float64{along.X, along.Y, along.Z, float64(turn.X / reach), float64(turn.Y / reach), float64(turn.Z / reach)} {
			f.unknowns = append(f.unknowns, term{first + k, float64(sign * v)})
		}
	}
	sh := m.shapes[c.Blank]
	p := inPart(c.Matrix, at)
	for k := range sh.hinges {
		if h := &sh.hinges[k]; h.moves[s.face] {
			f.unknowns = append(f.unknowns, term{m.hinged[s.copy] + k, float64(sign * inWorld(c.Matrix, h.at(p)).Dot(along))})
		}
	}
	for k := range sh.errors {
		if e := &sh.errors[k]; e.moves[s.face] {
			f.errors = append(f.errors, term{m.bends[s.copy] + k, float64(sign * inWorld(c.Matrix, e.at(p)).Dot(along))})
		}
	}
}

// reach is what turns are told in: mm at that distance, so that all unknowns are of a size.
const reach = 100.0

// apart is how far the second sheet lies from the first along a direction, at a place.
func (m *model) apart(a, b sheet, at, along solid.Vec) form {
	var f form
	m.moved(&f, b, at, along, 1)
	m.moved(&f, a, at, along, -1)
	f.unknowns, f.errors = gathered(f.unknowns), gathered(f.errors)
	return f
}

// gathered has each unknown once, in order: a part that is fastened to itself moves both
// sides of a fastener.
func gathered(terms []term) []term {
	slices.SortStableFunc(terms, func(a, b term) int { return a.of - b.of })
	out := terms[:0]
	for _, t := range terms {
		if last := len(out) - 1; last >= 0 && out[last].of == t.of {
			out[last].by += t.by
			continue
		}
		out = append(out, t)
	}
	return out
}

// press holds the sheets of a fastener on each other at three points round it, and lays
// them beside each other as a hand does; what is welded along an edge is held by a hand alone.
func (m *model) press(j *panel.JoinPoint, st *stack) {
	bead := j.Kind == "tack" || j.Kind == "weld"
	for k := 1; k < len(st.sheets); k++ {
		for i := range 3 {
			s, c := elementary.Sincos(float64(float64(i) * 2 * math.Pi / 3))
			at := st.at[k].Add(st.across[0].Scale(pressed * c)).Add(st.across[1].Scale(pressed * s))
			normal := m.s.Tolerance.Contact
			if bead {
				normal = m.s.Tolerance.Aim / 3
			}
			m.springs = append(m.springs, spring{m.apart(st.sheets[k-1], st.sheets[k], at, j.Axis), normal})
			for _, along := range st.across {
				m.springs = append(m.springs, spring{m.apart(st.sheets[k-1], st.sheets[k], at, along), m.s.Tolerance.Aim / 3})
			}
		}
	}
}
