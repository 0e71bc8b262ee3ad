package search

import (
	"errors"
	"math"
	"slices"
	"testing"
)

// program is a nonlinear program: the least f with each of at most at or below zero and
// each of equal at zero, within a box. The search makes an objective of its own go as far
// as it can, so f is kept at or below a first variable, which is to be least.
type program struct {
	name    string
	f       func(x []float64) float64
	atMost  []func(x []float64) float64
	equal   []func(x []float64) float64
	lo, hi  []float64
	start   []float64
	low, up float64 // what f is looked for between
	least   float64
	at      []float64 // nil where the place is not told
}

// snapped is 0 for what counts as equal.
func snapped(v float64) float64 {
	if math.Abs(v) < 1e-9 {
		return 0
	}
	return v
}

func (p *program) problem() *Problem {
	out := &Problem{Variables: []Variable{{From: p.up, To: p.low, Min: p.low, Max: p.up}}, Budget: &Budget{Most: 1500}}
	for k := range p.lo {
		out.Variables = append(out.Variables, Variable{From: p.lo[k], To: p.hi[k], Min: p.lo[k], Max: p.hi[k]})
	}
	out.Residuals = append(out.Residuals, Inequality)
	for range p.atMost {
		out.Residuals = append(out.Residuals, Inequality)
	}
	for range p.equal {
		out.Residuals = append(out.Residuals, Equality)
	}
	out.Implicit = func([]float64, []int) ([]float64, bool) { return nil, true }
	out.Evaluate = func(x []float64) Verdict {
		v := Verdict{Load: math.NaN(), Residuals: []float64{snapped(p.f(x[1:]) - x[0])}}
		for _, g := range append(slices.Clone(p.atMost), p.equal...) {
			v.Residuals = append(v.Residuals, snapped(g(x[1:])))
		}
		return v
	}
	return out
}

func sq(x float64) float64 { return x * x }

