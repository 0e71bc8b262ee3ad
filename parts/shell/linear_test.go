package shell

import (
	"math"
	"testing"

	"perch/parts/solid"
)

var steel = Material{E: 210000, Nu: 0.3}

// TestPatch holds a patch of any triangles to a state of constant strain, and of constant
// curvature, given at its corners: inside, both must come out exactly.
func TestPatch(t *testing.T) {
	// The patch of MacNeal and Harder (1985): 0.24 by 0.12, four nodes inside.
	nodes := []solid.Vec{{}, {X: 0.24}, {X: 0.24, Y: 0.12}, {Y: 0.12},
		{X: 0.04, Y: 0.02}, {X: 0.18, Y: 0.03}, {X: 0.16, Y: 0.08}, {X: 0.08, Y: 0.08}}
	quads := [][4]int32{{0, 1, 5, 4}, {1, 2, 6, 5}, {2, 3, 7, 6}, {3, 0, 4, 7}, {4, 5, 6, 7}}
	m := Model{Nodes: nodes}
	for _, q := range quads {
		for _, n := range [][3]int32{{q[0], q[1], q[2]}, {q[0], q[2], q[3]}} {
			m.Triangles = append(m.Triangles, Triangle{Nodes: n, Thickness: 0.001, Material: Material{E: 1e6, Nu: 0.25}})
		}
	}
	for _, c := range []struct {
		name  string
		state func(p solid.Vec) [6]float64
		n     solid.Vec // membrane forces x, y, shear
		m     solid.Vec // moments
	}{
		{"membrane", func(p solid.Vec) [6]float64 {
			return [6]float64{1e-3 * (p.X + p.Y/2), 1e-3 * (p.Y + p.X/2), 0, 0, 0, 0}
		}, vec(1333.0/1000*1.00025, 0, 0), solid.Vec{}},
		{"plate", func(p solid.Vec) [6]float64 {
			w := 1e-3 * (p.X*p.X + p.X*p.Y + p.Y*p.Y) / 2
			return [6]float64{0, 0, w, 1e-3 * (p.Y + p.X/2), -1e-3 * (p.X + p.Y/2), 0}
		}, solid.Vec{}, vec(-1.111e-7, -1.111e-7, -0.333e-7)},
	} {
		b, err := newBody(&m, 0)
		if err != nil {
			t.Fatal(err)
		}
		// The given corners move what is free: their part of the matrix goes to the right.
		k := dense(t, b)
		n := len(b.freedom)
		x := make([]float64, n)
		for i, p := range nodes[:4] {
			for f, v := range c.state(p) {
				x[6*i+f] = v
			}
		}
		free := n - 24
		a, r := make([]float64, free*free), make([]float64, free)
		for i := range free {
			for j := range free {
				a[i*free+j] = k[(24+i)*n+24+j]
			}
			for j := range 24 {
				r[i] -= k[(24+i)*n+j] * x[j]
			}
		}
		got := gauss(a, r)
		for i, p := range nodes[4:] {
			want := c.state(p)
			for f := range 6 {
				if d := got[6*i+f] - want[f]; math.Abs(d) > 1e-9*2.4e-4 {
					t.Errorf("%s: node %d freedom %d: %v, want %v", c.name, 4+i, f, got[6*i+f], want[f])
				}
			}
		}
	}
}

// dense is the whole matrix of a body as built.
func dense(t testing.TB, b *body) []float64 {
	t.Helper()
	n := len(b.freedom)
	if err := b.assemble(t.Context(), newState(b.Model), make([]float64, n), b.matrix, parts{elastic: true}); err != nil {
		t.Fatal(err)
	}
	k := make([]float64, n*n)
	for j := range n {
		x, y := make([]float64, n), make([]float64, n)
		x[j] = 1
		b.matrix.Mul(x, y)
		for i := range n {
			k[i*n+j] = y[i]
		}
	}
	return k
}

// gauss solves by plain elimination.
func gauss(a, r []float64) []float64 {
	n := len(r)
	for i := range n {
		for j := i + 1; j < n; j++ {
			f := a[j*n+i] / a[i*n+i]
			for k := i; k < n; k++ {
				a[j*n+k] -= f * a[i*n+k]
			}
			r[j] -= f * r[i]
		}
	}
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			r[i] -= a[i*n+k] * r[k]
		}
		r[i] /= a[i*n+i]
	}
	return r
}

