package nest

import (
	"math"
	"slices"
)

// layout is where everything lies: items first, then the fixed shapes.
type layout struct {
	pose []int
	x, y []float64
	bin  []int
}

func (l *layout) clone() *layout {
	return &layout{slices.Clone(l.pose), slices.Clone(l.x), slices.Clone(l.y), slices.Clone(l.bin)}
}

func (l *layout) copyFrom(o *layout) {
	copy(l.pose, o.pose)
	copy(l.x, o.x)
	copy(l.y, o.y)
	copy(l.bin, o.bin)
}

// search is one search under way: a layout, what overlaps in it and how much each
// overlap weighs.
type search struct {
	m    *model
	bins []bin
	n    int // items that move
	all  int // with fixed shapes
	at   *layout
	// World boxes of all, by index.
	x0, y0, x1, y1 []float64
	deep           []float64 // depth of each pair, all·all, symmetric
	weight         []float64
	rnd            *random
	fine           float64 // least step of a descent
	work           int64   // spent so far: pairs looked at, depths taken
	links          []*link
}

func newSearch(m *model, bins []bin, seed uint64) *search {
	n := len(m.items)
	all := n + len(m.fixed)
	s := &search{
		m: m, bins: slices.Clone(bins), n: n, all: all,
		at: &layout{make([]int, all), make([]float64, all), make([]float64, all), make([]int, all)},
		x0: make([]float64, all), y0: make([]float64, all), x1: make([]float64, all), y1: make([]float64, all),
		deep: make([]float64, all*all), weight: make([]float64, all*all),
		rnd:   newRandom(seed),
		links: make([]*link, len(m.poses)*len(m.poses)),
	}
	s.resetWeights()
	for k, f := range m.fixed {
		s.put(n+k, f.pose, 0, f.at.X, f.at.Y)
	}
	return s
}

func (s *search) resetWeights() {
	for i := range s.weight {
		s.weight[i] = 1
	}
}

// put moves item i without a look at what it overlaps.
func (s *search) put(i, pose, bin int, x, y float64) {
	s.at.pose[i], s.at.bin[i], s.at.x[i], s.at.y[i] = pose, bin, x, y
	b := &s.m.poses[pose].box
	s.x0[i], s.y0[i], s.x1[i], s.y1[i] = x+b.Min.X, y+b.Min.Y, x+b.Max.X, y+b.Max.Y
}

// load takes over a layout and looks at all overlaps.
func (s *search) load(l *layout) {
	for i := range s.n {
		s.put(i, l.pose[i], l.bin[i], l.x[i], l.y[i])
	}
	s.measure()
}

func (s *search) measure() {
	for i := range s.n {
		s.row(i)
	}
}

// row looks at what item i overlaps.
func (s *search) row(i int) {
	s.work += int64(4 * s.all)
	for j := range s.all {
		if j == i {
			continue
		}
		d := s.pair(i, j)
		s.deep[i*s.all+j] = d
		s.deep[j*s.all+i] = d
	}
}

func (s *search) link(a, b int) *link {
	slot := &s.links[a*len(s.m.poses)+b]
	if *slot == nil {
		*slot = s.m.link(a, b)
	}
	return *slot
}

// pair is how deep items i and j overlap.
func (s *search) pair(i, j int) float64 {
	g := s.m.margin
	if s.x0[i] >= s.x1[j]+g || s.x0[j] >= s.x1[i]+g || s.y0[i] >= s.y1[j]+g || s.y0[j] >= s.y1[i]+g {
		return 0
	}
	return s.link(s.at.pose[i], s.at.pose[j]).depth(s.at.x[j]-s.at.x[i], s.at.y[j]-s.at.y[i], g)
}

// cost is the weighted overlap that item i would have at a place; looking stops
// when it exceeds limit.
func (s *search) cost(i, pose int, x, y, limit float64) float64 {
	b := &s.m.poses[pose].box
	g := s.m.margin
	x0, y0, x1, y1 := x+b.Min.X-g, y+b.Min.Y-g, x+b.Max.X+g, y+b.Max.Y+g
	links := s.links[pose*len(s.m.poses) : (pose+1)*len(s.m.poses)]
	w := s.weight[i*s.all : (i+1)*s.all]
	var sum float64
	s.work += int64(s.all) + 60
	for j := range w {
		if s.x0[j] >= x1 || x0 >= s.x1[j] || s.y0[j] >= y1 || y0 >= s.y1[j] || j == i {
			continue
		}
		l := links[s.at.pose[j]]
		if l == nil {
			l = s.link(pose, s.at.pose[j])
		}
		s.work += 12
		if d := l.depth(s.at.x[j]-x, s.at.y[j]-y, g); d > 0 {
			if sum += float64(w[j] * d); sum >= limit {
				return sum
			}
		}
	}
	return sum
}

// overlap is the sum of all depths.
func (s *search) overlap() float64 {
	var sum float64
	for i := range s.n {
		for j := i + 1; j < s.all; j++ {
			sum += s.deep[i*s.all+j]
		}
	}
	return sum
}

// weighted is item i's weighted overlap.
func (s *search) weighted(i int) float64 {
	var sum float64
	for j := range s.all {
		if d := s.deep[i*s.all+j]; d > 0 {
			sum += float64(d * s.weight[i*s.all+j])
		}
	}
	return sum
}

// deepest is the deepest overlap of all.
func (s *search) deepest() float64 {
	var d float64
	for i := range s.n {
		for j := i + 1; j < s.all; j++ {
			d = max(d, s.deep[i*s.all+j])
		}
	}
	return d
}

// fitSlack is how much, in mm, a shape may be wider than its bin.
const fitSlack = 1e-9

// room is where the origin of a pose may lie in a bin; false when it does not fit.
func (s *search) room(pose, bin int) (x0, y0, x1, y1 float64, ok bool) {
	b, c := &s.m.poses[pose].box, &s.bins[bin].box
	x0, y0 = c.Min.X-b.Min.X, c.Min.Y-b.Min.Y
	x1, y1 = c.Max.X-b.Max.X, c.Max.Y-b.Max.Y
	// A shape as wide as the bin fits, whatever rounding says.
	if x1 < x0 && x1 > x0-fitSlack {
		x1 = x0
	}
	if y1 < y0 && y1 > y0-fitSlack {
		y1 = y0
	}
	return x0, y0, x1, y1, x1 >= x0 && y1 >= y0
}

func clamp(x, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, x)) }
