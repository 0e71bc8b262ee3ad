package tolerance

import (
	"math"
	"slices"

	"perch/parts/join"
	"perch/parts/panel"
	"perch/parts/shop"
)

// Decide makes locating holes in the flat of inner sheets, at most one of each two parts
// and the same one of all that are alike: where a join says locate always, where it says
// auto as far as a hand can pin them. Of bolts that say auto, and have room enough for all
// their holes to be made in the flat, it returns the joins, and changes nothing: whoever
// asked begins again with those. Points of the blanks' flats are changed, no others. The
// error says why forces are not known; no hole locates then.
func (m *Misfits) Decide() (whole []string, err error) {
	l := newLocators(m.a)
	if len(l.pairs) == 0 {
		return nil, nil
	}
	g, err := m.settled()
	if err != nil {
		return nil, err
	}
	d := &decision{locators: l, g: g, s: m.s}
	if whole = d.roomy(); len(whole) > 0 {
		return whole, nil
	}
	for _, c := range d.pinned() {
		l.make(c, m.s)
	}
	m.pins = d.last
	return nil, nil
}

type decision struct {
	*locators
	g    *ground
	s    *shop.Shop
	last *pins // those of the classes that were chosen
}

// made are the rows whose holes are made in the flat on both sides already.
func (g *ground) made() []int {
	var out []int
	for i := 0; i < len(g.rows); i += 2 {
		st := &g.m.stacks[g.rows[i].join]
		if st.sheets[0].point.Made() != panel.InPlace && st.sheets[g.rows[i].k].point.Made() != panel.InPlace {
			out = append(out, i, i+1)
		}
	}
	return out
}

// roomy are the joins of bolts that go in with all holes made in the flat, in 95 of 100
// builds: that which misses most is left out until the rest does.
func (d *decision) roomy() []string {
	var names []string
	for _, j := range d.a.Joins {
		if j.Kind == join.Bolt && j.Matched == shop.MatchedAuto && !slices.Contains(names, j.Join) {
			names = append(names, j.Join)
		}
	}
	drilled := func(j *panel.JoinPoint) bool {
		return slices.ContainsFunc(j.Members, func(m panel.JoinMember) bool {
			p, ok := d.place(m)
			return ok && d.at(p).Made() == panel.InPlace
		})
	}
	for len(names) > 0 {
		rows := d.g.made()
		misses := map[string]float64{}
		for i := 0; i < len(d.g.rows); i += 2 {
			if j := &d.a.Joins[d.g.rows[i].join]; slices.Contains(names, j.Join) && !slices.Contains(rows, i) {
				rows = append(rows, i, i+1)
			}
		}
		p, ok := d.g.pin(rows)
		sum, worst := 0.0, 0
		for _, i := range rows {
			r := d.g.rows[i]
			if j := &d.a.Joins[r.join]; ok && r.way == 0 && slices.Contains(names, j.Join) {
				v := p.off(i).misses(d.g.m.room(r))
				misses[j.Join] += v
				sum += v
			}
		}
		if ok && sum <= 1-share {
			return slices.DeleteFunc(names, func(n string) bool {
				return !slices.ContainsFunc(d.a.Joins, func(j panel.JoinPoint) bool { return j.Join == n && drilled(&j) })
			})
		}
		for i, n := range names {
			if misses[n] > misses[names[worst]] {
				worst = i
			}
		}
		names = slices.Delete(names, worst, worst+1)
	}
	return nil
}

// pinned are the classes that locate: the ones nearest to the middles; of these, while some
// force passes a hand's, those that need at least half of the largest are left out; then
// others, for pairs that have none, as far as all forces stay below a hand's.
func (d *decision) pinned() []int {
	chosen := d.choose(nil)
	offs, p := d.offs(chosen)
	for !d.byHand(offs) {
		forces, least := map[int]float64{}, d.s.Tolerance.Hand
		for _, o := range offs {
			f := math.Inf(1) // of pins that can't be told apart
			if o.told {
				f = float64(o.within() * d.s.Tolerance.Pin)
			}
			forces[o.class] = max(forces[o.class], f)
			least = max(least, f/2)
		}
		before := len(chosen)
		chosen = slices.DeleteFunc(chosen, func(c int) bool { return forces[c] > least })
		if len(chosen) == before {
			break
		}
		offs, p = d.offs(chosen)
	}
	d.last = p
	tries := 0
	for _, p := range d.pairs {
		tried := 0
		for _, c := range d.near(p) {
			if tried == mostTried || tries == mostTries || slices.Contains(chosen, c) || !d.single(c, d.locatedBy(chosen)) {
				continue
			}
			tried++
			tries++
			with := append(slices.Clone(chosen), c)
			if offs, p := d.offs(with); d.byHand(offs) {
				chosen, d.last = with, p
				break
			}
		}
	}
	return chosen
}

// mostTried is how many holes are tried for two parts that have no locating one, and
// mostTries for all.
const (
	mostTried = 3
	mostTries = 48
)

// near are the classes of a pair's fasteners, the nearest to the middle first.
func (d *decision) near(p pair) []int {
	var out []int
	for _, i := range d.of[p] {
		if c := d.byJoin[i]; !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b int) int {
		switch x, y := d.classes[a].cost, d.classes[b].cost; {
		case x < y-nearer:
			return -1
		case y < x-nearer:
			return 1
		}
		return 0
	})
	return out
}

// off is how a hole lies off that a hand has to pin, and whose class it is; not told of pins that
// can't be told apart.
type off struct {
	spread
	class int
	told  bool
}

// offs are those of the classes that a hand has to pin, with all pins in; no pins where they
// can't be told apart.
func (d *decision) offs(chosen []int) ([]off, *pins) {
	rows := d.g.made()
	of := map[int]int{}
	for _, c := range chosen {
		for _, i := range d.classes[c].joins {
			for k := 1; k < len(d.a.Joins[i].Members); k++ {
				r := d.g.at[[2]int{i, k}]
				rows = append(rows, r, r+1)
				of[r] = c
			}
		}
	}
	slices.Sort(rows)
	var out []off
	p, ok := d.g.pin(rows)
	if !ok {
		p = nil
	}
	for _, r := range rows {
		c, located := of[r]
		if !located || d.a.Joins[d.g.rows[r].join].Matched != shop.MatchedAuto {
			continue
		}
		o := off{class: c, told: ok}
		if ok {
			o.spread = p.off(r)
		}
		out = append(out, o)
	}
	return out, p
}

// byHand tells whether a hand pins all of them, in 95 of 100 builds.
func (d *decision) byHand(offs []off) bool {
	for _, o := range offs {
		if !o.told || !o.stays(d.s.Tolerance.Hand/d.s.Tolerance.Pin) {
			return false
		}
	}
	return true
}
