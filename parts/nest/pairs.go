package nest

import (
	"math"
	"slices"

	"perch/parts/plane"
)

// pair is how two of a blank lie best together: the first as it is, the second
// turned by delta degrees about its own origin, then moved.
type pair struct {
	form  int // of the blank
	over  bool
	delta float64
	at    point
}

// pairPays is the part of what two blanks take by themselves below which a pair of
// them is worth a try.
const pairPays = 0.97

// addPair adds the best pair of a form where it takes clearly less than two apart.
func (g *group) addPair(k int) {
	f := &g.forms[k]
	m := &model{shapes: g.shapes, margin: g.margin, known: g.known}
	one := g.shapes[f.shape]
	alone := 2 * spread(one.outer)
	var best pair
	least := float64(pairPays * alone)
	for _, over := range [2]bool{false, true} {
		second := f.shape
		if over {
			second = f.over
		}
		if second < 0 {
			continue
		}
		for _, d := range f.rotations {
			p := pair{form: k, over: over, delta: d - f.rotations[0]}
			if len(p.rotations(f.rotations)) == 0 {
				continue
			}
			if s := p.search(m, f.shape, second, least); s < least {
				best, least = p, s
			}
		}
	}
	if least == float64(pairPays*alone) {
		return
	}
	second := f.shape
	if best.over {
		second = f.over
	}
	two := g.shapes[second]
	s := &shape{area: one.area + two.area, grown: one.grown}
	s.members = []member{{shape: f.shape}, {second, best.delta, best.at}}
	s.exact = append(one.exact.Clone(), two.exact.Transform(best.move())...)
	g.forms = append(g.forms, form{blank: f.blank, shape: len(g.shapes), over: -1, rotations: best.rotations(f.rotations), area: s.area, pair: &best})
	g.shapes = append(g.shapes, s)
}

// move takes the second blank to its place beside the first.
func (p *pair) move() plane.Affine {
	c, s := plane.Turned(p.delta)
	return plane.Affine{A: c, B: -s, C: s, D: c, E: p.at.X, F: p.at.Y}
}

func moved(pts []point, m plane.Affine) []point {
	out := make([]point, len(pts))
	for i, v := range pts {
		out[i] = m.Apply(v)
	}
	return out
}

// rotations are those of the first blank at which the second may lie too.
func (p *pair) rotations(of []float64) []float64 {
	var out []float64
	for _, d := range of {
		if slices.ContainsFunc(of, func(e float64) bool { return sameAngle(d+p.delta, e) }) {
			out = append(out, d)
		}
	}
	return out
}

// sameAngle tells whether two angles in degrees are one, turns aside.
func sameAngle(a, b float64) bool {
	d := (a - b) / 360
	return math.Abs(d-math.Round(d)) < 1e-8
}

// pairSteps are the directions in which the second blank is moved clear of the first.
const pairSteps = 16

// search finds the place of the second blank, of those where it touches the first at
// a corner of the no-fit shape or midway between two, with the least spread; it
// answers with that, or with no less than what there is to beat.
func (p *pair) search(m *model, first, second int, least float64) float64 {
	f := m.nofit(first, second, p.delta)
	a := m.shapes[first].outer
	turn := pair{delta: p.delta}
	b := moved(m.shapes[second].outer, turn.move())
	pts := make([]point, len(a)+len(b))
	copy(pts, a)
	try := func(at point) {
		for i, v := range b {
			pts[len(a)+i] = v.Add(at)
		}
		s := spread(pts)
		if s >= least {
			return
		}
		// The search keeps a margin; so must the pair.
		for k := range pairSteps {
			c, sn := plane.Turned(float64(k) * (360.0 / pairSteps))
			q := at.Add(point{X: float64(1.5 * m.margin * c), Y: float64(1.5 * m.margin * sn)})
			if f.depth(q.X, q.Y, m.margin) == 0 {
				least, p.at = s, q
				return
			}
		}
	}
	for i := range f.segs {
		g := &f.segs[i]
		for _, t := range [2]float64{0, g.len / 2} {
			try(point{X: g.ax + float64(t*g.dx), Y: g.ay + float64(t*g.dy)})
		}
	}
	return least
}

// spread is the area of the points' convex hull and that of their upright box.
func spread(pts []point) float64 {
	b := plane.EmptyBox()
	for _, v := range pts {
		b = b.With(v)
	}
	s := b.Size()
	return polygonArea(plane.Hull(pts)) + float64(s.X*s.Y)
}

// paired are counts with as many blanks as can be in pairs; false where no pair pays.
func (g *group) paired(counts []int) ([]int, bool) {
	out := slices.Clone(counts)
	any := false
	for k := range g.forms {
		p := g.forms[k].pair
		if p == nil || out[p.form] < 2 {
			continue
		}
		out[k] = out[p.form] / 2
		out[p.form] %= 2
		any = true
	}
	return out, any
}

// apart takes a layout with pairs to one of the same blanks by themselves.
func (g *group) apart(pairs, singles *problem, l *layout) *layout {
	out := &layout{pose: make([]int, len(singles.m.items)), x: make([]float64, len(singles.m.items)), y: make([]float64, len(singles.m.items)), bin: make([]int, len(singles.m.items))}
	next := map[int]int{} // by form, the next item without a place
	for i := len(singles.m.items) - 1; i >= 0; i-- {
		next[singles.m.items[i].blank] = i
	}
	put := func(form int, degrees float64, over bool, bin int, at point) {
		i := next[form]
		next[form]++
		for _, k := range singles.m.items[i].poses {
			if o := &singles.m.poses[k]; o.over == over && sameAngle(o.degrees, degrees) {
				out.pose[i] = k
			}
		}
		out.bin[i], out.x[i], out.y[i] = bin, at.X, at.Y
	}
	for i, it := range pairs.m.items {
		o, at := &pairs.m.poses[l.pose[i]], point{X: l.x[i], Y: l.y[i]}
		p := g.forms[it.blank].pair
		if p == nil {
			put(it.blank, o.degrees, o.over, l.bin[i], at)
			continue
		}
		put(p.form, o.degrees, false, l.bin[i], at)
		put(p.form, o.degrees+p.delta, p.over, l.bin[i], at.Add(o.apply(p.at)))
	}
	return out
}
