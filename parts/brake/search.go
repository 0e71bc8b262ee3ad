package brake

import (
	"math"
	"math/bits"
	"slices"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
)

const (
	// maxStates bounds the sets of folds that a search looks at.
	maxStates = 1 << 15
	// maxLooks bounds the bodies and pairs of them that a search looks at.
	maxLooks = 3_000_000
)

// Find plans the bends of a blank on the shop's brake: of the plans that work the best, and
// why each step is done when it is. A flat without folds has a plan without steps; nil is for no
// flat. names may be nil.
func Find(flat *panel.Flat, s *shop.Shop, names Names) *Plan {
	first := First(flat, s, names)
	if first == nil || first.finder == nil {
		return first
	}
	best, moves := first.best()
	for n := range best.Steps {
		best.Steps[n].Why = first.finder.why(moves, n)
	}
	return best
}

// Best goes on from a plan that First found to the best; of any other it is the plan itself.
// Its steps do not say why.
func (p *Plan) Best() *Plan {
	if p == nil || p.finder == nil {
		return p
	}
	best, _ := p.best()
	return best
}

func (p *Plan) best() (*Plan, []move) {
	best := *p
	moves, proved := p.finder.best()
	best.Steps, best.Unproved, best.finder = p.finder.steps(moves), !proved, nil
	return &best, moves
}

// First is a plan that works, or why there is none: for who asks no more than whether it can be bent.
func First(flat *panel.Flat, s *shop.Shop, names Names) *Plan {
	if flat == nil || flat.Panel == nil || s == nil {
		return nil
	}
	if names == nil {
		names = own{flat}
	}
	p := newPart(flat, s, names)
	out := &Plan{Flat: flat, names: names, press: s.Brake.Kind == shop.BrakeVDie}
	if len(p.ops) > maxOps {
		out.Refused = tooMany(len(flat.Folds))
		return out
	}
	f := newFinder(p)
	found := f.look(0)
	out.States = len(f.dead) + len(f.alive)
	if !found {
		f.refuse(out)
		return out
	}
	out.Steps, out.finder = f.steps(f.found()), f
	return out
}

// finder looks for a plan over the sets of operations done.
type finder struct {
	p       *part
	holds   []*hold
	all     uint64
	trials  []map[uint64]trial // by hold
	images  []image            // the part's symmetries
	gone    [][]uint64         // by hold: operations that, all done, leave it no way
	dead    map[uint64]bool    // nothing leads on from there to the end
	alive   map[uint64]bool
	bound   bool
	deepest uint64
	path    []move // to deepest
	now     []move

	lies   []lie   // by hold
	shares []share // of the operations, what waits least first
}

// move is a hold done on a contour.
type move struct {
	hold int
	from uint64
}

func newFinder(p *part) *finder {
	f := &finder{p: p, dead: map[uint64]bool{}, alive: map[uint64]bool{}, all: 1<<len(p.ops) - 1}
	for _, group := range p.strokes() {
		for _, sides := range p.sides(group) {
			for _, punch := range p.punches(group) {
				f.holds = append(f.holds, newHold(p, group, sides, punch))
			}
		}
	}
	f.trials = make([]map[uint64]trial, len(f.holds))
	f.gone = make([][]uint64, len(f.holds))
	for i, h := range f.holds {
		f.trials[i] = map[uint64]trial{}
		if !h.static.ok {
			f.gone[i] = []uint64{0}
		}
	}
	f.images = f.symmetries()
	f.weigh()
	return f
}

// punches are those that a stroke may be done with: a shop that has a gooseneck has a straight one too, which
// is stiffer, and closes bends farther. A leaf brake has none, and a hem is closed by flat tools.
func (p *part) punches(stroke []int) []string {
	switch {
	case p.brake.Kind != shop.BrakeVDie:
		return []string{""}
	case p.brake.Punch == shop.PunchGooseneck && p.ops[stroke[0]].kind != Flatten:
		return []string{shop.PunchStraight, shop.PunchGooseneck}
	}
	return []string{shop.PunchStraight}
}

// can tells whether the stroke may be tried on a contour at all.
func (f *finder) can(h *hold, done uint64) bool {
	if h.ops&done != 0 {
		return false
	}
	for _, o := range h.list {
		if n := f.p.ops[o].needs; n >= 0 && done&(1<<n) == 0 {
			return false
		}
	}
	return true
}

// try is a hold's trial on a contour, once for all that are alike by the part's symmetries.
func (f *finder) try(hold int, done uint64) trial {
	t, ok := f.trials[hold][done]
	if ok {
		return t
	}
	like, first, at := f.first(hold, done)
	if t, ok = f.trials[first][at]; !ok {
		t = f.holds[first].try(at)
		f.keep(first, at, t)
	}
	if like != nil {
		t = like.back(f, t, hold)
		f.keep(hold, done, t)
	}
	return t
}

// keep notes a trial.
func (f *finder) keep(hold int, done uint64, t trial) {
	f.trials[hold][done] = t
	if !t.ok && t.by&^done == 0 && !slices.Contains(f.gone[hold], t.by) {
		f.gone[hold] = append(f.gone[hold], t.by)
	}
}

// stuck tells whether a hold is known to have no way any more, whatever is bent besides.
func (f *finder) stuck(hold int, done uint64) bool {
	return slices.ContainsFunc(f.gone[hold], func(by uint64) bool { return by&^done == 0 })
}

