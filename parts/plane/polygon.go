package plane

import (
	"fmt"
	"math"

	"perch/parts/measure"
)

// Corner is one point of an outline as drawn.
type Corner struct {
	P       Point
	Round   float64 // radius of the fillet at P, mm; 0 none
	Chamfer float64 // cut back along both edges, mm; 0 none
	Arc     float64 // signed radius of the edge leaving P: plus bows out of the shape, minus is hollow; 0 none
	Through *Point  // a point that the edge leaving P passes through as an arc
	Edge    string  // name of the edge leaving P, "" none
}

// NamedEdge tells which edges of a loop carry a name. Edges is empty when the
// corners' rounds or chamfers used the edge up.
type NamedEdge struct {
	Name  string
	Edges []int // indices of the loop's edges, in loop order
}

// FewPointsError says that an outline has fewer than three points.
type FewPointsError struct{ Count int }

func (e *FewPointsError) Error() string {
	return fmt.Sprintf("an outline needs three points or more, has %d", e.Count)
}

// RepeatedPointError says that a point lies where its successor lies.
type RepeatedPointError struct {
	Corner int // index of the point that repeats the one before it
	At     Point
}

func (e *RepeatedPointError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *RepeatedPointError) Told() measure.Text {
	return measure.Say("point %d repeats the point before it, at %.3f", e.Corner+1, measure.Place(e.At))
}

// NoAreaError says that the points lie on one line.
type NoAreaError struct{ Area float64 }

func (e *NoAreaError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *NoAreaError) Told() measure.Text {
	return measure.Say("the outline encloses no area (%.3g)", measure.Area(e.Area))
}

// ArcError says that an edge cannot be the arc that was asked for.
type ArcError struct {
	Corner int // index of the corner that the edge leaves
	Radius float64
	Least  float64 // half the chord
	Reason string
}

func (e *ArcError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *ArcError) Told() measure.Text {
	if e.Reason != "" {
		return measure.Say("the edge from point %d: %s", e.Corner+1, e.Reason)
	}
	return measure.Say("the edge from point %d: an arc of radius %.3f does not reach; half the chord is %.3f", e.Corner+1, measure.Length(e.Radius), measure.Length(e.Least))
}

// CornerError says that a round or chamfer does not fit.
type CornerError struct {
	Corner int    // index of the corner
	What   string // "round" or "chamfer"
	Size   float64
	Needs  float64 // length of the edge used by the corner; 0 when Reason says more
	Has    float64 // length that the edge has left for it
	Reason string
}

func (e *CornerError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *CornerError) Told() measure.Text {
	if e.Reason != "" {
		return measure.Say("%s %.3f at point %d: %s", e.What, measure.Length(e.Size), e.Corner+1, e.Reason)
	}
	return measure.Say("%s %.3f at point %d needs %.3f of the edge, has %.3f", e.What, measure.Length(e.Size), e.Corner+1, measure.Length(e.Needs), measure.Length(e.Has))
}

