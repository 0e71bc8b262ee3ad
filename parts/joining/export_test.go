package joining

import (
	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/solid"
)

// Probe is the room of one tool at a fastener, for tests that look with rays of their own.
type Probe struct {
	At, Dir              solid.Vec
	Radius, From, Length float64
	By                   []int // who is in the way, as the search has it
}

// Probes are the rooms at each rivet, bolt or plug.
func Probes(a *panel.Assembly, s *shop.Shop) [][]Probe {
	b := newBench(a, s, mostWork)
	out := make([][]Probe, len(a.Joins))
	for i := range a.Joins {
		if a.Joins[i].Line != nil {
			continue
		}
		for _, t := range b.ways(&a.Joins[i])[0].tools {
			if t.needed() {
				out[i] = append(out[i], Probe{t.at, t.dir, t.Radius, t.From, t.Length, b.inWay(way{tools: []tool{t}})})
			}
		}
	}
	return out
}
