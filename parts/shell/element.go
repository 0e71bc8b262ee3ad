package shell

import (
	"math"

	"perch/parts/solid"
)

// element is a triangle with what stays the same while it moves.
type element struct {
	nodes [3]int32
	flat  flat
	frame mat3 // as built: columns x, y along the sheet, z out of it
	// stiffness is over the 18 freedoms along frame, by node: three movements, three turns.
	stiffness [324]float64
	thickness float64
	e         mat3
	factor    [2]float64 // of stretching and bending
}

// Freedoms of the membrane and of the plate among the 18 of a triangle.
var (
	inPlane = [9]int{0, 1, 5, 6, 7, 11, 12, 13, 17}
	outward = [9]int{2, 3, 4, 8, 9, 10, 14, 15, 16}
)

func newElement(m *Model, t *Triangle) *element {
	e := &element{nodes: t.Nodes, thickness: t.Thickness, e: t.Material.planeStress(), factor: [2]float64{t.Stretching, t.Bending}}
	for i, f := range e.factor {
		if f == 0 {
			e.factor[i] = 1
		}
	}
	var x [3]solid.Vec
	for i, n := range t.Nodes {
		x[i] = m.Nodes[n]
	}
	e.frame = frameOf(x)
	c := x[0].Add(x[1]).Add(x[2]).Scale(1.0 / 3)
	for i := range x {
		l := e.frame.back(x[i].Sub(c))
		e.flat.x[i], e.flat.y[i] = l.X, l.Y
	}
	e.flat.area = (float64(e.flat.dx(2, 1)*e.flat.dy(3, 1)) - float64(e.flat.dx(3, 1)*e.flat.dy(2, 1))) / 2
	in := e.flat.membrane(e.e, t.Material.Nu, t.Thickness)
	out := e.flat.plate(e.e, t.Thickness)
	for i := range 9 {
		for j := range 9 {
			e.stiffness[18*inPlane[i]+inPlane[j]] = e.factor[0] * in[9*i+j]
			e.stiffness[18*outward[i]+outward[j]] = e.factor[1] * out[9*i+j]
		}
	}
	return e
}

// frameOf is a triangle's frame: x along its first side.
func frameOf(x [3]solid.Vec) mat3 {
	ex := x[1].Sub(x[0]).Unit()
	ez := ex.Cross(x[2].Sub(x[0])).Unit()
	return columns(ex, ez.Cross(ex), ez)
}

// moved is a triangle in a deformed state: the frame that goes with it, and what is left of
// its corners' movements beside that.
type moved struct {
	frame mat3
	x     [3]solid.Vec // corners about the middle, along frame
	d     [18]float64  // movements and turns along frame
	h     [3]mat3
	eta   [3]float64
	mu    [3]float64
	spins [3][9]float64 // by axis: how the corners' movements along frame turn it
}

