package tolerance_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/solid"
)

// site is a place that moves with a face of a piece, in the coordinates of its flat.
type site struct {
	of, face int
	p        solid.Vec
}

// touch is two places that should be one: along some directions of the first's face.
type touch struct {
	a, b site
	dirs []solid.Vec // in the coordinates of the first's flat
	k    []float64
	hole [2]int // by site: the hole whose error moves it; −1 for none
}

// simulation is an assembly with its springs.
type simulation struct {
	pieces  []*piece
	touches []touch
	fits    []simFit
	n       int
	factor  [][]float64
	x       []float64
	holes   [][2]float64 // errors drawn, in the flat
	sigma   []float64
	s       *shop.Shop
}

// simFit is what is told of an inner sheet of a fastener.
type simFit struct {
	touch  touch
	pinned bool
	room   float64
}

func newSimulation(t testing.TB, a *panel.Assembly, s *shop.Shop) *simulation {
	sim := &simulation{s: s}
	used := make([]bool, len(a.Copies))
	root := make([]int, len(a.Copies))
	for c := range root {
		root[c] = c
	}
	var find func(c int) int
	find = func(c int) int {
		if root[c] == c {
			return c
		}
		return find(root[c])
	}
	for _, j := range a.Joins {
		for _, m := range j.Members {
			used[m.Copy] = true
			x, y := find(j.Members[0].Copy), find(m.Copy)
			root[max(x, y)] = min(x, y)
		}
	}
	for c := range a.Copies {
		p := newPiece(t, a, c, s)
		sim.pieces = append(sim.pieces, p)
		p.first, p.fixed = sim.n, find(c) == c
		if used[c] && !p.fixed {
			sim.n += 6
		} else {
			p.fixed = true
		}
		sim.n += len(p.hinges)
	}
	sim.x = make([]float64, sim.n)
	for i := range a.Joins {
		sim.add(t, a, &a.Joins[i])
	}
	sim.factor = sim.stiffness(t, 1e-6)
	return sim
}

// add takes a fastener into the simulation.
func (sim *simulation) add(t testing.TB, a *panel.Assembly, j *panel.JoinPoint) {
	type sheet struct {
		copy int
		p    panel.Point
		deep float64
		hole int
	}
	var sheets []sheet
	deep := 0.0
	for _, m := range j.Members {
		f := a.Blanks[a.Copies[m.Copy].Blank].Flat
		for _, p := range f.Points {
			if p.Name != m.Point {
				continue
			}
			s := sheet{m.Copy, p, deep, -1}
			if p.Made() != "" && p.Made() != panel.InPlace {
				s.hole = len(sim.holes)
				sim.holes = append(sim.holes, [2]float64{})
				by := sim.s.Cutter.Tolerance
				if p.Kind == panel.Drill {
					by = sim.s.Tolerance.Drilled
				}
				sim.sigma = append(sim.sigma, by/2)
			}
			sheets = append(sheets, s)
			deep += f.Panel.Stock.Thickness
			break
		}
	}
	e := solid.Vec{Z: 1}
	if math.Abs(j.Axis.Z) > 0.7 {
		e = solid.Vec{Y: 1}
	}
	u := j.Axis.Cross(e).Unit()
	v := j.Axis.Cross(u)
	on := func(s sheet, at solid.Vec) site {
		return site{s.copy, s.p.Face, sim.pieces[s.copy].faces[s.p.Face].local(at)}
	}
	local := func(s sheet, d solid.Vec) solid.Vec {
		m := &sim.pieces[s.copy].faces[s.p.Face]
		return solid.Vec{X: d.Dot(m.x), Y: d.Dot(m.y), Z: d.Dot(m.z)}
	}
	tol := sim.s.Tolerance
	press := tol.Contact
	if j.Kind == "tack" || j.Kind == "weld" {
		press = tol.Aim / 3
	}
	for k := 1; k < len(sheets); k++ {
		outer, above, s := sheets[0], sheets[k-1], sheets[k]
		at := j.At.Add(j.Axis.Scale(s.deep))
		for i := range 3 {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / 3)
			near := at.Add(u.Scale(10 * cos)).Add(v.Scale(10 * sin))
			sim.touches = append(sim.touches, touch{on(above, near), on(s, near),
				[]solid.Vec{local(above, j.Axis), local(above, u), local(above, v)}, []float64{press, tol.Aim / 3, tol.Aim / 3}, [2]int{-1, -1}})
		}
		if outer.p.Made() == "" || s.p.Made() == "" {
			continue
		}
		pin := touch{on(outer, at), on(s, at), []solid.Vec{local(outer, u), local(outer, v)}, []float64{tol.Pin, tol.Pin}, [2]int{outer.hole, s.hole}}
		fit := simFit{pin, outer.hole >= 0 && s.hole >= 0, (outer.p.Diameter+s.p.Diameter)/2 - j.Diameter}
		if fit.pinned {
			sim.touches = append(sim.touches, pin)
		}
		sim.fits = append(sim.fits, fit)
	}
}

