// Package cutplan plans how a nested sheet is cut: the kerf line of every contour,
// where it is pierced, how the cut leads in and out on the scrap side, and in which
// order contours are cut; it writes the plan as a drawing, as an RS-274 program and
// as a picture, and reads drawing and program back to prove that every contour is
// there once. It places no blanks and never changes their outlines.
package cutplan

import (
	"context"
	"math"
	"slices"

	"perch/parts/plane"
)

// Sheet is a nested sheet to be cut.
type Sheet struct {
	Name      string
	Material  string
	Thickness float64
	Metal     plane.Region // the sheet, or what is left of one
	Parts     []Part
	Remnant   plane.Box // kept; may be empty
}

// Part is a blank where it lies on the sheet.
type Part struct {
	Number   int // on the sheet's picture and its labels, from 1
	Name     string
	Of       string       // design and size, for lists; may be empty
	Revision string       // of the design; may be empty
	Region   plane.Region // one outline, counter-clockwise, and its holes, clockwise
	Marks    []Mark
	Nicks    []Nick // in the outline
}

// Options of a plan; lengths in mm.
type Options struct {
	Kerf    float64 // width of the cut
	LeadIn  float64 // radius of the arc, or length of the line, that leads in
	LeadOut float64 // and out; 0 none
	Line    bool    // lead in along a line, not an arc
	Tab     float64 // width of the metal left standing in every outside cut; 0 none
	Tabs    int     // that hold a blank, where it is long enough for so many; 0 means 1
	// Holes up to this diameter are cut slowly. 0 none.
	SmallHole float64
	// Drill is the diameter up to which round holes that the kerf is too wide for
	// become centre marks instead of errors.
	Drill float64
	From  plane.Point // where the torch starts
}

// Cut is one contour to be cut.
type Cut struct {
	Part    int // index of Sheet.Parts
	Loop    int // index in its region
	Inside  bool
	Slow    bool
	Contour plane.Loop // the blank's own edge
	Kerf    plane.Loop // the torch's line, in cutting direction, from where it is led in
	// Runs are what is cut from a pierce to torch off: lead in, kerf line, lead out.
	// There is one, or one from each tab to the next.
	Runs [][]plane.Edge
}

// Start is where the cut is first pierced.
func (c *Cut) Start() plane.Point { return c.Runs[0][0].From }

// End is where the torch goes off last.
func (c *Cut) End() plane.Point { return lastOf(c.Runs[len(c.Runs)-1]).To }

func lastOf(path []plane.Edge) plane.Edge { return path[len(path)-1] }

// Length is the length of all runs.
func (c *Cut) Length() float64 {
	var s float64
	for _, r := range c.Runs {
		s += pathLength(r)
	}
	return s
}

// Drill is a round hole that is too small for the kerf.
type Drill struct {
	Part     int // index of Sheet.Parts
	At       plane.Point
	Diameter float64
}

// Plan is a sheet's cuts in their order.
type Plan struct {
	Sheet   *Sheet
	Options Options
	Cuts    []Cut
	Drills  []Drill
	Travel  float64 // with the torch off, from Options.From, mm
	Length  float64 // with it on
	First   int     // number of the first pierce: 1, more where the plan is resumed
	Pierces int     // from First on
	Heat    float64 // see Heat in heat.go; of the order that was chosen, 0 where it was not spread
}

// New plans the cuts of a sheet. Errors: *KerfError for a contour that the kerf is
// too wide for, *LeadError for one that cannot be led into without cutting metal.
func New(s *Sheet, opt Options) (*Plan, error) { return Within(context.Background(), s, opt) }

// Within is New with the best order that is found before ctx ends.
func Within(ctx context.Context, s *Sheet, opt Options) (*Plan, error) {
	p := &Plan{Sheet: s, Options: opt, First: 1}
	for i := range s.Parts {
		for k, l := range s.Parts[i].Region {
			c := Cut{Part: i, Loop: k, Inside: l.Area() < 0, Contour: l}
			kerf, err := kerfLine(&s.Parts[i], l, opt)
			if err != nil {
				return nil, err
			}
			if kerf == nil {
				p.Drills = append(p.Drills, Drill{Part: i, At: l.Centroid(), Diameter: l.Bounds().Size().X})
				continue
			}
			box := l.Bounds().Size()
			c.Slow = c.Inside && max(box.X, box.Y) <= opt.SmallHole
			c.Kerf = kerf
			p.Cuts = append(p.Cuts, c)
		}
	}
	leads := newLeader(s, opt)
	for i := range p.Cuts {
		if err := leads.lead(&p.Cuts[i]); err != nil {
			return nil, err
		}
	}
	if err := p.checkNicks(); err != nil {
		return nil, err
	}
	p.order(ctx)
	return p, nil
}

