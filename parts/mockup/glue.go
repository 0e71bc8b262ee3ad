package mockup

import (
	"fmt"
	"strconv"

	"perch/parts/measure"
	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/plane"
)

// Spot is a face of a copy.
type Spot struct {
	Copy, Face int // of Assembly.Copies, and of its blank's faces
}

// Glue is where two faces are glued to each other.
type Glue struct {
	Letter string
	A, B   Spot // with a tab it is A's
	Seam   bool // of one part with itself
	// Where the faces lie on each other: the place in both patterns, and whether it is on
	// the printed side. Empty with a tab.
	PatchA, PatchB plane.Region
	FrontA, FrontB bool
	Tab            *Tab // where an edge meets a face or an edge
}

// Gap is a place that should be glued and can't be: no tab finds room, or metal that
// touches in nothing that paper could be glued by.
type Gap struct {
	A, B Spot
	Seam bool
}

// SmallError says that a place to glue is thinner than a pencil line at the scale.
type SmallError struct {
	Scale  Scale
	A, B   string
	Paper  float64 // mm
	Enough Scale   // of the usual scales the smallest at which it is not; zero: none
}

func (e *SmallError) Error() string { return e.Told().String() }

// Told is the error for a reader.
func (e *SmallError) Told() measure.Text {
	s := measure.Say("at %v the place to glue %s to %s is %.2f wide, thinner than a pencil line (%.1f)", e.Scale, e.A, e.B, measure.Length(e.Paper), measure.Length(Pencil))
	if e.Enough != (Scale{}) {
		return measure.Say("%v: take %v or larger", s, e.Enough)
	}
	return s
}

// mostGlued is how many places a model may have: more are not glued by hand.
const mostGlued = 2000

// ManyError says that a model would have too many parts or places to glue.
type ManyError struct {
	What       string
	Count, Max int
}

func (e *ManyError) Error() string {
	return fmt.Sprintf("a paper model with %d %s is more than hands put together: at most %d", e.Count, e.What, e.Max)
}

// Model is a piece in paper.
type Model struct {
	Assembly *panel.Assembly
	Scale    Scale
	Patterns []*Pattern // by blank
	Glues    []Glue     // seams first, by copy, then by steps
	Gaps     []Gap
	Steps    []Step

	names *naming.Names
}

// Make makes the paper model of an assembly. The error is a *SmallError, a *ManyError, or
// of a flat that can't be drawn.
func Make(a *panel.Assembly, scale Scale) (*Model, error) {
	const mostParts = 1000
	if len(a.Copies) > mostParts {
		return nil, &ManyError{"parts", len(a.Copies), mostParts}
	}
	m := &Model{Assembly: a, Scale: scale, names: naming.Of(a)}
	for _, b := range a.Blanks {
		p, err := Unfold(b.Flat, scale)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", b.Name, err)
		}
		m.Patterns = append(m.Patterns, p)
	}
	pairs := m.pairs()
	if len(pairs) > mostGlued {
		return nil, &ManyError{"places to glue", len(pairs), mostGlued}
	}
	m.order(pairs)
	if err := m.glue(pairs); err != nil {
		return nil, err
	}
	for i := range m.Glues {
		m.Glues[i].Letter = letter(i)
	}
	m.step()
	return m, nil
}

// pair is two faces to be glued.
type pair struct {
	a, b Spot
	seam *panel.Seam
}

// pairs are the faces that joins and seams bring together, each two once.
func (m *Model) pairs() []pair {
	var out []pair
	seen := map[[2]Spot]bool{}
	add := func(p pair) {
		if p.a != p.b && !seen[[2]Spot{p.a, p.b}] {
			seen[[2]Spot{p.a, p.b}], seen[[2]Spot{p.b, p.a}] = true, true
			out = append(out, p)
		}
	}
	for c, copied := range m.Assembly.Copies {
		f := m.Assembly.Blanks[copied.Blank].Flat
		for i := range f.Panel.Seams {
			s := &f.Panel.Seams[i]
			if tab, lapped := lapOf(f, s); lapped {
				add(pair{Spot{c, tab}, Spot{c, s.B}, s})
			} else {
				add(pair{Spot{c, s.A}, Spot{c, s.B}, s})
			}
		}
	}
	points := m.points()
	for _, j := range m.Assembly.Joins {
		for i := 0; i+1 < len(j.Members); i++ {
			x, y := j.Members[i], j.Members[i+1]
			fx, okX := points[x.Copy][x.Point]
			fy, okY := points[y.Copy][y.Point]
			if okX && okY {
				add(pair{a: Spot{x.Copy, fx}, b: Spot{y.Copy, fy}})
			}
		}
	}
	return out
}