// textbook are problems with known solutions. Those with a number are from W. Hock and
// K. Schittkowski, 'Test Examples for Nonlinear Programming Codes', 1981, from memory;
// each was worked out again: the multipliers at the solution balance.
var textbook = []program{
	{"1, Rosenbrock's valley", func(x []float64) float64 { return 100*sq(x[1]-sq(x[0])) + sq(1-x[0]) }, nil, nil,
		[]float64{-3, -1.5}, []float64{3, 3}, []float64{-2, 1}, -1, 1000, 0, []float64{1, 1}},
	{"6, an equation along a parabola", func(x []float64) float64 { return sq(1 - x[0]) }, nil,
		[]func(x []float64) float64{func(x []float64) float64 { return 10 * (x[1] - sq(x[0])) }},
		[]float64{-3, -3}, []float64{3, 3}, []float64{-1.2, 1}, -1, 20, 0, []float64{1, 1}},
	{"12, an ellipse", func(x []float64) float64 { return 0.5*sq(x[0]) + sq(x[1]) - x[0]*x[1] - 7*x[0] - 7*x[1] },
		[]func(x []float64) float64{func(x []float64) float64 { return 4*sq(x[0]) + sq(x[1]) - 25 }}, nil,
		[]float64{-10, -10}, []float64{10, 10}, []float64{0, 0}, -100, 100, -30, []float64{2, 3}},
	{"30, at the edge of a cylinder", func(x []float64) float64 { return sq(x[0]) + sq(x[1]) + sq(x[2]) },
		[]func(x []float64) float64{func(x []float64) float64 { return 1 - sq(x[0]) - sq(x[1]) }}, nil,
		[]float64{1, -10, -10}, []float64{10, 10, 10}, []float64{1, 1, 1}, 0, 300, 1, []float64{1, 0, 0}},
	{"35, Beale's", func(x []float64) float64 {
		return 9 - 8*x[0] - 6*x[1] - 4*x[2] + 2*sq(x[0]) + 2*sq(x[1]) + sq(x[2]) + 2*x[0]*x[1] + 2*x[0]*x[2]
	},
		[]func(x []float64) float64{func(x []float64) float64 { return x[0] + x[1] + 2*x[2] - 3 }}, nil,
		[]float64{0, 0, 0}, []float64{4, 4, 4}, []float64{0.5, 0.5, 0.5}, -10, 100, 1.0 / 9, []float64{4.0 / 3, 7.0 / 9, 4.0 / 9}},
	{"43, Rosen's and Suzuki's", func(x []float64) float64 {
		return sq(x[0]) + sq(x[1]) + 2*sq(x[2]) + sq(x[3]) - 5*x[0] - 5*x[1] - 21*x[2] + 7*x[3]
	}, []func(x []float64) float64{
		func(x []float64) float64 {
			return sq(x[0]) + sq(x[1]) + sq(x[2]) + sq(x[3]) + x[0] - x[1] + x[2] - x[3] - 8
		},
		func(x []float64) float64 { return sq(x[0]) + 2*sq(x[1]) + sq(x[2]) + 2*sq(x[3]) - x[0] - x[3] - 10 },
		func(x []float64) float64 { return 2*sq(x[0]) + sq(x[1]) + sq(x[2]) + 2*x[0] - x[1] - x[3] - 5 },
	}, nil, []float64{-5, -5, -5, -5}, []float64{5, 5, 5, 5}, []float64{0, 0, 0, 0}, -100, 200, -44, []float64{0, 1, 2, -1}},
	{"71, a product and a sphere", func(x []float64) float64 { return x[0]*x[3]*(x[0]+x[1]+x[2]) + x[2] },
		[]func(x []float64) float64{func(x []float64) float64 { return 25 - x[0]*x[1]*x[2]*x[3] }},
		[]func(x []float64) float64{func(x []float64) float64 { return sq(x[0]) + sq(x[1]) + sq(x[2]) + sq(x[3]) - 40 }},
		[]float64{1, 1, 1, 1}, []float64{5, 5, 5, 5}, []float64{1, 5, 5, 1}, 0, 400, 17.0140173, []float64{1, 4.7429994, 3.8211503, 1.3794082}},
}

// TestTextbook solves problems of a published collection.
func TestTextbook(t *testing.T) {
	for _, p := range textbook {
		q := p.problem()
		s := q.Farthest(append([]float64{p.up}, p.start...))
		if s.Best == nil {
			t.Errorf("%s: nothing found, nearest %+v", p.name, s.Nearest)
			continue
		}
		got := s.Confirmed
		if got == nil {
			got = s.Best.X
		}
		size := max(1, math.Abs(p.least))
		if !(math.Abs(got[0]-p.least) <= 1e-5*size) {
			t.Errorf("%s: the least is %v, it is %v", p.name, got[0], p.least)
		}
		for k, x := range p.at { // the least is flat, a valley even more so: a place is told half as well
			if !(math.Abs(got[k+1]-x) <= 5e-3*max(1, math.Abs(x))) {
				t.Errorf("%s: at %v, it is at %v", p.name, got[1:], p.at)
				break
			}
		}
		t.Logf("%s: %v at %v, %d evaluations", p.name, got[0], got[1:], q.Budget.Used)
	}
}

// TestActiveConstraints tells what holds a solution by the multipliers, which follow by
// hand from the gradients there.
func TestActiveConstraints(t *testing.T) {
	for name, want := range map[string][]int{
		"12, an ellipse":           {0, 1},
		"35, Beale's":              {0, 1},
		"43, Rosen's and Suzuki's": {0, 1, 3}, // of the second limit 1 is left
	} {
		i := slices.IndexFunc(textbook, func(p program) bool { return p.name == name })
		p := textbook[i]
		s := p.problem().Farthest(append([]float64{p.up}, p.start...))
		if s.Confirmed == nil {
			t.Errorf("%s: nothing is confirmed", name)
			continue
		}
		var got []int
		for _, r := range s.Stops() {
			if r.Kind == ByResidual && !slices.Contains(got, r.Index) {
				got = append(got, r.Index)
			}
		}
		slices.Sort(got)
		if !slices.Equal(got, want) {
			t.Errorf("%s: held by %v, by hand %v", name, got, want)
		}
	}
}