// kerfLine is the torch's line beside a contour, half a kerf into the scrap, with
// the blank on the right of the cut. It is nil for a round hole to be drilled.
func kerfLine(part *Part, l plane.Loop, opt Options) (plane.Loop, error) {
	if l.Area() > 0 {
		var best plane.Loop
		for _, g := range plane.Offset(plane.Region{l}, opt.Kerf/2) {
			if best == nil || g.Area() > best.Area() {
				best = g
			}
		}
		if len(best) < 2 {
			return nil, &KerfError{Part: part.Name, At: l.Centroid(), Kerf: opt.Kerf}
		}
		return best.Reversed(), nil
	}
	g := plane.Offset(plane.Region{l.Reversed()}, -opt.Kerf/2)
	if len(g) == 1 {
		return g[0], nil
	}
	size := l.Bounds().Size()
	if round(l) && size.X <= opt.Drill+plane.Tol {
		return nil, nil
	}
	return nil, &KerfError{Part: part.Name, At: l.Centroid(), Kerf: opt.Kerf, Pieces: len(g)}
}

// round tells whether a loop is a full circle.
func round(l plane.Loop) bool {
	if len(l) == 0 || l[0].Bulge == 0 {
		return false
	}
	c, r := l.Edge(0).Center(), l.Edge(0).Radius()
	for i := range l {
		e := l.Edge(i)
		if e.Bulge == 0 || !e.Center().Near(c, 1e-6) || math.Abs(e.Radius()-r) > 1e-6 {
			return false
		}
	}
	return true
}

// before lists, per cut, the cuts that must be done earlier: a blank's insides
// before its outside, its small holes before its other insides, and what lies in an
// opening before that opening drops out.
func (p *Plan) before() [][]int {
	out := make([][]int, len(p.Cuts))
	boxes := make([]plane.Box, len(p.Cuts))
	for i := range p.Cuts {
		boxes[i] = p.Cuts[i].Contour.Bounds()
	}
	for i := range p.Cuts {
		c := &p.Cuts[i]
		for k := range p.Cuts {
			d := &p.Cuts[k]
			switch {
			case i == k:
			case c.Part == d.Part && !c.Inside && d.Inside,
				c.Part == d.Part && c.Inside && d.Inside && d.Slow && !c.Slow,
				c.Part != d.Part && c.Inside && boxes[i].Holds(d.Contour[0].P) && opening(c.Contour).Locate(d.Contour[0].P) == plane.Inside:
				out[i] = append(out[i], k)
			}
		}
	}
	return out
}

func opening(l plane.Loop) plane.Region { return plane.Region{l.Reversed()} }

// order sorts the cuts and adds up their lengths.
func (p *Plan) order(ctx context.Context) {
	t := newTour(p)
	t.stop = ctx
	if len(p.Cuts) <= manyCuts {
		t.near = nearness(p.Cuts)
	}
	cuts := make([]Cut, len(p.Cuts))
	order := t.spread(t.best(kicks))
	for i, k := range order {
		cuts[i] = p.Cuts[k]
	}
	p.Cuts, p.Heat = cuts, t.heat(order)
	p.measure()
}

func (p *Plan) measure() {
	p.Travel, p.Length, p.Pierces = 0, 0, 0
	at := p.Options.From
	for i := range p.Cuts {
		p.Length += p.Cuts[i].Length()
		p.Pierces += len(p.Cuts[i].Runs)
		for _, r := range p.Cuts[i].Runs {
			p.Travel += at.Dist(r[0].From)
			at = lastOf(r).To
		}
	}
}

// Holds tells whether the plan cuts, or marks, something of a part.
func (p *Plan) Holds(part int) bool {
	return slices.ContainsFunc(p.Cuts, func(c Cut) bool { return c.Part == part }) ||
		slices.ContainsFunc(p.Drills, func(d Drill) bool { return d.Part == part })
}

// Only is the plan with the cuts of the parts of these numbers alone, in the same
// order, its pierces counted anew.
func (p *Plan) Only(numbers ...int) *Plan {
	q := *p
	other := func(part int) bool { return !slices.Contains(numbers, p.Sheet.Parts[part].Number) }
	q.Cuts = slices.DeleteFunc(slices.Clone(p.Cuts), func(c Cut) bool { return other(c.Part) })
	q.Drills = slices.DeleteFunc(slices.Clone(p.Drills), func(d Drill) bool { return other(d.Part) })
	q.measure()
	return &q
}

// Again is the plan for another sheet on which the same parts lie the same, numbered on
// from first.
func (p *Plan) Again(name string, first int) *Plan {
	q, s := *p, *p.Sheet
	s.Name, s.Parts = name, slices.Clone(s.Parts)
	for i := range s.Parts {
		s.Parts[i].Number = first + i
	}
	q.Sheet = &s
	return &q
}

// Starting is the plan from the given pierce on, counted from 1. Past the last
// pierce nothing is left.
func (p *Plan) Starting(pierce int) *Plan {
	q := *p
	skip := max(0, pierce-p.First)
	q.First, q.Cuts = p.First+skip, nil
	for _, c := range p.Cuts {
		n := min(skip, len(c.Runs))
		skip -= n
		if c.Runs = c.Runs[n:]; len(c.Runs) > 0 {
			q.Cuts = append(q.Cuts, c)
		}
	}
	q.measure()
	return &q
}
