package joining

import (
	"math"
	"slices"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/solver/elementary"
)

// bench holds what the tools are compared with.
type bench struct {
	a      *panel.Assembly
	shop   *shop.Shop
	metals []Metal
	places *plane.Places            // of the metals, seen from above
	points []map[string]panel.Point // by blank
	work   int                      // corners of metal that may still be compared
}

// mostWork is how much is compared, in corners of metal and in fasteners looked at while
// the order is sought: some seconds of work.
const mostWork = 40_000_000

func newBench(a *panel.Assembly, s *shop.Shop, work int) *bench {
	b := &bench{a: a, shop: s, metals: metals(a), points: make([]map[string]panel.Point, len(a.Blanks)), work: work}
	above := make([]plane.Box, len(b.metals))
	for i := range b.metals {
		above[i] = b.metals[i].box.above()
	}
	b.places = plane.NewPlaces(above)
	for i, blank := range a.Blanks {
		b.points[i] = make(map[string]panel.Point, len(blank.Flat.Points))
		for _, p := range slices.Backward(blank.Flat.Points) { // of two of one name the first
			b.points[i][p.Name] = p
		}
	}
	return b
}

// point is what a fastener makes on one of its members.
func (b *bench) point(m panel.JoinMember) panel.Point {
	return b.points[b.a.Copies[m.Copy].Blank][m.Point]
}

// way is one way to reach a fastener: the rooms that have to be free at once.
type way struct {
	tools []tool
	sides []Side
}

// inPlace tells whether a hole of the fastener is drilled when the parts are together.
func (b *bench) inPlace(j *panel.JoinPoint) bool {
	return slices.ContainsFunc(j.Members, func(m panel.JoinMember) bool { return b.point(m).Made() == panel.InPlace })
}

// ways are all the ways to reach a fastener; the drill's room is needed for what is drilled
// in place.
func ways(j *panel.JoinPoint, drill *shop.Room) []way {
	if j.Line != nil {
		return round(j)
	}
	w := way{[]tool{newTool(j.At, j.Axis.Neg(), j.Reach.Head)}, []Side{Head}}
	if j.Reach.Tail.Length > 0 {
		w.tools = append(w.tools, newTool(j.At.Add(j.Axis.Scale(j.Grip)), j.Axis, j.Reach.Tail))
		w.sides = append(w.sides, Tail)
	}
	if drill != nil {
		w.tools = append(w.tools, newTool(j.At, j.Axis.Neg(), *drill))
		w.sides = append(w.sides, Bore)
	}
	return []way{w}
}

// Free tells of a rivet or bolt whether some metal, of the parts that it holds, leaves room
// for the tools that set it, and for a drill from its head's side.
func Free(j *panel.JoinPoint, of []*Metal, drill shop.Room) (set, drilled bool) {
	work := mostWork
	free := func(t tool) bool {
		around := t.box()
		return !t.needed() || !slices.ContainsFunc(of, func(m *Metal) bool { return m.reaches(t, around, &work) })
	}
	set = slices.ContainsFunc(ways(j, nil), func(w way) bool {
		return !slices.ContainsFunc(w.tools, func(t tool) bool { return !free(t) })
	})
	return set, free(newTool(j.At, j.Axis.Neg(), drill))
}

// ways are all the ways to reach a fastener of the assembly.
func (b *bench) ways(j *panel.JoinPoint) []way {
	if b.inPlace(j) {
		return ways(j, &b.shop.Tools.Drill)
	}
	return ways(j, nil)
}

// torchWays are the directions, square to a bead, that a torch is tried from.
const torchWays = 16

// round are the ways to a bead: a torch comes from any side square to it.
func round(j *panel.JoinPoint) []way {
	along := j.Line[1].Sub(j.Line[0]).Unit()
	out := j.Axis.Sub(along.Scale(j.Axis.Dot(along))).Unit().Neg()
	side := along.Cross(out)
	ways := make([]way, 0, torchWays)
	for k := range torchWays {
		a := float64(k) * 2 * math.Pi / torchWays
		dir := out.Scale(elementary.Cos(a)).Add(side.Scale(elementary.Sin(a))).Unit()
		ways = append(ways, way{[]tool{newTool(j.At, dir, j.Reach.Head)}, []Side{Head}})
	}
	return ways
}

// task is a fastener as the search for an order sees it: whom it holds, and by each way to
// reach it who is in the way.
type task struct {
	members []int
	options [][]int // parts in the way, ascending; a way without any is always free
	done    bool    // it is out of reach whatever comes first: the order minds it no more
	group   string  // the join statement
}

// task finds who is in a fastener's way. Where that are its own members by every way it is
// out of reach.
func (b *bench) task(i int) (task, *Unreached) {
	j := &b.a.Joins[i]
	t := task{group: j.Join}
	for _, m := range j.Members {
		if !slices.Contains(t.members, m.Copy) {
			t.members = append(t.members, m.Copy)
		}
	}
	var own [][]int
	for _, w := range b.ways(j) {
		by := b.inWay(w)
		if slices.ContainsFunc(by, func(c int) bool { return slices.Contains(t.members, c) }) {
			own = append(own, by)
			continue
		}
		t.options = append(t.options, by)
	}
	if len(t.options) > 0 {
		return t, nil
	}
	t.done = true
	u := b.unreached(i, own)
	return t, &u
}

// inWay are the parts whose metal reaches into the rooms of a way.
func (b *bench) inWay(w way) []int {
	var by []int
	for _, t := range w.tools {
		if !t.needed() {
			continue
		}
		around := t.box()
		for _, c := range b.places.Near(around.above(), nil) {
			if b.work <= 0 {
				return by
			}
			b.work--
			if !slices.Contains(by, c) && b.metals[c].reaches(t, around, &b.work) {
				by = append(by, c)
			}
		}
	}
	slices.Sort(by)
	return by
}

// unreached says of a fastener that is out of reach from which side, and who is in the way:
// by the way that has the fewest.
func (b *bench) unreached(i int, options [][]int) Unreached {
	j := &b.a.Joins[i]
	u := Unreached{Join: i, Side: Head}
	for k, by := range options {
		if k == 0 || len(by) < len(u.By) {
			u.By = by
		}
	}
	if j.Line != nil {
		return u
	}
	w := b.ways(j)[0]
	for k, t := range w.tools {
		if t.needed() && len(b.inWay(way{tools: w.tools[k : k+1]})) > 0 {
			u.Side = w.sides[k]
			u.By = b.inWay(way{tools: w.tools[k : k+1]})
			break
		}
	}
	u.Turns = b.turned(j)
	return u
}

// turned tells whether a rivet or bolt is reached with its head on the other side.
func (b *bench) turned(j *panel.JoinPoint) bool {
	if j.Kind != "rivet" && j.Kind != "bolt" {
		return false
	}
	other := *j
	other.At, other.Axis = j.At.Add(j.Axis.Scale(j.Grip)), j.Axis.Neg()
	for _, w := range b.ways(&other) {
		if len(b.inWay(w)) == 0 {
			return true
		}
	}
	return false
}