// place moves the pieces to the unknowns.
func (sim *simulation) place(x []float64) {
	for _, p := range sim.pieces {
		own, at := p.own, p.first
		if !p.fixed {
			more := turning(solid.Vec{X: x[at+3], Y: x[at+4], Z: x[at+5]}.Scale(0.01)).about(p.own.at(p.centre))
			more.o = more.o.Add(solid.Vec{X: x[at], Y: x[at+1], Z: x[at+2]})
			own = more.after(&p.own)
			at += 6
		}
		turns := make([]float64, len(p.hinges))
		for i := range turns {
			turns[i] = x[at+i] / 100
		}
		p.fold(turns)
		for i := range p.faces {
			p.moved[i] = own.after(&p.faces[i])
		}
		for i := range p.axes {
			p.axes[i], p.through[i] = own.dir(p.axes[i]), own.at(p.through[i])
		}
		p.next = own
	}
}

// keep has the pieces stay where they were placed: further moves begin there.
func (sim *simulation) keep() {
	for _, p := range sim.pieces {
		p.own = p.next
		if !p.fixed {
			clear(sim.x[p.first : p.first+6])
		}
	}
}

// where is a site, its hole off by its error.
func (sim *simulation) where(s site, hole int) solid.Vec {
	p := s.p
	if hole >= 0 {
		p.X, p.Y = p.X+sim.holes[hole][0], p.Y+sim.holes[hole][1]
	}
	return sim.pieces[s.of].moved[s.face].at(p)
}

// slope adds the change of a length along dir, at a place that moves with a site's face,
// with each unknown.
func (sim *simulation) slope(s site, at, dir solid.Vec, by float64, do func(unknown int, v float64)) {
	p := sim.pieces[s.of]
	first := p.first
	if !p.fixed {
		arm := at.Sub(p.next.at(p.centre)).Cross(dir)
		for i, v := range [6]float64{dir.X, dir.Y, dir.Z, arm.X / 100, arm.Y / 100, arm.Z / 100} {
			do(first+i, by*v)
		}
		first += 6
	}
	for i, h := range p.hinges {
		if h.moves[s.face] {
			do(first+i, by*p.axes[i].Cross(at.Sub(p.through[i])).Dot(dir)/100)
		}
	}
}

// push is the springs' energy where the unknowns are, and its gradient, and with h where that
// is not nil their stiffness.
func (sim *simulation) push(g []float64, h [][]float64) (energy float64) {
	clear(g)
	for i := range sim.touches {
		c := &sim.touches[i]
		a, b := sim.where(c.a, c.hole[0]), sim.where(c.b, c.hole[1])
		for d, dir := range c.dirs {
			u := sim.pieces[c.a.of].moved[c.a.face].dir(dir)
			off := b.Sub(a).Dot(u)
			energy += c.k[d] * off * off / 2
			var at []int
			var by []float64
			note := func(unknown int, v float64) {
				g[unknown] += c.k[d] * off * v
				if h != nil {
					at, by = append(at, unknown), append(by, v)
				}
			}
			sim.slope(c.b, b, u, 1, note)
			sim.slope(c.a, b, u, -1, note)
			for i := range at {
				for j := range at {
					h[at[i]][at[j]] += c.k[d] * by[i] * by[j]
				}
			}
		}
	}
	for _, p := range sim.pieces {
		first := p.first
		if !p.fixed {
			first += 6
		}
		for i, hg := range p.hinges {
			k := hg.k / 1e4 // all turns are told in mm at 100 mm
			g[first+i] += k * sim.x[first+i]
			energy += k * sim.x[first+i] * sim.x[first+i] / 2
			if h != nil {
				h[first+i][first+i] += k
			}
		}
	}
	return energy
}

