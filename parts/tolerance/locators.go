package tolerance

import (
	"maps"
	"slices"

	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/solid"
)

// place is a point of a blank, whatever copy it is on.
type place struct{ blank, point int }

// pair is two copies that fasteners hold together, the lower first.
type pair [2]int

// class is fasteners that are made alike or not at all: their inner sheets' holes are
// holes of the same blanks.
type class struct {
	joins  []int   // of the assembly
	places []place // of their inner sheets
	cost   float64 // mm: how far, on average, each lies from the middle of its pair's fasteners
}

// locators picks, in the order of the joins, for each two parts that no hole holds yet the
// class of fasteners that lies nearest to the middle of what joins them, so that no two
// parts have more than one. What is alike is decided once.
type locators struct {
	a       *panel.Assembly
	index   []map[string]int // by blank: points by name
	pairs   []pair           // in the order of the joins
	of      map[pair][]int   // joins of a pair, those that may locate
	held    map[pair]bool    // a hole in both parts is there already
	classes []class
	byJoin  map[int]int // class of a join
}

func newLocators(a *panel.Assembly) *locators {
	l := &locators{a: a, index: indexed(a), of: map[pair][]int{}, held: map[pair]bool{}, byJoin: map[int]int{}}
	for i := range a.Joins {
		l.add(i)
	}
	l.classify()
	return l
}

// place finds a member's point; false where its blank has none of that name.
func (l *locators) place(m panel.JoinMember) (place, bool) {
	b := l.a.Copies[m.Copy].Blank
	k, ok := l.index[b][m.Point]
	return place{b, k}, ok
}

func (l *locators) at(p place) *panel.Point { return &l.a.Blanks[p.blank].Flat.Points[p.point] }

// pairsOf are the pairs of parts that a fastener holds.
func (l *locators) pairsOf(join int) []pair {
	m := l.a.Joins[join].Members
	var out []pair
	for i := range m {
		for k := range i {
			if a, b := min(m[i].Copy, m[k].Copy), max(m[i].Copy, m[k].Copy); a != b {
				out = append(out, pair{a, b})
			}
		}
	}
	return out
}

// add takes a fastener into the pairs that it holds.
func (l *locators) add(i int) {
	j := &l.a.Joins[i]
	drilled := 0
	for _, m := range j.Members {
		p, ok := l.place(m)
		switch {
		case !ok || l.at(p).Marked():
			return
		case l.at(p).Made() == panel.InPlace:
			drilled++
		}
	}
	whole := drilled == 0
	may := !whole && drilled == len(j.Members)-1 && j.Located == shop.LocatedHoles && (j.Matched == shop.MatchedAuto || j.Matched == shop.MatchedLocate)
	for _, p := range l.pairsOf(i) {
		if whole {
			l.held[p] = true
		}
		if !may {
			continue
		}
		if l.of[p] == nil {
			l.pairs = append(l.pairs, p)
		}
		l.of[p] = append(l.of[p], i)
	}
}

// classify puts the fasteners whose inner sheets' holes are the same ones of a blank
// together, and works out how far each class lies from the middles of its pairs.
func (l *locators) classify() {
	owner := map[place]int{}
	middle := map[pair]solid.Vec{}
	for _, p := range l.pairs {
		for _, i := range l.of[p] {
			middle[p] = middle[p].Add(l.a.Joins[i].At.Scale(1 / float64(len(l.of[p]))))
		}
	}
	for _, p := range l.pairs {
		for _, i := range l.of[p] {
			if _, known := l.byJoin[i]; !known {
				l.put(i, owner)
			}
		}
	}
	for c := range l.classes {
		k := &l.classes[c]
		slices.Sort(k.joins)
		n := 0
		for _, i := range k.joins {
			for _, p := range l.pairsOf(i) {
				k.cost += l.a.Joins[i].At.Sub(middle[p]).Len()
				n++
			}
		}
		k.cost /= float64(max(n, 1))
	}
}

// put adds a fastener to the class of one of its places, which merges those of all.
func (l *locators) put(i int, owner map[place]int) {
	into := -1
	var mine []place
	for _, m := range l.a.Joins[i].Members {
		p, _ := l.place(m)
		if l.at(p).Made() != panel.InPlace {
			continue
		}
		mine = append(mine, p)
		c, ok := owner[p]
		switch {
		case !ok || c == into:
		case into < 0:
			into = c
		default:
			l.merge(c, into, owner)
		}
	}
	if into < 0 {
		into = len(l.classes)
		l.classes = append(l.classes, class{})
	}
	k := &l.classes[into]
	k.joins = append(k.joins, i)
	l.byJoin[i] = into
	for _, p := range mine {
		if _, ok := owner[p]; !ok {
			k.places = append(k.places, p)
		}
		owner[p] = into
	}
}

func (l *locators) merge(from, into int, owner map[place]int) {
	f, t := &l.classes[from], &l.classes[into]
	for _, i := range f.joins {
		l.byJoin[i] = into
	}
	for _, p := range f.places {
		owner[p] = into
	}
	t.joins, t.places = append(t.joins, f.joins...), append(t.places, f.places...)
	f.joins, f.places = nil, nil
}

// nearer is how much nearer, in mm, a class must lie to come before one of an earlier join.
const nearer = 1e-6

// locatedBy are the pairs that have a hole in both parts with those classes made.
func (l *locators) locatedBy(chosen []int) map[pair]bool {
	located := maps.Clone(l.held)
	for _, c := range chosen {
		for _, i := range l.classes[c].joins {
			for _, p := range l.pairsOf(i) {
				located[p] = true
			}
		}
	}
	return located
}

// choose are the classes that locate, beside those that do, in the order in which they were
// picked.
func (l *locators) choose(beside []int) []int {
	out := slices.Clone(beside)
	located := l.locatedBy(beside)
	for _, p := range l.pairs {
		best := -1
		for _, i := range l.of[p] {
			c := l.byJoin[i]
			if located[p] || c == best || !l.single(c, located) {
				continue
			}
			if best < 0 || l.classes[c].cost < l.classes[best].cost-nearer {
				best = c
			}
		}
		if best < 0 {
			continue
		}
		out = append(out, best)
		for _, i := range l.classes[best].joins {
			for _, q := range l.pairsOf(i) {
				located[q] = true
			}
		}
	}
	return out
}

// single tells whether a class has no more than one fastener of each pair, and none of a
// pair that is located already.
func (l *locators) single(c int, located map[pair]bool) bool {
	had := map[pair]bool{}
	for _, i := range l.classes[c].joins {
		for _, p := range l.pairsOf(i) {
			if had[p] || located[p] {
				return false
			}
			had[p] = true
		}
	}
	return true
}

// make makes the inner holes of a class in the flat: cut where the cutter leaves them
// round, else marked and drilled.
func (l *locators) make(c int, s *shop.Shop) {
	for _, at := range l.classes[c].places {
		p := l.at(at)
		p.When, p.Bare = panel.Locate, false
		p.Kind = inFlat(p, l.a.Blanks[at.blank].Flat.Panel.Stock.Thickness, s)
	}
}

// inFlat is how a hole is made in the flat of a sheet of thickness t.
func inFlat(p *panel.Point, t float64, s *shop.Shop) panel.PointKind {
	if p.Diameter >= s.Cutter.RoundHole(t) {
		return panel.Hole
	}
	return panel.Drill
}
