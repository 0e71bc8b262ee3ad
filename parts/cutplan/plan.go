// Package cutplan plans how a nested sheet is cut: the kerf line of every contour,
// where it is pierced, how the cut leads in and out on the scrap side, and in which
// order contours are cut; it writes the plan as a drawing, as an RS-274 program and
// as a picture, and reads drawing and program back to prove that every contour is
// there once. It places no blanks and never changes their outlines.
package cutplan

import (
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
	Number int // on the sheet's picture and its labels, from 1
	Name   string
	Region plane.Region // one outline, counter-clockwise, and its holes, clockwise
	Marks  []plane.Loop // scribed lines, open
}

// Options of a plan; lengths in mm.
type Options struct {
	Kerf    float64 // width of the cut
	LeadIn  float64 // radius of the arc, or length of the line, that leads in
	LeadOut float64 // and out; 0 none
	Line    bool    // lead in along a line, not an arc
	Tab     float64 // metal left at the end of every outside cut; 0 none
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
	Contour plane.Loop   // the blank's own edge
	Kerf    plane.Loop   // the torch's line, in cutting direction, from where it is led in
	Path    []plane.Edge // lead in, kerf line, lead out
}

// Start is where the cut is pierced.
func (c *Cut) Start() plane.Point { return c.Path[0].From }

// End is where the torch goes off.
func (c *Cut) End() plane.Point { return c.Path[len(c.Path)-1].To }

// Length is the length of the path.
func (c *Cut) Length() float64 {
	var s float64
	for _, e := range c.Path {
		s += e.Len()
	}
	return s
}

// Plan is a sheet's cuts in their order.
type Plan struct {
	Sheet   *Sheet
	Options Options
	Cuts    []Cut
	Drills  []plane.Point // centres of holes too small to cut
	Travel  float64       // with the torch off, from Options.From, mm
	Length  float64       // with it on
}

// New plans the cuts of a sheet. Errors: *KerfError for a contour that the kerf is
// too wide for, *LeadError for one that cannot be led into without cutting metal.
func New(s *Sheet, opt Options) (*Plan, error) {
	p := &Plan{Sheet: s, Options: opt}
	for i := range s.Parts {
		for k, l := range s.Parts[i].Region {
			c := Cut{Part: i, Loop: k, Inside: l.Area() < 0, Contour: l}
			kerf, err := kerfLine(&s.Parts[i], l, opt)
			if err != nil {
				return nil, err
			}
			if kerf == nil {
				p.Drills = append(p.Drills, l.Centroid())
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
	p.order()
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
	for i := range p.Cuts {
		c := &p.Cuts[i]
		for k := range p.Cuts {
			d := &p.Cuts[k]
			switch {
			case i == k:
			case c.Part == d.Part && !c.Inside && d.Inside,
				c.Part == d.Part && c.Inside && d.Inside && d.Slow && !c.Slow,
				c.Part != d.Part && c.Inside && opening(c.Contour).Locate(d.Contour[0].P) == plane.Inside:
				out[i] = append(out[i], k)
			}
		}
	}
	return out
}

func opening(l plane.Loop) plane.Region { return plane.Region{l.Reversed()} }

// order sorts the cuts and adds up their lengths.
func (p *Plan) order() {
	t := newTour(p)
	cuts := make([]Cut, len(p.Cuts))
	for i, k := range t.best() {
		cuts[i] = p.Cuts[k]
	}
	p.Cuts = cuts
	p.measure()
}

func (p *Plan) measure() {
	p.Travel, p.Length = 0, 0
	at := p.Options.From
	for i := range p.Cuts {
		p.Travel += at.Dist(p.Cuts[i].Start())
		p.Length += p.Cuts[i].Length()
		at = p.Cuts[i].End()
	}
}

// Only is the plan with the cuts of the parts of these numbers alone.
func (p *Plan) Only(numbers ...int) *Plan {
	q := *p
	q.Cuts = slices.DeleteFunc(slices.Clone(p.Cuts), func(c Cut) bool {
		return !slices.Contains(numbers, p.Sheet.Parts[c.Part].Number)
	})
	q.measure()
	return &q
}

// Starting is the plan from the given pierce on, counted from 1.
func (p *Plan) Starting(pierce int) *Plan {
	q := *p
	q.Cuts = slices.Clone(p.Cuts[min(max(0, pierce-1), len(p.Cuts)):])
	q.measure()
	return &q
}
