package nest

import (
	"math"

	"perch/parts/outline"
	"perch/parts/plane"
)

// Blank is a flat shape to be cut Count times.
type Blank struct {
	Name      string
	Region    plane.Region // outline and holes, arcs as arcs
	Count     int
	Material  string
	Thickness float64
	// Rotations are the angles, in degrees, at which it may lie; none means the
	// four quarter turns. With Grain only those that keep its x along the sheet's
	// length, one way or the other.
	Rotations []float64
	Grain     bool
	Mirror    bool // it may be turned over
}

// Steps lists the angles of a rotation step in degrees, such as 0, 90, 180, 270 for
// 90. A step that is not above 0, or above 360, allows 0 alone.
func Steps(step float64) []float64 {
	if !(step > 0 && step <= 360) {
		return []float64{0}
	}
	var out []float64
	for k := 0; float64(float64(k)*step) < 360-1e-9 && k < 360; k++ {
		out = append(out, float64(float64(k)*step))
	}
	return out
}

// Sheet is a size of sheet to cut from, its length along x, or a remnant.
type Sheet struct {
	Name      string
	Material  string
	Thickness float64
	Width     float64 // along y
	Length    float64 // along x
	Count     int     // in stock; 0: as many as it takes
	Price     float64 // each; where no sheet has one, area stands for it
	// Outline of a remnant, in its own coordinates; empty for a whole sheet, which
	// lies from the origin to (Length, Width).
	Outline plane.Region
}

// region is the sheet's metal.
func (s *Sheet) region() plane.Region {
	if len(s.Outline) > 0 {
		return s.Outline
	}
	return plane.Region{plane.RectAt(plane.Point{}, plane.Point{X: s.Length, Y: s.Width})}
}

// Job is what is to be cut from what.
type Job struct {
	Blanks  []Blank
	Sheets  []Sheet
	Margin  float64 // kept free along a sheet's edge
	Spacing float64 // kept between blanks
	Kerf    float64 // of the cut; Spacing must not be less
}

// Result is a job nested.
type Result struct {
	Sheets []Used
	Work   int64
	Left   []int // by blank of the job, how many have no place; nil where all have one
}

// Used is one sheet of a result.
type Used struct {
	Sheet   int // index of Job.Sheets
	Placed  []Placed
	Remnant plane.Box // the largest free rectangle, spacing and margin taken off; empty when none
	Density float64   // of the blanks' area on the sheet's
}

// Transform takes a blank from its own coordinates to the sheet's.
func (p Placed) Transform() plane.Affine {
	c, s := plane.Turned(p.Rotation)
	m := plane.Affine{A: c, B: -s, C: s, D: c, E: p.At.X, F: p.At.Y}
	if p.Mirrored {
		m.A, m.C = -m.A, -m.C
	}
	return m
}

// check errs on a job that cannot be meant.
func (j *Job) check() error {
	if len(j.Blanks) == 0 {
		return &CountError{Blank: "the job's blanks", Least: 1}
	}
	for _, n := range []NumberError{{"the spacing", j.Spacing, notBelow}, {"the margin", j.Margin, notBelow}, {"the kerf", j.Kerf, notBelow}} {
		if !(n.Value >= 0 && n.Value <= outline.Farthest) {
			return &n
		}
	}
	if j.Spacing < j.Kerf {
		return &SpacingError{Spacing: j.Spacing, Kerf: j.Kerf}
	}
	for i := range j.Blanks {
		if err := j.Blanks[i].check(); err != nil {
			return err
		}
	}
	for i := range j.Sheets {
		if err := j.Sheets[i].check(j.Margin); err != nil {
			return err
		}
	}
	return nil
}

const (
	notBelow = "0 or more, up to a kilometre"
	above    = "above 0, up to a kilometre"
)

func (b *Blank) check() error {
	if b.Count <= 0 {
		return &CountError{Blank: b.Name, Count: b.Count, Least: 1}
	}
	if !(b.Thickness >= 0 && b.Thickness <= outline.Farthest) {
		return &NumberError{"the thickness of " + b.Name, b.Thickness, notBelow}
	}
	for _, d := range b.Rotations {
		if !(math.Abs(d) <= outline.Farthest) {
			return &NumberError{"a rotation of " + b.Name, d, "an angle in degrees"}
		}
	}
	return outline.Check(b.Name, b.Region)
}

func (s *Sheet) check(margin float64) error {
	if s.Count < 0 {
		return &CountError{Blank: s.Name, Count: s.Count}
	}
	if !(s.Price >= 0) || math.IsInf(s.Price, 0) {
		return &NumberError{"the price of " + s.Name, s.Price, "0 or more"}
	}
	if !(s.Thickness >= 0 && s.Thickness <= outline.Farthest) {
		return &NumberError{"the thickness of " + s.Name, s.Thickness, notBelow}
	}
	size := point{X: s.Length, Y: s.Width}
	if len(s.Outline) > 0 {
		if err := outline.Check(s.Name, s.Outline); err != nil {
			return err
		}
		size = s.Outline.Bounds().Size()
	} else {
		for _, n := range []NumberError{{"the length of " + s.Name, s.Length, above}, {"the width of " + s.Name, s.Width, above}} {
			if !(n.Value > 0 && n.Value <= outline.Farthest) {
				return &n
			}
		}
	}
	if min(size.X, size.Y) <= 2*margin {
		return &NoMetalError{Sheet: s.Name, Width: size.Y, Length: size.X, Margin: margin}
	}
	return nil
}

const sameThickness = 0.02 // mm within which two thicknesses are one

func sameStock(m1 string, t1 float64, m2 string, t2 float64) bool {
	return m1 == m2 && math.Abs(t1-t2) <= sameThickness
}