// follow finds the frame of a moved triangle: z square to it, and turned in its plane so
// that the corners' moments about their old places vanish. So it depends neither on which
// corner is first nor, to first order, on stretching.
func (e *element) follow(s *State, m *moved) {
	var x [3]solid.Vec
	for i, n := range e.nodes {
		x[i] = s.at[n]
	}
	frame := frameOf(x)
	c := x[0].Add(x[1]).Add(x[2]).Scale(1.0 / 3)
	var along, across, arm float64
	for i := range x {
		l := frame.back(x[i].Sub(c))
		m.x[i] = l
		along += float64(e.flat.x[i]*l.X) + float64(e.flat.y[i]*l.Y)
		across += float64(e.flat.x[i]*l.Y) - float64(e.flat.y[i]*l.X)
	}
	size := math.Sqrt(float64(along*along) + float64(across*across))
	cos, sin := along/size, across/size
	turned := mat3{cos, -sin, 0, sin, cos, 0, 0, 0, 1}
	m.frame = frame.times(&turned)
	for i := range x {
		m.x[i] = turned.back(m.x[i])
		arm += float64(e.flat.x[i]*m.x[i].X) + float64(e.flat.y[i]*m.x[i].Y)
	}
	area2 := m.x[1].Sub(m.x[0]).Cross(m.x[2].Sub(m.x[0])).Z
	for i, n := range e.nodes {
		j, k := (i+1)%3, (i+2)%3
		m.spins[0][3*i+2] = (m.x[k].X - m.x[j].X) / area2
		m.spins[1][3*i+2] = (m.x[k].Y - m.x[j].Y) / area2
		m.spins[2][3*i] = -e.flat.y[i] / arm
		m.spins[2][3*i+1] = e.flat.x[i] / arm
		turned := s.turned[n].matrix()
		turned = turned.times(&e.frame)
		back := m.frame.transposed()
		turned = back.times(&turned)
		v := vectorOf(&turned)
		m.h[i], m.eta[i], m.mu[i] = log3(v)
		d := m.d[6*i : 6*i+6]
		d[0], d[1], d[2] = m.x[i].X-e.flat.x[i], m.x[i].Y-e.flat.y[i], m.x[i].Z
		d[3], d[4], d[5] = v.X, v.Y, v.Z
	}
}

// forces are those of the corners along frame: p as the local stiffness has them, f in
// balance about the deformed triangle.
func (e *element) forces(m *moved) (p, f [18]float64) {
	for i := range 18 {
		s := 0.0
		for j, d := range m.d {
			s += float64(e.stiffness[18*i+j] * d)
		}
		p[i] = s
	}
	f = p
	var about solid.Vec
	for i := range 3 {
		q := vec(p[6*i], p[6*i+1], p[6*i+2])
		t := m.h[i].back(vec(p[6*i+3], p[6*i+4], p[6*i+5]))
		f[6*i+3], f[6*i+4], f[6*i+5] = t.X, t.Y, t.Z
		about = about.Add(m.x[i].Cross(q)).Add(t)
	}
	for i := range 3 {
		for c := range 3 {
			f[6*i+c] -= float64(m.spins[0][3*i+c]*about.X) + float64(m.spins[1][3*i+c]*about.Y) + float64(m.spins[2][3*i+c]*about.Z)
		}
	}
	return p, f
}

// tangent is how the forces f change with the corners' freedoms, along frame, symmetric.
// elastic leaves out what comes of forces that are there already.
func (e *element) tangent(m *moved, p, f *[18]float64, stressed, elastic bool) (k [324]float64) {
	if elastic {
		e.stiff(m, p, stressed, &k)
		project(m, &k)
	}
	if stressed {
		stress(m, f, &k)
	}
	for i := range 18 {
		for j := range i {
			v := (k[18*i+j] + k[18*j+i]) / 2
			k[18*i+j], k[18*j+i] = v, v
		}
	}
	return k
}

// stiff is Hᵀ·K·H, with the change of H.
func (e *element) stiff(m *moved, p *[18]float64, stressed bool, k *[324]float64) {
	*k = e.stiffness
	for i := range 3 {
		at := 6*i + 3
		h := &m.h[i]
		for r := range 18 {
			v := vec(k[18*r+at], k[18*r+at+1], k[18*r+at+2])
			v = h.back(v)
			k[18*r+at], k[18*r+at+1], k[18*r+at+2] = v.X, v.Y, v.Z
		}
		for c := range 18 {
			v := h.back(vec(k[18*at+c], k[18*(at+1)+c], k[18*(at+2)+c]))
			k[18*at+c], k[18*(at+1)+c], k[18*(at+2)+c] = v.X, v.Y, v.Z
		}
	}
	if !stressed {
		return
	}
	for i := range 3 {
		at := 6*i + 3
		t, n := vec(m.d[at], m.d[at+1], m.d[at+2]), vec(p[at], p[at+1], p[at+2])
		l := changeOfH(t, n, m.eta[i], m.mu[i])
		l = l.times(&m.h[i])
		for r := range 3 {
			for c := range 3 {
				k[18*(at+r)+at+c] += l[3*r+c]
			}
		}
	}
}

