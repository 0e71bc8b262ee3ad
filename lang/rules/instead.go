package rules

import (
	"fmt"
	"math"
	"slices"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/value"
	"perch/solver"
)

// nearby is what one statement of a conflict could say instead.
type nearby struct {
	text  string
	bound bool // a limit: beyond it all is well
	fix   *diag.Fix
}

// nearest finds, for the statements about params in a conflict, the value
// nearest to the stated one with which the rest can hold.
func (s *System) nearest(res solver.Result, rest beside) []nearby {
	limit := len(res.Range) > 0
	for _, id := range res.Conflict {
		limit = limit || s.Constraints[id].Rel != solver.EQ
	}
	var out []nearby
	tried := 0
	for _, id := range s.blameFirst(res.Conflict) {
		n := s.notes[id]
		if n.decl == nil || n.kind == KindRange || n.about {
			continue
		}
		if tried++; tried > maxNearest {
			break
		}
		v, wanted, ok := s.instead(id, nil, rest)
		if !ok {
			continue
		}
		i := s.at[n.decl]
		// a limit is one by the conflict alone; else what stands outside it fixes v
		own, _, ok := s.instead(id, res.Conflict, rest)
		if !limit || !ok || math.Abs(own-v) > 1e-6*max(1, math.Abs(v)) {
			dim, in := ParamDim(n.decl), s.Program.Shown
			text := quantity.Format(v, dim, in)
			if text == quantity.Format(wanted, dim, in) {
				continue // it differs by less than is written
			}
			if !s.would(id, readBack(text, v), rest) {
				words, beyond := " less than ", -1e-6*max(1, math.Abs(v))
				if v > wanted {
					words, beyond = " more than ", -beyond
				}
				if s.would(id, v+beyond, rest) { // the end of what will do, which will not itself
					out = append(out, nearby{text: n.decl.Name + words + text})
					continue
				}
				text = quantity.Finely(v, dim, in)
			}
			out = append(out, nearby{text: fmt.Sprintf("%s = %s", n.decl.Name, text), fix: s.restate(i, text)})
			continue
		}
		q, words := s.QuantityOf(i, v), [2]string{"can be at most", "has to be less than"}
		step := value.ReadStep(q.Dim, s.Program.Shown)
		if v > wanted {
			words, q.V = [2]string{"can be at least", "has to be more than"}, math.Ceil(v/step-1e-6)*step
		} else {
			q.V = math.Floor(v/step+1e-6) * step
		}
		text := q.Text(s.Program.Shown)
		if s.open(res) { // the limit itself will not do
			out = append(out, nearby{n.decl.Name + " " + words[1] + " " + text, true, nil})
			continue
		}
		out = append(out, nearby{n.decl.Name + " " + words[0] + " " + text, true, s.restate(i, text)})
	}
	return out
}

// instead is the value nearest to what statement id wants with which all else
// but the abouts can hold, and what it wants; among, where it is set, is what has
// to hold.
func (s *System) instead(id solver.ID, among []solver.ID, rest beside) (v, wanted float64, ok bool) {
	sys, _ := s.Variant(rest.lims, func(k solver.ID, c *solver.Constraint) bool {
		if k == id {
			c.Strength = solver.About
			return true
		}
		return c.Strength != solver.About && !slices.Contains(rest.less, k) && (among == nil || slices.Contains(among, k))
	})
	res := sys.Solve()
	x := s.Vars[s.at[s.notes[id].decl]]
	if res.Status == solver.None || int(x) >= len(res.Values) || math.IsNaN(res.Values[x]) {
		return 0, 0, false
	}
	wanted, ok = s.wanted(s.notes[id], res.Values)
	return res.Values[x], wanted, ok && wanted != res.Values[x]
}

// readBack is the value of a literal that was written of v; v where it is none.
func readBack(text string, v float64) float64 {
	if l, err := quantity.ParseLiteral(text); err == nil {
		return l.Value
	}
	return v
}

// would tells whether all else but the abouts can hold with statement id at a value.
func (s *System) would(id solver.ID, v float64, rest beside) bool {
	sys, _ := s.Variant(rest.lims, func(k solver.ID, c *solver.Constraint) bool {
		if k == id {
			c.Right = solver.Const(v)
			return true
		}
		return c.Strength != solver.About && !slices.Contains(rest.less, k)
	})
	return sys.Solve().Status != solver.None
}
