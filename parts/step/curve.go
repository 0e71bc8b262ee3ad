package step

import (
	"fmt"

	"perch/parts/plane"
	"perch/parts/solid"
)

const (
	// splineTol is how far, in mm, a spline may lie off the curve that it stands for: a
	// thousandth of what is asked of the edges of bends cut aslant.
	splineTol = 1e-6
	// maxSpans bounds the pieces of one spline.
	maxSpans = 256
	degree   = 5
)

// path is how an edge of the flat crosses a bend: where along it and how far turned it is at
// t from 0 to 1, with first and second derivatives.
type path struct {
	arch *arch
	edge plane.Edge
}

// motion is a value with its first and second derivatives.
type motion [3]float64

// at is where along the axis, and turned by how much, the path is at t.
func (p *path) at(t float64) (along, turned motion) {
	d := p.edge.To.Sub(p.edge.From)
	at, first, second := p.edge.From.Lerp(p.edge.To, t), d, plane.Point{}
	if p.edge.Bulge != 0 {
		at = p.edge.PointAt(t)
		sweep := p.edge.Sweep()
		arm := at.Sub(p.edge.Center())
		first, second = arm.Perp().Scale(sweep), arm.Scale(-float64(sweep*sweep))
	}
	a := p.arch
	s, across := a.local(at)
	rate := a.angle / a.allowance
	return motion{s, first.Dot(a.e), second.Dot(a.e)},
		motion{a.turned(across), rate * first.Dot(a.out), rate * second.Dot(a.out)}
}

// onSurface is the path on a surface of the bend, with its derivatives.
func (p *path) onSurface(surface int, t float64) [3]solid.Vec {
	along, turned := p.at(t)
	a, r := p.arch, p.arch.radius[surface]
	n, g := a.radial(turned[0]), a.tangent(turned[0])
	return [3]solid.Vec{
		a.onAxis(along[0]).Add(n.Scale(r)),
		a.axis.Scale(along[1]).Add(g.Scale(r * turned[1])),
		a.axis.Scale(along[2]).Add(g.Scale(r * turned[2])).Add(n.Scale(-float64(r * float64(turned[1]*turned[1])))),
	}
}

// spline is a curve of degree 5 whose first and second derivatives run on, its spans equal.
type spline struct {
	points []solid.Vec
	spans  int
}

// splines follow a path on both surfaces, in the same number of spans.
func (p *path) splines() ([2]spline, error) {
	for n := 1; n <= maxSpans; n *= 2 {
		both := [2]spline{p.spline(upper, n), p.spline(lower, n)}
		if p.off(&both) <= splineTol {
			return both, nil
		}
	}
	return [2]spline{}, fmt.Errorf("an edge of it is no curve of %d spans", maxSpans)
}

// spline has the path's places and derivatives at its knots, 1/n apart. With a knot's place P
// and derivatives P', P" its poles are the blossom's values at it and two knots, before or behind: of
// a polynomial of degree five P + (x + y)/5·P' + x·y/20·P", x and y off the knot (derived).
func (p *path) spline(surface, n int) spline {
	h := 1 / float64(n)
	out := spline{spans: n}
	for k := 0; k <= n; k++ {
		d := p.onSurface(surface, float64(k)/float64(n))
		pole := func(x, y float64) {
			out.points = append(out.points, d[0].Add(d[1].Scale((x+y)*h/5)).Add(d[2].Scale(float64(x*y)*h*h/20)))
		}
		switch k {
		case 0:
			pole(0, 0)
			pole(0, 1)
			pole(1, 1)
		case n:
			pole(-1, -1)
			pole(0, -1)
			pole(0, 0)
		default:
			pole(-1, -1)
			pole(-1, 1)
			pole(1, 1)
		}
	}
	return out
}

// knots and multiplicities of a spline.
func (s spline) knots() (at []float64, times []int) {
	for k := 0; k <= s.spans; k++ {
		at = append(at, float64(k)/float64(s.spans))
		times = append(times, degree-2)
	}
	times[0], times[s.spans] = degree+1, degree+1
	return at, times
}

// at is the spline's place at t, by de Boor's algorithm.
func (s spline) at(t float64) solid.Vec {
	at, times := s.knots()
	var knots []float64
	for i, k := range at {
		for range times[i] {
			knots = append(knots, k)
		}
	}
	span := degree
	for span < len(s.points)-1 && knots[span+1] <= t {
		span++
	}
	var d [degree + 1]solid.Vec
	copy(d[:], s.points[span-degree:span+1])
	for r := 1; r <= degree; r++ {
		for j := degree; j >= r; j-- {
			i := j + span - degree
			k := (t - knots[i]) / (knots[i+degree+1-r] - knots[i])
			d[j] = d[j-1].Scale(1 - k).Add(d[j].Scale(k))
		}
	}
	return d[degree]
}

// off is how far, in mm, the splines lie off their path, looked at in eight places a span.
func (p *path) off(both *[2]spline) float64 {
	worst := 0.0
	for surface := range both {
		n := both[surface].spans * 8
		for k := 1; k < n; k++ {
			t := float64(k) / float64(n)
			worst = max(worst, both[surface].at(t).Sub(p.onSurface(surface, t)[0]).Len())
		}
	}
	return worst
}
