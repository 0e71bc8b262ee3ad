package shell

import (
	"math"

	"perch/parts/solid"
	"perch/solver/elementary"
)

// mat3 is a matrix of three by three, by rows.
type mat3 [9]float64

var identity = mat3{1, 0, 0, 0, 1, 0, 0, 0, 1}

func vec(x, y, z float64) solid.Vec { return solid.Vec{X: x, Y: y, Z: z} }

// columns is the matrix with these columns.
func columns(a, b, c solid.Vec) mat3 {
	return mat3{a.X, b.X, c.X, a.Y, b.Y, c.Y, a.Z, b.Z, c.Z}
}

func (m *mat3) apply(v solid.Vec) solid.Vec {
	return vec(
		float64(m[0]*v.X)+float64(m[1]*v.Y)+float64(m[2]*v.Z),
		float64(m[3]*v.X)+float64(m[4]*v.Y)+float64(m[5]*v.Z),
		float64(m[6]*v.X)+float64(m[7]*v.Y)+float64(m[8]*v.Z))
}

// back applies the transpose.
func (m *mat3) back(v solid.Vec) solid.Vec {
	return vec(
		float64(m[0]*v.X)+float64(m[3]*v.Y)+float64(m[6]*v.Z),
		float64(m[1]*v.X)+float64(m[4]*v.Y)+float64(m[7]*v.Z),
		float64(m[2]*v.X)+float64(m[5]*v.Y)+float64(m[8]*v.Z))
}

// times is m·b, or mᵀ·b where turned.
func (m *mat3) times(b *mat3) (p mat3) {
	for i := range 3 {
		for j := range 3 {
			p[3*i+j] = float64(m[3*i]*b[j]) + float64(m[3*i+1]*b[3+j]) + float64(m[3*i+2]*b[6+j])
		}
	}
	return p
}

// transposed is mᵀ.
func (m *mat3) transposed() mat3 {
	return mat3{m[0], m[3], m[6], m[1], m[4], m[7], m[2], m[5], m[8]}
}

// spin is the matrix of v × .
func spin(v solid.Vec) mat3 {
	return mat3{0, -v.Z, v.Y, v.Z, 0, -v.X, -v.Y, v.X, 0}
}

// turn is a rotation as a unit quaternion: its scalar, then its vector.
type turn [4]float64

var unturned = turn{1, 0, 0, 0}

// turnBy is the rotation about a vector by its length.
func turnBy(v solid.Vec) turn {
	half := float64(v.Len() / 2)
	s, c := elementary.Sincos(half)
	k := 0.5
	if half > 1e-8 {
		k = s / (2 * half)
	}
	return turn{c, k * v.X, k * v.Y, k * v.Z}
}

// after is the rotation that first does b, then a.
func (a turn) after(b turn) turn {
	t := turn{
		float64(a[0]*b[0]) - float64(a[1]*b[1]) - float64(a[2]*b[2]) - float64(a[3]*b[3]),
		float64(a[0]*b[1]) + float64(a[1]*b[0]) + float64(a[2]*b[3]) - float64(a[3]*b[2]),
		float64(a[0]*b[2]) - float64(a[1]*b[3]) + float64(a[2]*b[0]) + float64(a[3]*b[1]),
		float64(a[0]*b[3]) + float64(a[1]*b[2]) - float64(a[2]*b[1]) + float64(a[3]*b[0]),
	}
	n := math.Sqrt(float64(t[0]*t[0]) + float64(t[1]*t[1]) + float64(t[2]*t[2]) + float64(t[3]*t[3]))
	for i := range t {
		t[i] /= n
	}
	return t
}

// matrix is the rotation's matrix.
func (a turn) matrix() mat3 {
	w, x, y, z := a[0], a[1], a[2], a[3]
	return mat3{
		1 - 2*(float64(y*y)+float64(z*z)), 2 * (float64(x*y) - float64(w*z)), 2 * (float64(x*z) + float64(w*y)),
		2 * (float64(x*y) + float64(w*z)), 1 - 2*(float64(x*x)+float64(z*z)), 2 * (float64(y*z) - float64(w*x)),
		2 * (float64(x*z) - float64(w*y)), 2 * (float64(y*z) + float64(w*x)), 1 - 2*(float64(x*x)+float64(y*y)),
	}
}

// vectorOf is the rotation vector of a matrix, for turns well below half a turn.
func vectorOf(m *mat3) solid.Vec {
	w := vec(m[7]-m[5], m[2]-m[6], m[3]-m[1]).Scale(0.5) // axis times sine
	s := w.Len()
	c := (m[0] + m[4] + m[8] - 1) / 2
	if s < 1e-10 {
		return w
	}
	return w.Scale(elementary.Atan2(s, c) / s)
}

// log3 is H(θ), by which the rotation vector changes with a small turn before it, and the
// two numbers of its change (C. A. Felippa, B. Haugen, Computer Methods in Applied
// Mechanics and Engineering 194, 2005, section 5).
func log3(v solid.Vec) (h mat3, eta, mu float64) {
	t2 := v.Dot(v)
	if t2 < 0.0025 {
		eta = 1.0/12 + t2/720 + t2*t2/30240
		mu = 1.0/360 + t2/7560 + t2*t2/201600
	} else {
		t := math.Sqrt(t2)
		s, c := elementary.Sincos(t / 2)
		eta = (1 - t/2*c/s) / t2
		st, ct := elementary.Sincos(t)
		mu = (t2 + float64(4*ct) + float64(t*st) - 4) / float64(4*t2*t2*s*s)
	}
	w := spin(v)
	w2 := w.times(&w)
	for i := range h {
		h[i] = identity[i] - float64(0.5*w[i]) + float64(eta*w2[i])
	}
	return h, eta, mu
}
