package mockup

import "slices"

// Step adds a copy to what stands: which letters it is glued by, and to which copies.
type Step struct {
	Copy   int
	Closes []int // of Glues: its own seams, closed before
	Glues  []int // … to what stands already
}

// order sorts the pairs: seams first, as their copies come, then every copy's when it is
// added. The first copy is that with the most paper; then always the one that meets what
// stands in the most places, of equals the first in the design.
func (m *Model) order(pairs []pair) {
	n := len(m.Assembly.Copies)
	met := make([]map[int]int, n) // by copy: how many places with each other one
	for i := range met {
		met[i] = map[int]int{}
	}
	for _, p := range pairs {
		if p.a.Copy != p.b.Copy {
			met[p.a.Copy][p.b.Copy]++
			met[p.b.Copy][p.a.Copy]++
		}
	}
	stands := make([]bool, n)
	m.Steps = nil
	for range n {
		best, most, area := -1, -1, 0.0
		for c := range n {
			if stands[c] {
				continue
			}
			count := 0
			for o, k := range met[c] { // a sum: the same in every order
				if stands[o] {
					count += k
				}
			}
			size := m.Pattern(c).Outline.Area()
			if count > most || count == most && count == 0 && size > area*(1+1e-9) {
				best, most, area = c, count, size
			}
		}
		stands[best] = true
		m.Steps = append(m.Steps, Step{Copy: best})
	}
	at := make([]int, n)
	for i, s := range m.Steps {
		at[s.Copy] = i
	}
	key := func(p pair) [2]int {
		if p.a.Copy == p.b.Copy {
			return [2]int{0, at[p.a.Copy]}
		}
		return [2]int{1, max(at[p.a.Copy], at[p.b.Copy])}
	}
	slices.SortStableFunc(pairs, func(p, q pair) int {
		x, y := key(p), key(q)
		if d := x[0] - y[0]; d != 0 {
			return d
		}
		return x[1] - y[1]
	})
}

// step tells every step its glues.
func (m *Model) step() {
	at := make([]int, len(m.Assembly.Copies))
	for i, s := range m.Steps {
		at[s.Copy] = i
	}
	for i, g := range m.Glues {
		if g.A.Copy == g.B.Copy {
			s := &m.Steps[at[g.A.Copy]]
			s.Closes = append(s.Closes, i)
			continue
		}
		s := &m.Steps[max(at[g.A.Copy], at[g.B.Copy])]
		s.Glues = append(s.Glues, i)
	}
}

// Other is the face of the glue that is not the copy's.
func (g *Glue) Other(copied int) Spot {
	if g.A.Copy == copied {
		return g.B
	}
	return g.A
}