// TestInPlaneBending holds a strip of one layer of triangles pairs, of any sides, to beam
// theory, for which the optimal triangle's parameters were made (Felippa 2003, section 8).
func TestInPlaneBending(t *testing.T) {
	for _, ratio := range []float64{1, 2, 4, 8, 16} {
		const n = 32
		h := 1.0
		l := n * ratio * h
		m := Material{E: 768, Nu: 0.3}
		s := newSheet(n, 1, 1, m, false, func(u, v float64) solid.Vec { return vec(l*u, h*(v-0.5), 0) })
		s.hold(s.node(0, 0), MoveX, MoveY, TurnZ)
		s.hold(s.node(0, 1), MoveX, TurnZ)
		for i := range s.Nodes {
			s.hold(int32(i), MoveZ, TurnX, TurnY)
		}
		a := linear(t, &s.Model, []Load{
			{Node: s.node(n, 0), Force: vec(-1, 0, 0)}, {Node: s.node(n, 1), Force: vec(1, 0, 0)}})
		want := -1 * h * l * l / (2 * m.E * h * h * h / 12)
		part := 0.005 // of rectangles longer than four times their height
		if ratio <= 4 {
			part = 0.07
		}
		near(t, "end moment", s.moved(a, s.node(n, 0)).Y, want, part)
	}
}

// TestRigid: a whole that is moved and turned, however far, has no forces inside; and
// a sheet has six movements that cost nothing, no more.
func TestRigid(t *testing.T) {
	s := newSheet(3, 2, 1.5, steel, true, func(u, v float64) solid.Vec {
		return vec(60*u+7*v, 40*v+5*u*v, 12*u*u-8*u*v)
	})
	b, err := newBody(&s.Model, 0)
	if err != nil {
		t.Fatal(err)
	}
	st := newState(&s.Model)
	q := turnBy(vec(0.9, -1.4, 2.1))
	r := q.matrix()
	for i := range st.at {
		st.at[i] = r.apply(st.at[i]).Add(vec(100, -30, 55))
		st.turned[i] = q
	}
	f := make([]float64, len(b.freedom))
	if err := b.assemble(t.Context(), st, f, nil, parts{}); err != nil {
		t.Fatal(err)
	}
	for i, v := range f {
		if math.Abs(v) > 1e-6 { // of stiffnesses of 3e5 N/mm
			t.Fatalf("force %v on freedom %d of a sheet that is only turned", v, i)
		}
	}
	zero, least, most := spectrum(dense(t, b))
	if zero != 6 {
		t.Errorf("%d movements cost nothing, want 6 (least other %.3g, most %.3g)", zero, least, most)
	}
}

// spectrum counts the eigenvalues that are nothing beside the largest (Jacobi's method).
func spectrum(a []float64) (zero int, least, most float64) {
	n := int(math.Sqrt(float64(len(a))))
	for range 60 {
		off := 0.0
		for p := range n {
			for q := p + 1; q < n; q++ {
				off += a[p*n+q] * a[p*n+q]
				if a[p*n+q] == 0 {
					continue
				}
				th := (a[q*n+q] - a[p*n+p]) / (2 * a[p*n+q])
				t := math.Copysign(1, th) / (math.Abs(th) + math.Sqrt(th*th+1))
				c := 1 / math.Sqrt(t*t+1)
				s := t * c
				for k := range n {
					x, y := a[k*n+p], a[k*n+q]
					a[k*n+p], a[k*n+q] = c*x-s*y, s*x+c*y
				}
				for k := range n {
					x, y := a[p*n+k], a[q*n+k]
					a[p*n+k], a[q*n+k] = c*x-s*y, s*x+c*y
				}
			}
		}
		if off < 1e-12 {
			break
		}
	}
	for i := range n {
		most = math.Max(most, a[i*n+i])
	}
	least = most
	for i := range n {
		if v := math.Abs(a[i*n+i]); v < 1e-11*most {
			zero++
		} else {
			least = math.Min(least, v)
		}
	}
	return zero, least, most
}

