package reason

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/quantity"
)

// Study is a sweep that was run, to be written.
type Study struct {
	Size   string
	Axes   []Axis
	Of     []Wanted
	Points []Point
	In     quantity.System // that the results are written in
}

// Usual are the results to write where none are asked for: the params that
// nothing plainly states, and the mass of what is made.
func Usual(p *check.Program, axes []Axis) []string {
	var out []string
next:
	for _, d := range build.Params(p) {
		for _, a := range axes {
			if a.Param == d {
				continue next
			}
		}
		if d.Param.Default == nil || d.Param.About {
			out = append(out, d.Name)
		}
	}
	if m := Measured(p); len(m) > 0 {
		out = append(out, m[0])
	}
	return out
}

// Broken counts the points that break something.
func (s Study) Broken() int {
	n := 0
	for _, p := range s.Points {
		if p.Broken != nil {
			n++
		}
	}
	return n
}

// reading is a quantity in the units that the study is written in.
func (s Study) reading(q build.Quantity) (float64, string) {
	v, unit := q.Recorded()
	return quantity.FromRecord(v, unit, s.In)
}

// heads are the names of the axes and of the results, with their units.
func (s Study) heads() (axes, of []string) {
	with := func(name, unit string) string {
		if unit == "" {
			return name
		}
		return name + " [" + unit + "]"
	}
	for _, a := range s.Axes {
		axes = append(axes, with(a.Param.Name, a.Unit.Name))
	}
	for j, w := range s.Of {
		unit := ""
		for _, p := range s.Points {
			if !math.IsNaN(p.Of[j].V) {
				_, unit = s.reading(p.Of[j])
				break
			}
		}
		of = append(of, with(w.Text, unit))
	}
	return axes, of
}

// WriteCSV writes a line for each point: the values of the axes, the results,
// empty where there are none, and the rule that the point breaks.
func (s Study) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	axes, of := s.heads()
	if err := out.Write(append(append(axes, of...), "breaks")); err != nil {
		return err
	}
	for _, p := range s.Points {
		var line []string
		for k, v := range p.At {
			line = append(line, tidy(s.Axes[k].Show(v)))
		}
		for _, q := range p.Of {
			v, _ := s.reading(q)
			if math.IsNaN(v) {
				line = append(line, "")
			} else {
				line = append(line, tidy(v))
			}
		}
		if err := out.Write(append(line, p.Broken.String())); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// tidy writes a number to nine digits, which hides the rounding of units.
func tidy(v float64) string {
	x, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 9, 64), 64)
	if err != nil {
		x = v
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}