// plain is a problem in a box without implicit constraints.
func plain(evaluate func(x []float64) Verdict, kinds []Kind, vars ...Variable) *Problem {
	return &Problem{Variables: vars, Residuals: kinds, Evaluate: evaluate, Budget: &Budget{Most: 1500},
		Implicit: func([]float64, []int) ([]float64, bool) { return nil, true }}
}

func over(lo, hi float64) Variable { return Variable{From: lo, To: hi, Min: lo, Max: hi} }

// TestNearest tells how near one comes where nothing is feasible: x + y is 2 at most and
// 3 is asked for.
func TestNearest(t *testing.T) {
	p := plain(func(x []float64) Verdict {
		return Verdict{Load: math.NaN(), Residuals: []float64{snapped(3 - x[0] - x[1])}}
	},
		[]Kind{Inequality}, over(0, 1), over(0, 1))
	s := p.Feasible([]float64{0.2, 0.7})
	if s.Best != nil || s.Nearest == nil || math.Abs(s.Nearest.Violation-1) > 1e-9 {
		t.Errorf("%+v", s.Nearest)
	}
}

// TestShortfalls meets a limit that shows only beyond it: x + y ≤ 1.5.
func TestShortfalls(t *testing.T) {
	p := plain(func(x []float64) Verdict {
		v := Verdict{Load: math.NaN(), Residuals: []float64{snapped(0.25 - x[1])}}
		if by := x[0] + x[1] - 1.5; by > 1e-9 {
			v.Shortfalls = []Shortfall{{Of: "sum", By: by}}
		}
		return v
	}, []Kind{Inequality}, over(0, 2), over(0, 1))
	s := p.Farthest([]float64{0, 0.5})
	if s.Confirmed == nil || !(math.Abs(s.Confirmed[0]-1.25) <= 1e-4) {
		t.Fatalf("%v, by hand 1.25", s.Confirmed)
	}
	if !slices.ContainsFunc(s.Stops(), func(r Reason) bool { return r.Kind == ByShortfall && r.Of == "sum" }) {
		t.Error("the limit that holds it is not told")
	}
}

// TestHoles goes round points that can't be evaluated.
func TestHoles(t *testing.T) {
	hole := errors.New("no value")
	p := plain(func(x []float64) Verdict {
		v := Verdict{Load: math.NaN(), Residuals: []float64{snapped(x[0] - 0.9)}}
		if math.Hypot(x[0]-0.5, x[1]-0.5) < 0.2 {
			v.Err = hole
		}
		return v
	}, []Kind{Inequality}, over(0, 1), over(0, 1))
	if s := p.Farthest([]float64{0.5, 0.5}); s.Confirmed == nil || !(math.Abs(s.Confirmed[0]-0.9) < 1e-6) {
		t.Errorf("%v", s.Confirmed)
	}
	p.Evaluate = func([]float64) Verdict { return Verdict{Residuals: []float64{0}, Err: hole} }
	p.Budget = &Budget{Most: 1500}
	if s := p.Farthest([]float64{0.5, 0.5}); s.Best != nil || !math.IsInf(s.Nearest.Violation, 1) {
		t.Errorf("%+v", s)
	}
}

// TestCounted packs whole crates of x litres: 10 litres hold three of up to 10/3.
func TestCounted(t *testing.T) {
	var last float64
	p := plain(func(x []float64) Verdict {
		last = x[0]
		return Verdict{Load: 3 * x[0], Residuals: []float64{0}}
	}, []Kind{Counted}, over(1, 8))
	p.Count = func(int) bool { return math.Floor(10/last) >= 3 }
	s := p.Farthest([]float64{1})
	if s.Confirmed == nil || !(s.Confirmed[0] <= 10.0/3 && s.Confirmed[0] > 10.0/3-8.0/CountSteps) {
		t.Errorf("%v, by hand 10/3", s.Confirmed)
	}
}

