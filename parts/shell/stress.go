package shell

import (
	"math"

	"perch/parts/solid"
)

// Stress is that in a triangle, MPa, at its three corners: along x and y of the triangle
// (x from its first corner to its second, as built) and in shear.
type Stress struct {
	Membrane [3][3]float64 // mean through the sheet
	Bending  [3][3]float64 // at the upper surface, beside the mean; the lower has it negative
}

// Stress is that of a triangle.
func (a *Answer) Stress(tri int) (s Stress) {
	e := a.body.elements[tri]
	var m moved
	e.follow(a.State, &m)
	var in, out [9]float64
	for i := range 9 {
		in[i], out[i] = m.d[inPlane[i]], m.d[outward[i]]
	}
	mean := e.flat.stretchOf()
	t := e.flat.turning()
	nat := e.flat.natural()
	q := e.flat.corners()
	var turns, base solid.Vec
	turns = threeRows(&t, &in)
	base = threeRows(&mean, &in)
	higher := 1.5 * math.Sqrt(a.body.higher(tri))
	for c := range 3 {
		strain := q[c].apply(turns)
		strain = base.Add(nat.apply(strain).Scale(higher))
		s.Membrane[c] = e.stress(strain, e.factor[0])
		b := e.flat.curvature(cornerXi[c], cornerEta[c])
		s.Bending[c] = e.stress(threeRows(&b, &out).Scale(e.thickness/2), 1)
	}
	return s
}

// Places of the corners in a triangle.
var (
	cornerXi  = [3]float64{0, 1, 0}
	cornerEta = [3]float64{0, 0, 1}
)

// higher is the part of the higher strains in a triangle's stiffness.
func (b *body) higher(tri int) float64 { return higherPart(b.Triangles[tri].Material.Nu) }

func threeRows(b *[3][9]float64, d *[9]float64) solid.Vec {
	var s [3]float64
	for r := range 3 {
		for i, v := range d {
			s[r] += float64(b[r][i] * v)
		}
	}
	return vec(s[0], s[1], s[2])
}

func (e *element) stress(strain solid.Vec, factor float64) [3]float64 {
	v := e.e.apply(strain).Scale(factor)
	return [3]float64{v.X, v.Y, v.Z}
}

// Mises is the greater of the equivalent stresses (R. von Mises) at the two surfaces in the
// middle of the triangle, MPa.
func (s *Stress) Mises() float64 {
	var m, b [3]float64
	for c := range 3 {
		for i := range 3 {
			m[i] += s.Membrane[c][i] / 3
			b[i] += s.Bending[c][i] / 3
		}
	}
	top := mises(m[0]+b[0], m[1]+b[1], m[2]+b[2])
	return math.Max(top, mises(m[0]-b[0], m[1]-b[1], m[2]-b[2]))
}

func mises(x, y, xy float64) float64 {
	return math.Sqrt(float64(x*x) - float64(x*y) + float64(y*y) + float64(3*xy*xy))
}