// within is what may still come to be done, as far as is known.
func (f *finder) within(done uint64) uint64 {
	can := done
	for i, h := range f.holds {
		if h.ops&done == 0 && !f.stuck(i, done) {
			can |= h.ops
		}
	}
	for o := range f.p.ops {
		if n := f.p.ops[o].needs; n >= 0 && can&(1<<n) == 0 {
			can &^= 1 << o
		}
	}
	return can
}

// look tells whether the folds that are left can be bent in some order, depth first. Where they
// can't, it goes on only as long as more could come to be done than was yet.
func (f *finder) look(done uint64) bool {
	if done == f.all {
		f.alive[done] = true
		return true
	}
	if f.dead[done] {
		return false
	}
	if bits.OnesCount64(done) > bits.OnesCount64(f.deepest) || f.path == nil {
		f.deepest, f.path = done, slices.Clone(f.now)
	}
	if len(f.dead)+len(f.now) > maxStates || f.p.looked > maxLooks {
		f.bound = true
		return false
	}
	for _, i := range f.ordered(done) {
		if can := f.within(done); can != f.all && bits.OnesCount64(can) <= bits.OnesCount64(f.deepest) {
			break
		}
		if f.stuck(i, done) || !f.try(i, done).ok {
			continue
		}
		f.now = append(f.now, move{i, done})
		found := f.look(done | f.holds[i].ops)
		f.now = f.now[:len(f.now)-1]
		if found {
			f.alive[done] = true
			return true
		}
		if f.bound {
			return false
		}
	}
	f.dead[done] = true
	return false
}

// ordered are the holds that may be tried, strokes of several folds first, then short flanges first.
func (f *finder) ordered(done uint64) []int {
	var out []int
	for i, h := range f.holds {
		if f.can(h, done) {
			out = append(out, i)
		}
	}
	slices.SortStableFunc(out, func(a, b int) int {
		g, h := f.holds[a], f.holds[b]
		if d := len(h.list) - len(g.list); d != 0 {
			return d
		}
		if g.flange != h.flange {
			if g.flange < h.flange {
				return -1
			}
			return 1
		}
		return 0
	})
	return out
}

// strokes are the operations that may be done at once: each alone, and those on one line,
// alike, that share a face.
func (p *part) strokes() [][]int {
	var out [][]int
	taken := map[int]bool{}
	for i := range p.ops {
		out = append(out, []int{i})
	}
	for i := range p.ops {
		for _, shared := range [2]int{p.flat.Folds[p.ops[i].fold].A, p.flat.Folds[p.ops[i].fold].B} {
			group := []int{i}
			for j := i + 1; j < len(p.ops); j++ {
				if p.alike(i, j, shared) {
					group = append(group, j)
				}
			}
			if len(group) < 2 || taken[i] {
				continue
			}
			out = append(out, subsets(group)...)
			for _, j := range group {
				taken[j] = true
			}
		}
	}
	return out
}

// subsets are the sets of two and more of a group: all of a small one, else the whole and its neighbours.
func subsets(group []int) [][]int {
	const small = 4
	if len(group) > small {
		return [][]int{group}
	}
	var out [][]int
	for set := range 1 << len(group) {
		if bits.OnesCount(uint(set)) < 2 {
			continue
		}
		var s []int
		for k, o := range group {
			if set&(1<<k) != 0 {
				s = append(s, o)
			}
		}
		out = append(out, s)
	}
	return out
}

// alike tells whether two operations can be one stroke: the same bend on one line of a shared face.
func (p *part) alike(i, j, shared int) bool {
	a, b := &p.ops[i], &p.ops[j]
	f, g := &p.flat.Folds[a.fold], &p.flat.Folds[b.fold]
	if a.kind != b.kind || a.kind == Flatten || f.Down != g.Down || math.Abs(a.to-b.to) > 1e-6 ||
		math.Abs(f.Bend.Radius-g.Bend.Radius) > 1e-6 {
		return false
	}
	line, other := f.TangentA, g.TangentA
	if f.B == shared {
		line = f.TangentB
	}
	if g.B == shared {
		other = g.TangentB
	} else if g.A != shared {
		return false
	}
	e := line[1].Sub(line[0]).Unit()
	for _, p := range other {
		if math.Abs(e.Cross(p.Sub(line[0]))) > 1e-3 {
			return false
		}
	}
	into := func(x *panel.FlatFold) plane.Point {
		v := x.To.Sub(x.From).Unit().Perp()
		if x.B == shared {
			return v.Neg()
		}
		return v
	}
	return into(f).Dot(into(g)) > 0
}

// sides are the ways to clamp a stroke: by fold whether its A is held.
func (p *part) sides(group []int) [][]bool {
	if len(group) == 1 {
		return [][]bool{{true}, {false}}
	}
	shared := p.shared(group)
	by := make([]bool, len(group))
	not := make([]bool, len(group))
	for i, o := range group {
		by[i] = p.flat.Folds[p.ops[o].fold].A == shared
		not[i] = !by[i]
	}
	return [][]bool{by, not}
}

// shared is the face that all folds of a stroke lie on.
func (p *part) shared(group []int) int {
	f, g := &p.flat.Folds[p.ops[group[0]].fold], &p.flat.Folds[p.ops[group[1]].fold]
	if f.A == g.A || f.A == g.B {
		return f.A
	}
	return f.B
}