// TestAlternatives finds a point on the far side of a choice: x ≤ 0.1 or x ≥ 0.9 and
// y ≤ 0.2 there.
func TestAlternatives(t *testing.T) {
	side := -1
	p := plain(func(x []float64) Verdict {
		a, b := x[0]-0.1, max(0.9-x[0], x[1]-0.2)
		r := min(a, b)
		switch side {
		case 0:
			r = a
		case 1:
			r = b
		}
		return Verdict{Load: math.NaN(), Residuals: []float64{snapped(r)}}
	}, []Kind{Inequality}, over(0, 1), over(0, 1))
	p.Alternatives = 1
	p.Choose = func(sides []int) {
		if side = -1; sides != nil {
			side = sides[0]
		}
	}
	s := p.Farthest([]float64{0.05, 0.9})
	if s.Confirmed == nil || s.Confirmed[0] != 1 || s.Confirmed[1] > 0.2 || side != -1 {
		t.Errorf("%v, side %d", s.Confirmed, side)
	}
}

// TestImplicit keeps to constraints that cost nothing: of x ≤ y ≤ 1 − x the farthest x is
// a half, in no more evaluations than it takes to confirm it.
func TestImplicit(t *testing.T) {
	p := plain(func(x []float64) Verdict { return Verdict{Load: math.NaN()} }, nil, over(0, 1), over(0, 1))
	p.Scale = []float64{0, 0}
	p.Implicit = func(x []float64, which []int) ([]float64, bool) {
		all := []float64{x[0] - x[1], x[1] + x[0] - 1}
		var out []float64
		for _, k := range which {
			out = append(out, all[k])
		}
		return out, true
	}
	s := p.Farthest([]float64{0.9, 0.9})
	if s.Confirmed == nil || !(math.Abs(s.Confirmed[0]-0.5) <= 1e-6) {
		t.Errorf("%v", s.Confirmed)
	}
	for _, r := range s.Stops() {
		if r.Kind != ByImplicit {
			t.Errorf("held by %+v", r)
		}
	}
}

// TestBudget ends where the budget does.
func TestBudget(t *testing.T) {
	p := textbook[5]
	q := p.problem()
	q.Budget.Most = 40
	q.Farthest(append([]float64{p.up}, p.start...))
	if q.Budget.Used > 40 {
		t.Errorf("%d evaluations of 40", q.Budget.Used)
	}
}

// TestZeros finds the four points where Himmelblau's function is zero (D. Himmelblau,
// 'Applied Nonlinear Programming', 1972, from memory): x² + y = 11 and x + y² = 7.
func TestZeros(t *testing.T) {
	found := Zeros(func(x []float64) (y, near []float64) {
		return []float64{sq(x[0]) + x[1] - 11, x[0] + sq(x[1]) - 7}, []float64{1e-9, 1e-9}
	}, []float64{-5, -5}, []float64{5, 5})
	for _, want := range [][]float64{{3, 2}, {-2.805118, 3.131312}, {-3.779310, -3.283186}, {3.584428, -1.848126}} {
		if !slices.ContainsFunc(found, func(x []float64) bool { return math.Hypot(x[0]-want[0], x[1]-want[1]) < 1e-5 }) {
			t.Errorf("%v is not found: %v", want, found)
		}
	}
	if flat := Zeros(func(x []float64) (y, near []float64) { return []float64{x[0], 1}, []float64{1e-9, 1e-9} }, []float64{-1, -1}, []float64{1, 1}); flat != nil {
		t.Errorf("one value of two moves, and %v is found", flat)
	}
}