// Polygon builds an outline from its corners, in either order; the loop comes out
// counter-clockwise. Rounds are arcs tangent to both edges, straight or not;
// chamfers cut the same length off both, measured along them. Arc takes the arc
// of up to half a turn; Through may take more, which makes two edges.
//
// Errors: *FewPointsError, *RepeatedPointError, *BadNumberError, *NoAreaError,
// *ArcError, *CornerError, and *CrossingError for the finished outline. Corners
// are counted as given, from 0; CrossingError counts the loop's edges.
func Polygon(corners []Corner) (Loop, []NamedEdge, error) {
	if err := checkCorners(corners); err != nil {
		return nil, nil, err
	}
	n := len(corners)
	base := make(Loop, n)
	for i, c := range corners {
		base[i].P = c.P
		if c.Through != nil {
			b, err := throughBulge(i, c, corners[(i+1)%n].P)
			if err != nil {
				return nil, nil, err
			}
			base[i].Bulge = b
		}
	}
	area := base.Area()
	if math.Abs(area) <= float64(Tol*base.Length()) {
		return nil, nil, &NoAreaError{area}
	}
	for i, c := range corners {
		if c.Arc == 0 {
			continue
		}
		b, err := radiusBulge(i, c.Arc, base.Edge(i))
		if err != nil {
			return nil, nil, err
		}
		if area < 0 {
			b = -b
		}
		base[i].Bulge = b
	}
	d := dresser{area: math.Copysign(1, area), spans: make([]span, 0, len(corners))}
	for i, c := range corners {
		d.add(i, base.Edge(i), c)
	}
	l, edges, err := d.dress()
	if err != nil {
		return nil, nil, err
	}
	if err := Check(l); err != nil {
		return nil, nil, err
	}
	var names []NamedEdge
	for i, c := range corners {
		if c.Edge == "" {
			continue
		}
		named := NamedEdge{Name: c.Edge}
		for k, from := range edges {
			if from == i {
				named.Edges = append(named.Edges, k)
			}
		}
		names = append(names, named)
	}
	return l, names, nil
}

func checkCorners(corners []Corner) error {
	n := len(corners)
	if n < 3 {
		return &FewPointsError{n}
	}
	for i, c := range corners {
		for _, x := range [4]float64{c.Round, c.Chamfer, c.Arc, c.P.X + c.P.Y} {
			if x-x != 0 {
				return &BadNumberError{i, Vertex{P: c.P, Bulge: c.Arc}}
			}
		}
		if prev := (i + n - 1) % n; c.P.Near(corners[prev].P, Tol) {
			return &RepeatedPointError{i, c.P}
		}
		what, size := "round", c.Round
		if c.Round == 0 {
			what, size = "chamfer", c.Chamfer
		}
		switch {
		case c.Round != 0 && c.Chamfer != 0:
			return &CornerError{Corner: i, What: "round", Size: c.Round, Reason: "the corner has a chamfer too"}
		case size < 0:
			return &CornerError{Corner: i, What: what, Size: size, Reason: "must not be negative"}
		case c.Arc != 0 && c.Through != nil:
			return &ArcError{Corner: i, Radius: c.Arc, Reason: "has both a radius and a point to pass through"}
		}
	}
	return nil
}

// radiusBulge is the bulge of an arc with a signed radius over the edge's chord.
func radiusBulge(i int, radius float64, e Edge) (float64, error) {
	h, r := float64(e.Chord()/2), math.Abs(radius)
	if r < h-Tol {
		return 0, &ArcError{Corner: i, Radius: r, Least: h}
	}
	return math.Copysign(h/(max(r, h)+math.Sqrt(max(0, (r-h)*(r+h)))), radius), nil
}

// throughBulge is the bulge of the arc from c.P through c.Through to q: the
// inscribed angle at the middle point is half a turn less half the sweep.
func throughBulge(i int, c Corner, q Point) (float64, error) {
	t := *c.Through
	u, v := c.P.Sub(t), q.Sub(t)
	lu, lv := u.Len(), v.Len()
	if !t.Finite() || lu <= Tol || lv <= Tol {
		return 0, &ArcError{Corner: i, Reason: fmt.Sprintf("passes through (%.3f, %.3f), one of its own ends", t.X, t.Y)}
	}
	x := u.Cross(v)
	if math.Abs(x) <= Tol*max(lu, lv) {
		if u.Dot(v) > 0 {
			return 0, &ArcError{Corner: i, Reason: fmt.Sprintf("passes through (%.3f, %.3f), in line with its ends and not between them", t.X, t.Y)}
		}
		return 0, nil
	}
	// cot(angle/2) = (1 + cos)/sin; a middle point right of P→Q makes x negative and
	// the arc counter-clockwise.
	return (float64(lu*lv) + u.Dot(v)) / -x, nil
}
