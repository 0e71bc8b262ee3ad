// Package tipping tells by statics when a piece that stands on a level floor tips over the
// line of its feet. The piece is rigid and the floor is hard: it knows nothing of how metal
// gives way, of impact, or of feet that slide.
package tipping

import (
	"math"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
)

// Gravity is the standard acceleration of free fall in m/s² (ISO 80000-3).
const Gravity = 9.80665

// level is how far above the lowest metal, in mm, metal still stands on the floor: what a
// sheet's cut edge is level within (common practice, no source).
const level = 0.05

// chord is how far, in mm, the surfaces that weight and feet are taken from leave true
// arcs.
const chord = 0.02

// Stand is a piece as it stands on its floor.
type Stand struct {
	Feet   []plane.Point // the hull of where it touches the floor, seen from above, anticlockwise, mm
	Floor  float64       // height of the floor, mm
	Weight float64       // N
	Centre solid.Vec     // of gravity, mm
}

// On stands flat parts, where they stand in the world, on the floor that their lowest metal
// touches.
func On(flats []*panel.Flat) Stand {
	s := Stand{Floor: math.Inf(1)}
	var kg float64
	var sum solid.Vec
	var points []solid.Vec
	for _, f := range flats {
		for _, piece := range f.Solids(chord) {
			for _, facet := range piece.Facets {
				points = append(points, facet.Loop...)
			}
			volume, moment := weigh(piece)
			density := f.Panel.Stock.Density * 1e-9
			kg += float64(volume * density)
			sum = sum.Add(moment.Scale(density))
		}
	}
	for _, p := range points {
		s.Floor = min(s.Floor, p.Z)
	}
	var on []plane.Point
	for _, p := range points {
		if p.Z <= s.Floor+level {
			on = append(on, plane.Point{X: p.X, Y: p.Y})
		}
	}
	s.Feet = plane.Hull(on)
	if kg > 0 {
		s.Weight, s.Centre = kg*Gravity, sum.Scale(1/kg)
	}
	return s
}

// weigh is the volume in mm³ of a closed surface and the first moment of it, in mm⁴: the sum
// over the tetrahedra between each of its triangles and a point nearby.
func weigh(piece panel.Solid) (volume float64, moment solid.Vec) {
	if len(piece.Facets) == 0 {
		return 0, solid.Vec{}
	}
	from := piece.Facets[0].Loop[0]
	for _, facet := range piece.Facets {
		for _, loop := range append([][]solid.Vec{facet.Loop}, facet.Holes...) {
			a := loop[0].Sub(from)
			for i := 1; i+1 < len(loop); i++ {
				b, c := loop[i].Sub(from), loop[i+1].Sub(from)
				v := a.Dot(b.Cross(c)) / 6
				volume += v
				moment = moment.Add(a.Add(b).Add(c).Scale(v / 4))
			}
		}
	}
	return volume, moment.Add(from.Scale(volume))
}

// Load is a force on a piece. It acts at any one place of an area: the one that tips soonest
// counts.
type Load struct {
	Force solid.Vec // N
	// Across is a level force in N beside it, out over whichever line of feet is looked at.
	Across float64
	Frame  solid.Frame
	Area   plane.Region // in Frame's plane; empty: at Frame's origin
}

// Tip is when and how a piece tips.
type Tip struct {
	// Factor is how many times the loads, all together, until the piece tips; infinite where
	// they never do it, 0 where it does not stand by itself.
	Factor float64
	Line   [2]plane.Point // of the feet, that it tips over; the outside lies right of it
	At     []solid.Vec    // where each load acts then
}

// Steady tells whether no share of the loads tips the piece.
func (t Tip) Steady() bool { return math.IsInf(t.Factor, 1) }

// Stands tells whether the piece can stand on its feet: they span more than a line.
func (s Stand) Stands() bool {
	for i, a := range s.Feet {
		in := s.Feet[(i+1)%len(s.Feet)].Sub(a).Unit().Perp()
		var wide float64
		for _, p := range s.Feet {
			wide = max(wide, p.Sub(a).Dot(in))
		}
		if wide <= level {
			return false
		}
	}
	return len(s.Feet) >= 3
}

// Tips is the line of feet over which loads that act together tip the piece soonest. For
// one line: the weight's moment about it, over the loads'. It needs a piece that Stands.
func (s Stand) Tips(loads []Load) Tip {
	best := Tip{Factor: math.Inf(1)}
	for i, a := range s.Feet {
		b := s.Feet[(i+1)%len(s.Feet)]
		t := s.over([2]plane.Point{a, b}, loads)
		if i == 0 || t.Factor < best.Factor {
			best = t
		}
	}
	return best
}

// over is Tips for one line of the feet's hull.
func (s Stand) over(line [2]plane.Point, loads []Load) Tip {
	in := line[1].Sub(line[0]).Unit().Perp()
	depth := func(p solid.Vec) float64 { return plane.Point{X: p.X, Y: p.Y}.Sub(line[0]).Dot(in) }
	t := Tip{Factor: math.Inf(1), Line: line}
	var over float64
	for _, l := range loads {
		at, m := l.worst(func(p solid.Vec) float64 {
			out := l.Across - float64(l.Force.X*in.X) - float64(l.Force.Y*in.Y)
			return float64(l.Force.Z*depth(p)) + float64(out*(p.Z-s.Floor))
		})
		over += m
		t.At = append(t.At, at)
	}
	back := s.Weight * depth(s.Centre)
	switch {
	case back < 0 || back == 0 && over > 0:
		t.Factor = 0
	case over > 0:
		t.Factor = back / over
	}
	return t
}

// worst is where in its area a load's moment is largest. The moment runs evenly over a
// plane, so that it is largest where the area reaches farthest along its slope.
func (l Load) worst(moment func(solid.Vec) float64) (solid.Vec, float64) {
	if len(l.Area) == 0 {
		return l.Frame.O, moment(l.Frame.O)
	}
	zero := moment(l.Frame.O)
	slope := plane.Point{X: moment(l.Frame.O.Add(l.Frame.X)) - zero, Y: moment(l.Frame.O.Add(l.Frame.Y)) - zero}
	at := l.Frame.At(farthest(l.Area, slope))
	return at, moment(at)
}

// farthest is a point of a region's outline that lies farthest along a direction.
func farthest(r plane.Region, dir plane.Point) plane.Point {
	best, reach := plane.Point{}, math.Inf(-1)
	take := func(p plane.Point) {
		if d := p.Dot(dir); d > reach {
			best, reach = p, d
		}
	}
	for _, loop := range r {
		for _, e := range loop.Edges() {
			take(e.From)
			if !e.Straight() && dir.Len() > 0 {
				top := e.Center().Add(dir.Unit().Scale(e.Radius()))
				take(e.Nearest(top))
			}
		}
	}
	return best
}