// TestPlates are Timoshenko's square plates, a quarter of each by symmetry.
func TestPlates(t *testing.T) {
	const n, a, h, p, q = 16, 1000.0, 1.0, 4.0, 1e-3
	d := steel.E * h * h * h / (12 * (1 - steel.Nu*steel.Nu))
	for _, c := range []struct {
		name           string
		clamped, point bool
	}{
		{"plate simply supported uniform", false, false},
		{"plate simply supported point", false, true},
		{"plate clamped uniform", true, false},
		{"plate clamped point", true, true},
	} {
		s := newSheet(n, n, h, steel, true, func(u, v float64) solid.Vec { return vec(a/2*u, a/2*v, 0) })
		for i := range s.Nodes {
			s.hold(int32(i), MoveX, MoveY, TurnZ)
		}
		s.edges(func(k int32, i, j int) {
			if i == 0 {
				s.hold(k, TurnY)
			}
			if j == 0 {
				s.hold(k, TurnX)
			}
			if i == n || j == n {
				s.hold(k, MoveZ)
				if c.clamped {
					s.hold(k, TurnX, TurnY)
				}
			}
			if !c.clamped && i == n {
				s.hold(k, TurnX)
			}
			if !c.clamped && j == n {
				s.hold(k, TurnY)
			}
		})
		loads, unit := s.pressure(vec(0, 0, -q)), q*a*a*a*a/d
		if c.point {
			loads, unit = []Load{{Node: 0, Force: vec(0, 0, -p/4)}}, p*a*a/d
		}
		near(t, c.name, -s.moved(linear(t, &s.Model, loads), 0).Z/unit, problem(t, c.name), 0.01)
	}
}

// disc is a quarter of a round plate, by squares drawn out to the circle.
func disc(n int, r, h float64, m Material) *sheet {
	return newSheet(n, n, h, m, true, func(u, v float64) solid.Vec {
		x, y := u, v
		k := math.Max(u, v)
		if l := math.Sqrt(u*u + v*v); l > 0 {
			f := 1 + (k/l-1)*k // squares in the middle, circles at the rim
			x, y = u*f, v*f
		}
		return vec(r*x, r*y, 0)
	})
}

func TestRoundPlate(t *testing.T) {
	const n, r, h, q = 12, 500.0, 1.0, 1e-4
	s := disc(n, r, h, steel)
	s.edges(func(k int32, i, j int) {
		if i == 0 {
			s.hold(k, TurnY)
		}
		if j == 0 {
			s.hold(k, TurnX)
		}
		if i == n || j == n {
			s.hold(k, MoveZ, TurnX, TurnY)
		}
	})
	for i := range s.Nodes {
		s.hold(int32(i), MoveX, MoveY, TurnZ)
	}
	d := steel.E * h * h * h / (12 * (1 - steel.Nu*steel.Nu))
	a := linear(t, &s.Model, s.pressure(vec(0, 0, -q)))
	name := "plate circular clamped uniform"
	near(t, name, -s.moved(a, 0).Z*d/(q*r*r*r*r), problem(t, name), 0.01)
}

func TestBeams(t *testing.T) {
	const n = 24
	m := Material{E: 1e7, Nu: 0.3}
	s := newSheet(n, 2, 0.1, m, true, func(u, v float64) solid.Vec { return vec(6*u, 0.2*v, 0) })
	for j := range 3 {
		s.hold(s.node(0, j), MoveX, MoveY, MoveZ, TurnX, TurnY, TurnZ)
	}
	end := func(f solid.Vec) []Load {
		return []Load{{Node: s.node(n, 0), Force: f.Scale(0.25)}, {Node: s.node(n, 1), Force: f.Scale(0.5)}, {Node: s.node(n, 2), Force: f.Scale(0.25)}}
	}
	name := "straight cantilever 6 x 0.2 x 0.1 in-plane tip"
	near(t, name, s.moved(linear(t, &s.Model, end(vec(0, 1, 0))), s.node(n, 1)).Y, problem(t, name), 0.01)
	name = "straight cantilever 6 x 0.2 x 0.1 out-of-plane tip"
	near(t, name, s.moved(linear(t, &s.Model, end(vec(0, 0, 1))), s.node(n, 1)).Z, problem(t, name), 0.01)
}

