package sheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"perch/lang/diag"
	"perch/parts/measure"
	"perch/parts/nest"
	"perch/parts/plane"
)

// Place is where a blank is put by hand: the lower left corner of the turned
// blank's box, on the remnant as it lies in its drawing, or on a sheet.
type Place struct {
	Blank string
	At    plane.Point
	Angle float64 // degrees, counter-clockwise
}

// ParsePlaces reads places, each NAME@X,Y or NAME@X,Y,ANGLE.
func ParsePlaces(texts []string) ([]Place, []diag.Diagnostic) {
	var out []Place
	var diags []diag.Diagnostic
	for _, text := range texts {
		name, at, ok := cutLast(text, "@")
		words := strings.Split(at, ",")
		var v [3]float64
		ok = ok && name != "" && (len(words) == 2 || len(words) == 3)
		for i := 0; ok && i < len(words); i++ {
			x, err := strconv.ParseFloat(strings.TrimSpace(words[i]), 64)
			ok = err == nil && math.Abs(x) < 1e6
			v[i] = x
		}
		if !ok {
			diags = append(diags, mistake("P8011", fmt.Sprintf("--place %s: it is no blank and place", text),
				"write NAME@X,Y,ANGLE: the lower left corner of the turned blank's box in mm, and degrees"))
			continue
		}
		out = append(out, Place{Blank: name, At: plane.Point{X: v[0], Y: v[1]}, Angle: v[2]})
	}
	return out, diags
}

// placed puts blanks where they are told to lie: all on one remnant or, where there
// is none of their metal, on one sheet.
func (n Nesting) placed(w *worklist) ([]nest.Used, error) {
	u := nest.Used{Sheet: -1, Remnant: plane.EmptyBox()}
	for _, p := range n.Places {
		piece := slices.IndexFunc(w.Blanks, func(b nest.Blank) bool { return b.Name == p.Blank })
		if piece < 0 {
			return nil, mistaken{mistake("P8011", fmt.Sprintf("there is no blank %s to place", p.Blank), orElse(p.Blank, w.names(), "the job's blanks are "+diag.List(w.names()))...)}
		}
		b := &w.Blanks[piece]
		sheet, err := w.sheetFor(b)
		if err != nil {
			return nil, err
		}
		if u.Sheet >= 0 && u.Sheet != sheet {
			return nil, mistaken{mistake("P8011", fmt.Sprintf("%s is of another metal than the blanks placed before it", p.Blank), "place the blanks of each metal in a run of their own")}
		}
		u.Sheet = sheet
		q := nest.Placed{Piece: piece, Rotation: p.Angle}
		box := b.Region.Transform(q.Transform()).Bounds()
		q.At = p.At.Sub(box.Min)
		u.Placed = append(u.Placed, q)
	}
	tidy(&u)
	if notes := w.misfits(&u); len(notes) > 0 {
		return nil, mistaken{mistake("P8010", "a blank does not fit where it is placed", notes...)}
	}
	if err := nest.Check(&w.Job, &w.Sheets[u.Sheet], u.Placed); err != nil {
		return nil, mistaken{mistake("P8010", "a blank does not fit where it is placed", measure.Of(err).In(w.in))}
	}
	var area float64
	for _, p := range u.Placed {
		area += w.Blanks[p.Piece].Region.Area()
	}
	u.Density = area / metalOf(&w.Sheets[u.Sheet]).Area()
	return []nest.Used{u}, nil
}

// names are the blanks' names, each once.
func (w *worklist) names() []string {
	var out []string
	for _, b := range w.Blanks {
		if !slices.Contains(out, b.Name) {
			out = append(out, b.Name)
		}
	}
	return out
}

// sheetFor is the remnant of a blank's metal, or the first sheet of it.
func (w *worklist) sheetFor(b *nest.Blank) (int, error) {
	found, remnants := -1, 0
	for i := range w.Sheets {
		s := &w.Sheets[i]
		if !sameStock(s.Material, s.Thickness, b.Material, b.Thickness) {
			continue
		}
		if len(s.Outline) > 0 {
			remnants++
		}
		if found < 0 {
			found = i
		}
	}
	switch {
	case found < 0:
		return 0, &nest.NoSheetError{Blank: b.Name, Material: b.Material, Thickness: b.Thickness}
	case remnants > 1:
		return 0, mistaken{mistake("P8011", "there are several remnants of "+stockOf(b.Material, b.Thickness).In(w.in)+" to place "+b.Name+" on", "name one of them only")}
	}
	return found, nil
}

// metalOf is a sheet's metal.
func metalOf(s *nest.Sheet) plane.Region {
	if len(s.Outline) > 0 {
		return s.Outline
	}
	return plane.Region{plane.RectAt(plane.Point{}, plane.Point{X: s.Length, Y: s.Width})}
}

// misfits tells of every blank that sticks out of the sheet or lies on another:
// how far, and where.
func (w *worklist) misfits(u *nest.Used) []string {
	var out []string
	metal := metalOf(&w.Sheets[u.Sheet])
	at := func(p plane.Point) measure.Text { return measure.Say("at %.1f", measure.Place(p)) }
	say := func(format string, args ...any) { out = append(out, measure.Say(format, args...).In(w.in)) }
	regions := make([]plane.Region, len(u.Placed))
	for i, p := range u.Placed {
		name := w.Blanks[p.Piece].Name
		regions[i] = w.Blanks[p.Piece].Region.Transform(p.Transform())
		if far, where := farthest(plane.Subtract(regions[i], metal), metal); far > 0 {
			say("%s sticks out of %s by %.1f %s", name, w.stock[u.Sheet], measure.Length(far), at(where))
		} else if gap, where, _ := plane.Distance(regions[i], metal); gap < w.Margin {
			say("%s lies %.1f from the edge of %s %s; the margin is %.1f", name, measure.Length(gap), w.stock[u.Sheet], at(where), measure.Length(w.Margin))
		}
		for k := range i {
			other := w.Blanks[u.Placed[k].Piece].Name
			if both := plane.Intersect(regions[i], regions[k]); both.Area() > leastOverlap {
				size := both.Bounds().Size()
				say("%s lies on %s over %#.1f × %.1f %s", name, other, measure.Length(size.X), measure.Length(size.Y), at(both.Bounds().Center()))
			} else if gap, where, _ := plane.Distance(regions[i], regions[k]); gap < w.Spacing {
				say("%s lies %.1f from %s %s; the spacing is %.1f", name, measure.Length(gap), other, at(where), measure.Length(w.Spacing))
			}
		}
	}
	return out
}

// leastOverlap is the area, in mm², below which two blanks only touch.
const leastOverlap = 1e-3

// farthest is the place in r that lies farthest from the outline of metal.
func farthest(r, metal plane.Region) (float64, plane.Point) {
	const chord = 0.05 // mm
	var far float64
	var where plane.Point
	if r.Area() < leastOverlap {
		return 0, where
	}
	for _, l := range r {
		for _, p := range plane.Flatten(l, chord) {
			if d, _ := metal.DistanceTo(p); d > far {
				far, where = d, p
			}
		}
	}
	return far, where
}
