package shell

import "perch/parts/solid"

// State is a structure as it stands: where its nodes are and how they have turned.
type State struct {
	at     []solid.Vec
	turned []turn
}

func newState(m *Model) *State {
	s := &State{at: append([]solid.Vec(nil), m.Nodes...), turned: make([]turn, len(m.Nodes))}
	for i := range s.turned {
		s.turned[i] = unturned
	}
	return s
}

func (s *State) clone() *State {
	return &State{at: append([]solid.Vec(nil), s.at...), turned: append([]turn(nil), s.turned...)}
}

// At is where a node is now.
func (s *State) At(node int) solid.Vec { return s.at[node] }

// Turned takes a direction that goes with a node from as built to now.
func (s *State) Turned(node int, v solid.Vec) solid.Vec {
	m := s.turned[node].matrix()
	return m.apply(v)
}

// move adds step times the movements x, by unknown, to a state.
func (b *body) move(from *State, x []float64, step float64) *State {
	s := from.clone()
	for n := range s.at {
		var d [freedoms]float64
		for c := range d {
			if u := b.unknown[freedoms*n+c]; u >= 0 {
				d[c] = step * x[u]
			}
		}
		s.at[n] = s.at[n].Add(vec(d[0], d[1], d[2]))
		if d[3] != 0 || d[4] != 0 || d[5] != 0 {
			s.turned[n] = turnBy(vec(d[3], d[4], d[5])).after(s.turned[n])
		}
	}
	return s
}
