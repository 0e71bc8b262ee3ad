package solver

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"
)

// dice gives the same numbers on every machine.
type dice uint64

func (d *dice) below(n int) int {
	*d ^= *d << 13
	*d ^= *d >> 7
	*d ^= *d << 17
	return int(uint64(*d>>20) % uint64(n))
}
func (d *dice) between(lo, hi float64) float64 { return lo + float64(d.below(1000))/999*(hi-lo) }

// sketch is a design that holds: stated names and rules that derive others, each
// name in a range around its value, as a maker would give it.
type sketch struct {
	value []float64
	rules []Constraint
	gives []Var // by rule: the name it derives, -1 for statements and checks
}

// newSketch makes a design of n rules besides its statements. Rules are sums,
// products, quotients, distances and, now and then, two for a sum and product of
// two names at once; every eighth name is checked by an inequality too.
func newSketch(d *dice, n int) *sketch {
	s := &sketch{}
	add := func(c Constraint, gives Var) {
		c.Label = fmt.Sprint(len(s.rules))
		s.rules = append(s.rules, c)
		s.gives = append(s.gives, gives)
	}
	for i := range 2 + n/4 {
		s.value = append(s.value, math.Round(d.between(10, 100)))
		add(Constraint{Left: Var(i).Expr(), Right: Const(s.value[i]), Strength: Stated}, -1)
	}
	for made := 0; made < n; made++ {
		x, y := Var(d.below(len(s.value))), Var(d.below(len(s.value)))
		a, b := s.value[x], s.value[y]
		v := Var(len(s.value))
		switch d.below(6) {
		case 0, 1:
			s.value = append(s.value, 0.5*a+0.25*b)
			add(Constraint{Left: v.Expr(), Right: Sum(Product(Const(0.5), x.Expr()), Product(Const(0.25), y.Expr()))}, v)
		case 2:
			s.value = append(s.value, a*b/50)
			add(Constraint{Left: Product(Const(50), v.Expr()), Right: Product(x.Expr(), y.Expr())}, v)
		case 3:
			s.value = append(s.value, 40*a/b)
			add(Constraint{Left: v.Expr(), Right: Quotient(Product(Const(40), x.Expr()), y.Expr())}, v)
		case 4:
			s.value = append(s.value, math.Sqrt(a*a+b*b))
			add(Constraint{Left: Product(v.Expr(), v.Expr()), Right: Sum(Product(x.Expr(), x.Expr()), Product(y.Expr(), y.Expr()))}, v)
		case 5: // w + v = x, w - v = 0.4 x
			w := v + 1
			s.value = append(s.value, 0.3*a, 0.7*a)
			add(Constraint{Left: Sum(w.Expr(), v.Expr()), Right: x.Expr()}, v)
			add(Constraint{Left: Difference(w.Expr(), v.Expr()), Right: Product(Const(0.4), x.Expr())}, w)
			made++
		}
		if made%8 == 7 {
			add(Constraint{Left: v.Expr(), Rel: LE, Right: Const(1.5 * s.value[v])}, -1)
		}
	}
	return s
}

func (s *sketch) system() *System {
	sys := New()
	for i, v := range s.value {
		sys.Var(fmt.Sprint("n", i), 0.5*v, 1.8*v, false)
	}
	for _, c := range s.rules {
		sys.Add(c)
	}
	return sys
}

// derivation is a rule that derives a name.
func (s *sketch) derivation(d *dice) int {
	for {
		if i := d.below(len(s.rules)); s.gives[i] >= 0 {
			return i
		}
	}
}

// scaledNumber replaces the k-th number of an expression by itself times f.
func scaledNumber(x Expr, k *int, f float64) Expr {
	return x.Substitute(func(x Expr) Expr {
		c, ok := x.Number()
		if !ok {
			return x
		}
		if *k--; *k == -1 {
			return Const(c * f)
		}
		return x
	})
}

// Two hundred designs, each broken in one place: what is reported holds the place,
// and little else.
func TestBrokenDesigns(t *testing.T) {
	d := dice(20260117)
	seen := map[string]int{}
	missed, wide, total := 0, 0, 0
	for total < 200 {
		s := newSketch(&d, 10+d.below(51))
		if total%20 == 0 {
			if r := s.system().Solve(); r.Status != Unique {
				t.Fatalf("the whole design is not solved: %v %v", r.Status, r.Conflict)
			}
		}
		kind := []string{"dropped", "duplicated", "contradicted", "typo"}[total%4]
		i := s.derivation(&d)
		var r Result
		fault := ID(i)
		switch kind {
		case "dropped":
			s.rules[i] = Constraint{Left: Const(0), Right: Const(0)}
			r = s.system().Solve()
		case "duplicated": // written where another rule should be
			k := s.derivation(&d)
			if k == i {
				continue
			}
			s.rules[i] = s.rules[k]
			r = s.system().Solve()
		case "contradicted":
			c := s.rules[i]
			c.Right = Product(c.Right, Const(1.25))
			s.rules = append(s.rules, c)
			s.gives = append(s.gives, -1)
			fault = ID(len(s.rules) - 1)
			r = s.system().Solve()
		case "typo": // a figure more or less, in a rule or a statement
			for s.rules[i].Rel != EQ || d.below(2) == 0 {
				i = d.below(len(s.rules))
			}
			fault = ID(i)
			k := 0
			c := &s.rules[i]
			f := []float64{10, 0.1}[d.below(2)]
			before := *c
			*c = Constraint{Left: scaledNumber(c.Left, &k, f), Right: scaledNumber(c.Right, &k, f), Strength: c.Strength}
			if k >= 0 {
				*c = before
				continue // no number in it
			}
			r = s.system().Solve()
			if r.Status == Unique {
				continue // a mistake that no rule can tell
			}
		}
		total++
		seen[kind]++
		hit, others := false, 0
		switch r.Status {
		case None:
			for _, id := range r.Conflict {
				hit = hit || id == fault
			}
			others = len(r.Conflict) - 1
		case Undetermined:
			for _, set := range r.FreeSets {
				others = max(others, len(set)-1)
				for _, v := range set {
					hit = hit || v == s.gives[i]
				}
			}
		}
		if !hit {
			missed++
			t.Logf("%s: %d is not in %v %v (status %v)", kind, fault, r.Conflict, r.FreeSets, r.Status)
		}
		if others > 3 {
			wide++
			t.Logf("%s: %d others in %v", kind, others, r.Conflict)
		}
	}
	t.Logf("%v: missed %d, wide %d of %d", seen, missed, wide, total)
	if missed > 0 || wide > total/20 {
		t.Errorf("%d missed, %d wide", missed, wide)
	}
}

// A conflict in a large design is as small, and soon found.
func TestConflictInALargeDesign(t *testing.T) {
	d := dice(99)
	s := newSketch(&d, 3000)
	i := s.derivation(&d)
	c := s.rules[i]
	c.Right = Product(c.Right, Const(1.25))
	s.rules = append(s.rules, c)
	start := time.Now()
	r := s.system().Solve()
	t.Logf("%d rules: conflict of %d in %v", len(s.rules), len(r.Conflict), time.Since(start))
	has := func(id int) bool { return slices.Contains(r.Conflict, ID(id)) }
	if r.Status != None || len(r.Conflict) > 4 || !has(i) || !has(len(s.rules)-1) {
		t.Errorf("status %d, %v, want %d and %d in it", r.Status, r.Conflict, i, len(s.rules)-1)
	}
}
