package eval

import (
	"slices"

	"perch/lang/syntax"
	"perch/parts/join"
	"perch/parts/panel"
)

// seam sets tacks and welds along every line where an edge of one of two sheets lies on
// the other; none for other fasteners. A scrap of edge, shorter than both sheets are thick
// together, as a bend's end leaves beside a long one, goes without where another line has
// beads.
func (ev *evaluator) seam(s *syntax.Join, stack []sheet, f join.Fastener, back bool, made int) []join.Fixing {
	if len(stack) != 2 || s.Places != nil || f.Kind != join.Tack && f.Kind != join.Weld {
		return nil
	}
	m := joinMembers(stack)
	var out []join.Fixing
	var scrap error
	for _, l := range join.Lines(m[0], m[1], back) {
		fixes, err := join.Beads(s.Name.Name, made+len(out)+1, l, f)
		if err != nil && l.To.Sub(l.From).Len() < m[0].Flat.Panel.Stock.Thickness+m[1].Flat.Panel.Stock.Thickness {
			scrap = err
			continue
		}
		if err != nil {
			ev.noPlace(s, err, m, nil)
		}
		out = append(out, fixes...)
	}
	if len(out) == 0 && scrap != nil {
		ev.noPlace(s, scrap, m, nil)
	}
	return out
}

// nearestEdge is the pair of sheets, one of a face's and one of the others, that lie
// nearest to each other, and how far apart they are.
func nearestEdge(sheets []sheet, others [][]sheet) (m []join.Member, gap float64, ok bool) {
	if len(others) != 1 {
		return nil, 0, false
	}
	for _, a := range sheets {
		for _, b := range others[0] {
			if a.of == b.of {
				continue
			}
			d := panel.FaceClearance(a.of.part.flattened, a.piece, b.of.part.flattened, b.piece)
			if !ok || d < gap {
				m, gap, ok = joinMembers([]sheet{a, b}), d, true
			}
		}
	}
	return m, gap, ok
}

// pairing remembers which sheets a join has looked at together, so that `A to A` takes
// each pair once.
type pairing struct {
	number map[sheet]int
	seen   map[[3]int]bool
}

// pairingOf is nil where no sheet stands in two members, so that no stack comes twice.
func pairingOf(members [][]sheet) *pairing {
	in := map[sheet]int{}
	for i, m := range members {
		for _, s := range m {
			if k, ok := in[s]; ok && k != i {
				return &pairing{number: map[sheet]int{}, seen: map[[3]int]bool{}}
			}
			in[s] = i
		}
	}
	return nil
}

// again tells whether the same sheets, in any order, were looked at before.
func (p *pairing) again(stack []sheet) bool {
	if p == nil {
		return false
	}
	var key [3]int
	for i, m := range stack {
		n, ok := p.number[m]
		if !ok {
			n = len(p.number) + 1
			p.number[m] = n
		}
		key[i] = n
	}
	slices.Sort(key[:len(stack)])
	again := p.seen[key]
	p.seen[key] = true
	return again
}