// stiffness is that where the unknowns are, and damping to the ground, factored (A.-L. Cholesky).
func (sim *simulation) stiffness(t testing.TB, damping float64) [][]float64 {
	h := make([][]float64, sim.n)
	for i := range h {
		h[i] = make([]float64, sim.n)
	}
	sim.place(sim.x)
	sim.push(make([]float64, sim.n), h)
	for i := range h {
		h[i][i] += damping
		for j := range i + 1 {
			v := h[i][j]
			for k := range j {
				v -= h[i][k] * h[j][k]
			}
			if i == j {
				if !(v > 0) {
					t.Fatalf("the simulated piece hangs together by nothing: %g", v)
				}
				h[i][i] = math.Sqrt(v)
			} else {
				h[i][j] = v / h[j][j]
			}
		}
	}
	return h
}

// solve divides g by a factored stiffness.
func solve(factor [][]float64, g []float64) {
	for i, row := range factor {
		for k := range i {
			g[i] -= row[k] * g[k]
		}
		g[i] /= row[i]
	}
	for i := len(g) - 1; i >= 0; i-- {
		g[i] /= factor[i][i]
		for k := range i {
			g[k] -= factor[i][k] * g[i]
		}
	}
}

// draw draws the errors of one build.
func (sim *simulation) draw(rnd *rand.Rand) {
	for _, p := range sim.pieces {
		for i := range p.angle {
			p.angle[i] = sim.s.Tolerance.Angle / 2 * rnd.NormFloat64()
			mean, apart := sim.s.Tolerance.Line/2/math.Sqrt2*rnd.NormFloat64(), math.Sqrt2*sim.s.Tolerance.Line/2
			long := p.flat.Folds[i].From.Dist(p.flat.Folds[i].To)
			apart = math.Min(apart, long*sim.s.Tolerance.Angle/2) * rnd.NormFloat64()
			p.ends[i] = [2]float64{mean - apart/2, mean + apart/2}
		}
	}
	for i := range sim.holes {
		sim.holes[i] = [2]float64{sim.sigma[i] * rnd.NormFloat64(), sim.sigma[i] * rnd.NormFloat64()}
	}
}

// settle goes down the springs' energy: by the stiffness at rest where that is quick, else by
// that where it is; a step that goes up is halved, and taken shorter and steeper where that is
// of no use (I. Newton, C. F. Gauss; K. Levenberg, Quarterly of Applied Mathematics 2, 1944).
func (sim *simulation) settle(t testing.TB) {
	clear(sim.x)
	for _, p := range sim.pieces {
		p.own = still()
	}
	sim.place(sim.x)
	if sim.n == 0 {
		return
	}
	g, last, from := make([]float64, sim.n), make([]float64, sim.n), make([]float64, sim.n)
	factor, most, damping := sim.factor, 0.0, 1e-6
	energy := sim.push(g, nil)
	for step := range 400 {
		if step >= 4 {
			factor = sim.stiffness(t, damping)
		}
		copy(last, g)
		solve(factor, last)
		most = 0
		for i := range last {
			most = math.Max(most, math.Abs(last[i]))
		}
		sim.keep()
		copy(from, sim.x)
		by, down := 1.0, false
		for ; by > 0.01 && !down; by /= 2 {
			for i := range last {
				sim.x[i] = from[i] - by*last[i]
			}
			sim.place(sim.x)
			e := sim.push(g, nil)
			if down = e <= energy*(1+1e-9); down {
				energy = e
			}
		}
		switch {
		case most < 2e-4:
			return
		case down:
			damping = math.Max(1e-6, damping/10)
		default:
			copy(sim.x, from)
			sim.place(sim.x)
			sim.push(g, nil)
			damping *= 100
		}
	}
	t.Fatalf("a simulated build does not settle: %.3g", most)
}

// off is how far apart the axes of a fit's holes lie in a build, across the outer sheet.
func (sim *simulation) off(f *simFit) float64 {
	c := &f.touch
	d := sim.where(c.b, c.hole[1]).Sub(sim.where(c.a, c.hole[0]))
	sum := 0.0
	for _, dir := range c.dirs {
		x := d.Dot(sim.pieces[c.a.of].moved[c.a.face].dir(dir))
		sum += x * x
	}
	return math.Sqrt(sum)
}
