// Package outline reads the outline of a piece of sheet that is left, a remnant, from
// a drawing (DXF) or a picture (SVG), and holds outlines to what can be cut from:
// closed loops that cross neither themselves nor each other. It knows no metal and
// no files.
package outline

import (
	"fmt"

	"perch/parts/measure"
	"perch/parts/plane"
)

type point = plane.Point

// Error says that an outline cannot be read as an area.
type Error struct {
	Name string
	Err  error
}

func (e *Error) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *Error) Told() measure.Text { return measure.Say("%s: %s", e.Name, measure.Of(e.Err)) }

func (e *Error) Unwrap() error { return e.Err }

// Check errs with *Error when a loop of a region crosses itself or another, or none
// encloses metal. The name is the one that its message begins with.
func Check(name string, r plane.Region) error {
	if err := checkLoops(name, r); err != nil {
		return err
	}
	if !(r.Area() > 0) {
		return &Error{Name: name, Err: &plane.NoAreaError{Area: r.Area()}}
	}
	return nil
}

func checkLoops(name string, r plane.Region) error {
	for _, l := range r {
		if err := plane.Check(l); err != nil {
			return &Error{Name: name, Err: err}
		}
	}
	boxes := make([]plane.Box, len(r))
	for i := range r {
		boxes[i] = r[i].Bounds()
	}
	places := plane.NewPlaces(boxes)
	for i := range r {
		for _, k := range places.Near(boxes[i], nil) {
			if k >= i {
				break
			}
			if d, at, _ := plane.Distance(plane.Region{r[i]}, plane.Region{r[k]}); d == 0 {
				return &Error{Name: name, Err: fmt.Errorf("its outlines %d and %d meet at (%.3f, %.3f)", k+1, i+1, at.X, at.Y)}
			}
		}
	}
	return nil
}

// mostPoints bounds the points of a remnant's outline with its holes.
const mostPoints = 5000

// Farthest is how far from the origin, in mm, an outline may lie, and the largest
// length anything about a sheet may have: what is outside is a mistaken unit.
const Farthest = 1e6

var errManyPoints = fmt.Errorf("the outline has more than %d points", mostPoints)

// arrange puts the largest loop first and counter-clockwise, the others clockwise.
// It errs when the others are not holes in the first.
func arrange(name string, r plane.Region) (plane.Region, error) {
	big := 0
	area := func(l plane.Loop) float64 { return max(l.Area(), -l.Area()) }
	points := 0
	for i, l := range r {
		if area(l) > area(r[big]) {
			big = i
		}
		for _, v := range l {
			if !(max(v.P.X, -v.P.X, v.P.Y, -v.P.Y) <= Farthest) {
				return nil, &Error{Name: name, Err: measure.Errorf("a point at %.6g lies farther out than %.6g", measure.Place(v.P), measure.Length(Farthest))}
			}
		}
		if points += len(l); points > mostPoints {
			return nil, &Error{Name: name, Err: errManyPoints}
		}
	}
	r[0], r[big] = r[big], r[0]
	for i, l := range r {
		if (l.Area() > 0) != (i == 0) {
			r[i] = l.Reversed()
		}
	}
	if err := checkLoops(name, r); err != nil {
		return nil, err
	}
	for i, l := range r[1:] {
		for k, o := range r {
			if in := o.Locate(l[0].P) == plane.Inside; k != i+1 && in != (k == 0) {
				return nil, &Error{Name: name, Err: fmt.Errorf("the outline at (%.3f, %.3f) is no hole in the largest: what is left of a sheet is one piece", l[0].P.X, l[0].P.Y)}
			}
		}
	}
	return r, Check(name, r[:1])
}