// lapOf is the tab, a face of its own, of a lapped seam.
func lapOf(f *panel.Flat, s *panel.Seam) (tab int, ok bool) {
	if s.Kind != panel.SeamLapped {
		return 0, false
	}
	for i, fold := range f.Panel.Folds {
		if fold.Name != s.Name || fold.A != s.A {
			continue
		}
		for _, t := range f.Tabs {
			if t.Face == f.Folds[i].B {
				return t.Face, true
			}
		}
	}
	return 0, false
}

// points are the faces of the points by name, by copy.
func (m *Model) points() []map[string]int {
	byBlank := make([]map[string]int, len(m.Assembly.Blanks))
	for i, b := range m.Assembly.Blanks {
		byBlank[i] = map[string]int{}
		for _, p := range b.Flat.Points {
			byBlank[i][p.Name] = p.Face
		}
	}
	out := make([]map[string]int, len(m.Assembly.Copies))
	for i, c := range m.Assembly.Copies {
		out[i] = byBlank[c.Blank]
	}
	return out
}

// Pattern of a copy.
func (m *Model) Pattern(copied int) *Pattern { return m.Patterns[m.Assembly.Copies[copied].Blank] }

func (m *Model) stand(s Spot) *standing {
	out := stand(m.Pattern(s.Copy), s.Face, m.Assembly.Copies[s.Copy].Matrix)
	return &out
}

// glue finds for every pair the patch or the tab.
func (m *Model) glue(pairs []pair) error {
	for _, p := range pairs {
		a, b := m.stand(p.a), m.stand(p.b)
		if r, toB, ok := patch(a, b); ok {
			if thin := r.Across(); thin*m.Scale.Factor() < Pencil {
				return m.small(p, thin)
			}
			m.Glues = append(m.Glues, Glue{A: p.a, B: p.b, Seam: p.seam != nil, PatchA: r, PatchB: r.Transform(toB),
				FrontA: a.height(b.frame.At(toB.Apply(middle(r)))) > 0, FrontB: b.height(a.frame.At(middle(r))) > 0})
			continue
		}
		g, ok := m.tab(p, foldable)
		if ok {
			m.Glues = append(m.Glues, g)
			continue
		}
		// Is it the scale, or is there no room?
		if g, ok := m.tab(p, imagined); ok && g.Tab.Wide*m.Scale.Factor() < Pencil {
			return m.small(p, g.Tab.Wide)
		}
		m.Gaps = append(m.Gaps, Gap{p.a, p.b, p.seam != nil})
	}
	return nil
}

// small is the error of a place so wide in metal.
func (m *Model) small(p pair, metal float64) error {
	enough, _ := smallestAbove(Pencil / metal)
	return &SmallError{m.Scale, m.FaceName(p.a), m.FaceName(p.b), metal * m.Scale.Factor(), enough}
}

// tab finds the better of both faces' tabs for a pair.
func (m *Model) tab(p pair, l least) (Glue, bool) {
	gap := 0.0
	if p.seam != nil {
		gap = p.seam.Gap
	}
	best, score := Glue{}, 0.0
	for _, s := range [2][2]Spot{{p.a, p.b}, {p.b, p.a}} {
		w := bench{pattern: m.Pattern(s[0].Copy), a: m.stand(s[0]), b: m.stand(s[1]), other: m.tabsOf(s[0].Copy), factor: m.Scale.Factor(), least: l}
		if t, worth := w.best(gap); worth > score {
			best, score = Glue{A: s[0], B: s[1], Seam: p.seam != nil, Tab: &t}, worth
		}
	}
	return best, score > 0
}

// tabsOf is the paper of the tabs that a copy has so far.
func (m *Model) tabsOf(copied int) plane.Region {
	var r plane.Region
	for _, g := range m.Glues {
		if g.Tab != nil && g.A.Copy == copied {
			r = append(r, g.Tab.Outline)
		}
	}
	return r
}

// faceWords is how people call a face: front left leg, left.
func (m *Model) faceWords(s Spot) string {
	return m.copyName(s.Copy) + ", " + m.names.Face(m.Assembly.Copies[s.Copy].Blank, s.Face)
}

// FaceName is how the design calls a face: leg.1.left.
func (m *Model) FaceName(s Spot) string {
	return m.Assembly.Copies[s.Copy].Name + "." + m.Pattern(s.Copy).Flat.FaceName(s.Face)
}

// letters leave out what is taken for a digit or for each other.
const letters = "ABCDEFGHJKLMNPRSTUVWXYZ"

// letter i, then letters with numbers: A … Z, A2 … Z2, A3.
func letter(i int) string {
	s := string(letters[i%len(letters)])
	if n := i / len(letters); n > 0 {
		s += strconv.Itoa(n + 1)
	}
	return s
}