// changeOfH is ∂(Hᵀ·n)/∂θ (Felippa and Haugen, 2005, equation 97).
func changeOfH(t, n solid.Vec, eta, mu float64) (l mat3) {
	w := spin(t)
	w2 := w.times(&w)
	u := w2.apply(n)
	sn := spin(n)
	tv, nv, uv := [3]float64{t.X, t.Y, t.Z}, [3]float64{n.X, n.Y, n.Z}, [3]float64{u.X, u.Y, u.Z}
	dot := t.Dot(n)
	for r := range 3 {
		for c := range 3 {
			v := float64(dot*identity[3*r+c]) + float64(tv[r]*nv[c]) - 2*float64(nv[r]*tv[c])
			l[3*r+c] = float64(-0.5*sn[3*r+c]) + float64(eta*v) + float64(mu*uv[r]*tv[c])
		}
	}
	return l
}

// project is Pᵀ·K·P, where P = 1 − Ψ·G takes the turn of the frame out of the corners'
// freedoms: G are the spins, Ψ what a turn of the whole does to the corners.
func project(m *moved, k *[324]float64) {
	for range 2 { // K·P, then of its transpose
		for r := range 18 {
			var s solid.Vec // row of K·Ψ
			for i := range 3 {
				at := 18*r + 6*i
				q := vec(k[at], k[at+1], k[at+2])
				s = s.Add(m.x[i].Cross(q)).Add(vec(k[at+3], k[at+4], k[at+5]))
			}
			for i := range 3 {
				for c := range 3 {
					k[18*r+6*i+c] -= float64(s.X*m.spins[0][3*i+c]) + float64(s.Y*m.spins[1][3*i+c]) + float64(s.Z*m.spins[2][3*i+c])
				}
			}
		}
		for r := range 18 {
			for c := range r {
				k[18*r+c], k[18*c+r] = k[18*c+r], k[18*r+c]
			}
		}
	}
}

// stress adds what the forces that are there change by turning with the frame, and by the
// corners moving under them.
func stress(m *moved, f *[18]float64, k *[324]float64) {
	// Turning: −F·G with F the spins of all forces and moments.
	for i := range 6 {
		s := spin(vec(f[3*i], f[3*i+1], f[3*i+2]))
		for r := range 3 {
			for n := range 3 {
				for c := range 3 {
					g := float64(s[3*r]*m.spins[0][3*n+c]) + float64(s[3*r+1]*m.spins[1][3*n+c]) + float64(s[3*r+2]*m.spins[2][3*n+c])
					k[18*(3*i+r)+6*n+c] -= g
				}
			}
		}
	}
	// Moving: Gᵀ·Fᵀ·P over the forces alone; rows of Fᵀ·P first.
	var fp [3][18]float64
	for i := range 3 {
		s := spin(vec(f[6*i], f[6*i+1], f[6*i+2]))
		for r := range 3 {
			for c := range 3 {
				fp[r][6*i+c] += s[3*r+c]
			}
		}
	}
	for r := range 3 {
		var s solid.Vec
		for i := range 3 {
			s = s.Add(m.x[i].Cross(vec(fp[r][6*i], fp[r][6*i+1], fp[r][6*i+2])))
		}
		for i := range 3 {
			for c := range 3 {
				fp[r][6*i+c] -= float64(s.X*m.spins[0][3*i+c]) + float64(s.Y*m.spins[1][3*i+c]) + float64(s.Z*m.spins[2][3*i+c])
			}
		}
	}
	for n := range 3 {
		for c := range 3 {
			for j := range 18 {
				k[18*(6*n+c)+j] += float64(m.spins[0][3*n+c]*fp[0][j]) + float64(m.spins[1][3*n+c]*fp[1][j]) + float64(m.spins[2][3*n+c]*fp[2][j])
			}
		}
	}
}