func TestCook(t *testing.T) {
	const n = 24
	s := newSheet(n, n, 1, Material{E: 1, Nu: 1.0 / 3}, false, func(u, v float64) solid.Vec {
		return vec(48*u, 44*u*(1-v)+v*(44+16*u), 0)
	})
	for i := range s.Nodes {
		s.hold(int32(i), MoveZ, TurnX, TurnY)
	}
	var l []Load
	for j := range n + 1 {
		s.hold(s.node(0, j), MoveX, MoveY)
		f := 1.0 / n
		if j == 0 || j == n {
			f /= 2
		}
		l = append(l, Load{Node: s.node(n, j), Force: vec(0, f, 0)})
	}
	near(t, "Cook membrane", s.moved(linear(t, &s.Model, l), s.node(n, n/2)).Y, problem(t, "Cook membrane"), 0.01)
}

// TestRoof is the roof of Scordelis and Lo, a quarter of it, on meshes that come to it.
func TestRoof(t *testing.T) {
	for _, n := range []int{8, 16, 32} {
		s := newSheet(n, n, 0.25, Material{E: 4.32e8, Nu: 0}, true, func(u, v float64) solid.Vec {
			a := 40 * math.Pi / 180 * v
			return vec(25*u, 25*math.Sin(a), 25*math.Cos(a))
		})
		s.edges(func(k int32, i, j int) {
			if i == 0 { // middle of the length
				s.hold(k, MoveX, TurnY, TurnZ)
			}
			if i == n { // the diaphragm at the end
				s.hold(k, MoveY, MoveZ)
			}
			if j == 0 { // the crown
				s.hold(k, MoveY, TurnX, TurnZ)
			}
		})
		a := linear(t, &s.Model, s.pressure(vec(0, 0, -90)))
		got := -s.moved(a, s.node(0, n)).Z
		part := 0.003
		if n == 8 {
			part = 0.05
		}
		near(t, "Scordelis-Lo roof", got, problem(t, "Scordelis-Lo roof"), part)
	}
}

// TestZSection is LE5 of NAFEMS: a Z section twisted by two shear forces; the stress along
// it at the tip of a flange, at a quarter of its length.
func TestZSection(t *testing.T) {
	const each = 8 // triangles' pairs across a flange; twice as many across the web
	const nx, ny = 10 * each, 4 * each
	s := newSheet(nx, ny, 100, steel, true, func(u, v float64) solid.Vec {
		switch {
		case v <= 0.25:
			return vec(10000*u, -1000+4000*v, 1000)
		case v < 0.75:
			return vec(10000*u, 0, 1000-4000*(v-0.25))
		default:
			return vec(10000*u, 4000*(v-0.75), -1000)
		}
	})
	var l []Load
	for j := range ny + 1 {
		s.hold(s.node(0, j), MoveX, MoveY, MoveZ)
		part := 1.0 / each // of a flange's force, half at its ends
		if j == 0 || j == ny || j == each || j == 3*each {
			part /= 2
		}
		switch {
		case j <= each:
			l = append(l, Load{Node: s.node(nx, j), Force: vec(0, 0.6e6*part, 0)})
		case j >= 3*each:
			l = append(l, Load{Node: s.node(nx, j), Force: vec(0, -0.6e6*part, 0)})
		}
	}
	a := linear(t, &s.Model, l)
	// At a node one or three triangles meet, by turns; the mean of three nodes has both alike.
	mean := 0.0
	for k, weight := range []float64{0.25, 0.5, 0.25} {
		var sum, n float64
		for i, tri := range s.Triangles {
			for c, node := range tri.Nodes {
				if node == s.node(nx/4-1+k, 0) {
					sum += along(a, i, c, vec(1, 0, 0))
					n++
				}
			}
		}
		mean += weight * sum / n
	}
	name := "Z-section cantilever LE5"
	near(t, name, -math.Abs(mean), problem(t, name), 0.023)
}

// along is the mean stress through the sheet at a triangle's corner, along a direction.
func along(a *Answer, tri, corner int, dir solid.Vec) float64 {
	st := a.Stress(tri)
	e := a.body.elements[tri]
	d := e.frame.back(dir)
	m := st.Membrane[corner]
	return m[0]*d.X*d.X + m[1]*d.Y*d.Y + 2*m[2]*d.X*d.Y
}
