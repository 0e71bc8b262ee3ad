package cutplan

import (
	"encoding/csv"
	"io"
	"strconv"

	"perch/parts/decimal"
	"perch/parts/measure"
)

// list writes a table of a plan, its lengths in a reader's system, whose unit stands in
// the headings: to 0.001 mm or 0.0001 in.
type list struct {
	*csv.Writer
	in measure.System
}

func (l list) length(mm float64) string {
	return string(decimal.Append(nil, mm/l.in.Scale(), 3+int(l.in)))
}

func (l list) done() error {
	l.Flush()
	return l.Error()
}

// Labels writes the list of blanks that are cut on the sheet as CSV: number, name,
// what it is of, sheet, the middle of the blank's box, and the design's revision.
func Labels(w io.Writer, p *Plan, in measure.System) error {
	c := list{csv.NewWriter(w), in}
	c.Write([]string{"number", "blank", "of", "sheet", "x_" + in.Unit(), "y_" + in.Unit(), "revision"})
	for i := range p.Sheet.Parts {
		if !p.Holds(i) {
			continue
		}
		part := &p.Sheet.Parts[i]
		m := part.Region.Bounds().Center()
		c.Write([]string{strconv.Itoa(part.Number), part.Name, part.Of, p.Sheet.Name, c.length(m.X), c.length(m.Y), part.Revision})
	}
	return c.done()
}

// Pierces writes the list of pierces in their order as CSV: number, the blank's
// number and name, inside or outside, whether it is cut slowly, place and length of
// cut, and the revision of its design.
func Pierces(w io.Writer, p *Plan, in measure.System) error {
	c := list{csv.NewWriter(w), in}
	c.Write([]string{"pierce", "number", "blank", "contour", "slow", "x_" + in.Unit(), "y_" + in.Unit(), "cut_" + in.Unit(), "revision"})
	n := p.First
	for i := range p.Cuts {
		k := &p.Cuts[i]
		part := &p.Sheet.Parts[k.Part]
		side, slow := "outside", "no"
		if k.Inside {
			side = "inside"
		}
		if k.Slow {
			slow = "yes"
		}
		for _, r := range k.Runs {
			at := r[0].From
			c.Write([]string{strconv.Itoa(n), strconv.Itoa(part.Number), part.Name, side, slow, c.length(at.X), c.length(at.Y), c.length(pathLength(r)), part.Revision})
			n++
		}
	}
	return c.done()
}