// TestCrossings finds zeros, dips that touch zero, jumps past it and stretches of zeros.
func TestCrossings(t *testing.T) {
	at := func(f func(x float64) float64) func(x float64) (float64, float64) {
		return func(x float64) (float64, float64) { return f(x), 1e-9 }
	}
	for _, c := range []struct {
		name   string
		f      func(x float64) float64
		lo, hi float64
		want   []float64
		jumps  int
	}{
		{"the fixed point of the cosine", func(x float64) float64 { return math.Cos(x) - x }, 0, 3, []float64{0.7390851332151607}, 0},
		{"a double zero", func(x float64) float64 { return sq(x - 1) }, 0, 3, []float64{1}, 0},
		{"a jump", func(x float64) float64 { return math.Copysign(1, x-0.7) }, 0, 3, nil, 1},
		{"three zeros", func(x float64) float64 { return x * (x - 1) * (x + 2) }, -3, 3, []float64{-2, 0, 1}, 0},
		{"no value to the left", func(x float64) float64 { return math.Log(x) }, -1, 3, []float64{1}, 0},
	} {
		_, found := Crossings(at(c.f), c.lo, c.hi)
		var zeros []float64
		jumps := 0
		for _, x := range found {
			if x.Jump {
				jumps++
			} else {
				zeros = append(zeros, x.From.X)
			}
		}
		same := len(zeros) == len(c.want) && jumps == c.jumps
		for k := range c.want {
			same = same && math.Abs(zeros[k]-c.want[k]) < 1e-4
		}
		if !same {
			t.Errorf("%s: zeros %v, %d jumps, want %v, %d", c.name, zeros, jumps, c.want, c.jumps)
		}
	}
	_, found := Crossings(at(func(x float64) float64 { return max(0, math.Abs(x)-1) }), -3, 3)
	if len(found) != 1 || !(found[0].To.X-found[0].From.X > 1.7) {
		t.Errorf("a stretch of zeros: %+v", found)
	}
}

// TestLine narrows one range: to a limit, to whole numbers, and to a round value.
func TestLine(t *testing.T) {
	line := func(from, last, limit float64) Line {
		l := Line{From: from, Last: last, Step: 0.01, Budget: &Budget{Most: 100}}
		l.Try = func(v float64) *Attempt {
			l.Budget.Used++
			return &Attempt{At: v, Holds: last < from && v <= limit || last > from && v >= limit}
		}
		return l
	}
	for _, c := range []struct{ from, last, limit, want float64 }{{9, 0, math.Pi, 3.14}, {0, 9, math.Pi, 3.15}, {9, 0, 5, 5}} {
		l := line(c.from, c.last, c.limit)
		in, out := l.Farthest(l.Try(c.from))
		if in == nil || math.Abs(in.At-c.want) > 1e-12 || out.Holds || l.Budget.Used > 60 {
			t.Errorf("%+v: %+v, %+v in %d", c, in, out, l.Budget.Used)
		}
	}
	l := line(9, 0, 4.5)
	l.Whole = true
	if in, out := l.Farthest(l.Try(9)); in.At != 4 || out.At != 5 {
		t.Errorf("%+v, %+v", in, out)
	}
	l = line(9, 0, -1)
	if in, _ := l.Farthest(l.Try(9)); in != nil {
		t.Errorf("%+v, and nothing holds", in)
	}
}

// TestSpread holds starts to cover a square: no two of 64 are nearer than a tenth of what
// a grid's would be, and each of 16 squares has some.
func TestSpread(t *testing.T) {
	var seen [][]float64
	boxes := map[[2]int]int{}
	for k := 1; k <= 64; k++ {
		at := spread(k, 2)
		for _, o := range seen {
			if math.Hypot(at[0]-o[0], at[1]-o[1]) < 0.1/8 {
				t.Errorf("%v and %v", at, o)
			}
		}
		seen = append(seen, at)
		boxes[[2]int{int(4 * at[0]), int(4 * at[1])}]++
	}
	if len(boxes) != 16 {
		t.Errorf("%d squares of 16", len(boxes))
	}
}
