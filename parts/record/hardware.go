package record

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"

	"perch/parts/decimal"
	"perch/parts/measure"
	"perch/parts/panel"
)

// HardwareRow is fasteners of one kind, size and grip, as they are taken from the drawer.
type HardwareRow struct {
	Kind     string  `json:"kind"`     // blind rivet, solid rivet, bolt, nut or washer
	Diameter float64 `json:"diameter"` // mm, as all lengths
	Grip     float64 `json:"grip"`     // 0 of nuts and washers
	Length   float64 `json:"length"`   // of the shank; 0 where the shop has none that fits, and of nuts and washers
	Need     float64 `json:"need"`     // the least length that would do; 0 where it is not known
	Cut      float64 `json:"cut_to"`   // to which a longer shank is cut down; 0: it stays
	Count    int     `json:"count"`
	Spare    int     `json:"spare"` // to fetch beside them
}

// spareShare is how many fasteners are fetched beside those that are needed, at least
// spareLeast (common practice, no source).
const (
	spareShare = 0.1
	spareLeast = 2
)

// Hardware lists what a build takes of rivets and bolts, with a nut and two washers for
// each bolt: by kind, diameter, grip and length.
func Hardware(a *panel.Assembly) []HardwareRow {
	var rows []HardwareRow
	add := func(r HardwareRow) {
		r.Grip, r.Need, r.Cut = hundredth(r.Grip), hundredth(r.Need), hundredth(r.Cut)
		k := slices.IndexFunc(rows, func(o HardwareRow) bool {
			return o.Kind == r.Kind && o.Diameter == r.Diameter && o.Grip == r.Grip && o.Length == r.Length && o.Cut == r.Cut
		})
		if k < 0 {
			k = len(rows)
			n := r.Count
			r.Count = 0
			rows = append(rows, r)
			r.Count = n
		}
		rows[k].Count += r.Count
	}
	for i := range a.Joins {
		j := &a.Joins[i]
		r := HardwareRow{Kind: j.Kind, Diameter: j.Diameter, Grip: j.Grip, Length: j.Shank.Length, Need: j.Shank.Need, Cut: j.Shank.Cut, Count: 1}
		switch {
		case j.Kind == "bolt":
			add(r)
			add(HardwareRow{Kind: "nut", Diameter: j.Diameter, Count: 1})
			add(HardwareRow{Kind: "washer", Diameter: j.Diameter, Count: 2})
		case j.Kind == "rivet" && j.Closing.Solid():
			r.Kind = "solid rivet"
			add(r)
		case j.Kind == "rivet":
			r.Kind = "blind rivet"
			add(r)
		}
	}
	for k := range rows {
		rows[k].Spare = max(spareLeast, int(math.Ceil(float64(float64(rows[k].Count)*spareShare))))
	}
	order := []string{"blind rivet", "solid rivet", "bolt", "nut", "washer"}
	slices.SortStableFunc(rows, func(a, b HardwareRow) int {
		return cmp.Or(cmp.Compare(slices.Index(order, a.Kind), slices.Index(order, b.Kind)), cmp.Compare(a.Diameter, b.Diameter),
			cmp.Compare(a.Grip, b.Grip), cmp.Compare(a.Length, b.Length), cmp.Compare(a.Cut, b.Cut))
	})
	return rows
}

// hundredth rounds to 0.01 mm, so that stacks which differ by rounding alone are one row.
func hundredth(mm float64) float64 { return math.Round(float64(mm*100)) / 100 }

// Note says what is to know of a row: how many to fetch, and where a length is missing
// or to be cut.
func (r HardwareRow) Note() measure.Text {
	text := measure.Say("fetch %d, %d of them to spare", r.Count+r.Spare, r.Spare)
	switch {
	case r.Kind == "nut" || r.Kind == "washer":
	case r.Length == 0 && r.Need > 0:
		return measure.Say("%v; the shop lists none that fits, at least %.4g long", text, measure.Length(r.Need))
	case r.Length == 0:
		return measure.Say("%v; the shop lists no length that fits", text)
	case r.Cut > 0:
		return measure.Say("%v; cut to %.4g", text, measure.Length(r.Cut))
	}
	return text
}

// Text says a row in words.
func (r HardwareRow) Text() measure.Text {
	size := measure.Say("%.3g", measure.Nominal(r.Diameter))
	if r.Length > 0 {
		size = measure.Say("%v × %.4g", size, measure.Nominal(r.Length))
	}
	if r.Grip > 0 {
		size = measure.Say("%v for a grip of %.3g", size, measure.Length(r.Grip))
	}
	return measure.Say("%s %v; %v", measure.Counted(r.Count, r.Kind), size, r.Note())
}

// HardwareList writes the hardware as comma-separated values (RFC 4180), a header and a
// line for each row; lengths are in the reader's system, what is not known stays empty.
func HardwareList(w io.Writer, a *panel.Assembly, in measure.System) error {
	scale, places := 1/in.Scale(), 2
	if in == measure.Inches {
		places = 4
	}
	buf := fmt.Appendf(nil, "kind,diameter_%[1]s,grip_%[1]s,length_%[1]s,count,note\r\n", in.Unit())
	for _, r := range Hardware(a) {
		if !decimal.Finite(r.Diameter, r.Grip, r.Length, r.Need, r.Cut) {
			return fmt.Errorf("hardware: a %s of %v mm, grip %v, length %v", r.Kind, r.Diameter, r.Grip, r.Length)
		}
		buf = appendNumber(appendCell(buf, r.Kind), r.Diameter*scale, places)
		for _, mm := range [2]float64{r.Grip, r.Length} {
			if mm == 0 {
				buf = append(buf, ',')
				continue
			}
			buf = appendNumber(buf, mm*scale, places)
		}
		buf = appendNumber(buf, float64(r.Count), 0)
		buf = appendCell(append(buf, ','), r.Note().In(in))
		buf = append(buf, '\r', '\n')
	}
	_, err := w.Write(buf)
	return err
}
