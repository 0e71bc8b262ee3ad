package cutplan

import (
	"encoding/csv"
	"io"
	"strconv"

	"perch/parts/decimal"
)

func num(v float64) string { return string(decimal.Append(nil, v, 3)) }

// Labels writes the list of blanks that are cut on the sheet as CSV: number, name,
// what it is of, sheet, the middle of the blank's box, mm, and the design's revision.
func Labels(w io.Writer, p *Plan) error {
	c := csv.NewWriter(w)
	c.Write([]string{"number", "blank", "of", "sheet", "x_mm", "y_mm", "revision"})
	for i := range p.Sheet.Parts {
		if !p.Holds(i) {
			continue
		}
		part := &p.Sheet.Parts[i]
		m := part.Region.Bounds().Center()
		c.Write([]string{strconv.Itoa(part.Number), part.Name, part.Of, p.Sheet.Name, num(m.X), num(m.Y), part.Revision})
	}
	c.Flush()
	return c.Error()
}

// Pierces writes the list of pierces in their order as CSV: number, the blank's
// number and name, inside or outside, whether it is cut slowly, place and length of
// cut, mm.
func Pierces(w io.Writer, p *Plan) error {
	c := csv.NewWriter(w)
	c.Write([]string{"pierce", "number", "blank", "contour", "slow", "x_mm", "y_mm", "cut_mm"})
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
			c.Write([]string{strconv.Itoa(n), strconv.Itoa(part.Number), part.Name, side, slow, num(at.X), num(at.Y), num(pathLength(r))})
			n++
		}
	}
	c.Flush()
	return c.Error()
}
