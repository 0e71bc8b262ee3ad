package joining

import (
	"slices"

	"perch/parts/panel"
	"perch/parts/shop"
)

// Tacked is two parts that tacks locate, the outer first, and the fasteners beside which they
// are tacked before their holes are drilled: the two that lie farthest apart, or the only one
// (common practice).
type Tacked struct {
	Parts  [2]int // of Assembly.Copies
	Beside []int  // of Assembly.Joins
}

// TackedPairs are the pairs of parts that are tacked, of some fasteners, in their order.
// Where a join tacks them anyway they are none.
func TackedPairs(a *panel.Assembly, joins []int) []Tacked {
	of := map[[2]int][]int{}
	beads := map[[2]int]bool{}
	var order [][2]int
	for _, i := range joins {
		m := a.Joins[i].Members
		if len(m) < 2 || m[0].Copy == m[len(m)-1].Copy {
			continue
		}
		pair := [2]int{m[0].Copy, m[len(m)-1].Copy}
		if a.Joins[i].Line != nil {
			beads[pair], beads[[2]int{pair[1], pair[0]}] = true, true
			continue
		}
		if a.Joins[i].Located != shop.LocatedTacks || pointOf(a, m[len(m)-1]).Made() != panel.InPlace {
			continue
		}
		if of[pair] == nil {
			order = append(order, pair)
		}
		of[pair] = append(of[pair], i)
	}
	var out []Tacked
	for _, pair := range order {
		if beads[pair] {
			continue
		}
		best, far := [2]int{of[pair][0], of[pair][0]}, 0.0
		for k, x := range of[pair] {
			for _, y := range of[pair][:k] {
				if d := a.Joins[x].At.Sub(a.Joins[y].At).Len(); d > far+nearlySame {
					best, far = [2]int{y, x}, d
				}
			}
		}
		out = append(out, Tacked{Parts: pair, Beside: slices.Compact(best[:])})
	}
	return out
}

// pointOf is what a fastener makes on one of its members.
func pointOf(a *panel.Assembly, m panel.JoinMember) panel.Point {
	points := a.Blanks[a.Copies[m.Copy].Blank].Flat.Points
	if i := slices.IndexFunc(points, func(p panel.Point) bool { return p.Name == m.Point }); i >= 0 {
		return points[i]
	}
	return panel.Point{}
}
