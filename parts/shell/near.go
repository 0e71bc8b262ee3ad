package shell

import (
	"context"
	"math"

	"perch/parts/solid"
)

// Within is where a node lies in a triangle of other nodes: their numbers and weights.
type Within struct {
	Nodes  [3]int32
	Weight [3]float64
}

// Carry is an answer on other triangles, as a state for SolveNear to begin with: each node moves
// as the corners of the triangle that it lies in do, half by their movements and half by
// these with their turns, so that an even bend is carried over as it is.
func (s *Structure) Carry(a *Answer, in []Within) *State {
	state := newState(s.body.Model)
	for n, w := range in {
		var moved, turned solid.Vec
		for c, k := range w.Nodes {
			built := a.body.Nodes[k]
			arm := s.body.Nodes[n].Sub(built)
			m := a.turned[k].matrix()
			by := m.apply(arm).Sub(arm).Scale(0.5)
			moved = moved.Add(a.at[k].Sub(built).Add(by).Scale(w.Weight[c]))
			turned = turned.Add(vectorOf(&m).Scale(w.Weight[c]))
		}
		state.at[n] = state.at[n].Add(moved)
		state.turned[n] = turnBy(turned)
	}
	return state
}

// SolveNear is Solve, begun from a state that is near the answer, such as one carried over
// from other triangles. Where that does not settle it begins anew.
func (s *Structure) SolveNear(ctx context.Context, loads []Load, near *State) (*Answer, error) {
	return s.near(ctx, loads, near, nil)
}

// SolveLike is SolveNear from an answer to the same loads of a structure with the same nodes
// and contacts and other joints.
func (s *Structure) SolveLike(ctx context.Context, loads []Load, like *Answer) (*Answer, error) {
	return s.near(ctx, loads, like.State, like.rubbing)
}

// near begins from a state with what rubs held to so much; nil holds it altogether.
func (s *Structure) near(ctx context.Context, loads []Load, near *State, rubbing []float64) (*Answer, error) {
	f, err := s.body.applied(loads)
	if err != nil {
		return nil, err
	}
	n := newton{b: s.body, limits: s.limits, full: f}
	s.body.most = rubbing
	if rubbing != nil {
		n.limits.Tolerance = math.Max(n.limits.tolerance(), slack)
	}
	at, ok, err := n.settle(ctx, near, 1)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil || !ok {
		return s.Solve(ctx, loads)
	}
	a, err := n.answer(ctx, at)
	if err == nil && a.Stuck && rubbing != nil {
		return s.Solve(ctx, loads)
	}
	return a, err
}

// Beside is how far the nodes move under each of several small loads more, by the tangent
// of the state as it stands: what touches goes on touching and does not slide.
func (a *Answer) Beside(ctx context.Context, loads ...[]Load) (moved [][]solid.Vec, err error) {
	b := a.body
	b.most = nil
	n := newton{b: b}
	if err := n.refactor(ctx, a.State, make([]float64, len(b.freedom))); err != nil {
		return nil, err
	}
	for _, l := range loads {
		x, err := b.applied(l)
		if err != nil {
			return nil, err
		}
		b.factor.Solve(x)
		to := b.move(a.State, x, 1)
		by := make([]solid.Vec, len(b.Nodes))
		for i := range by {
			by[i] = to.at[i].Sub(a.at[i])
		}
		moved = append(moved, by)
	}
	return moved, nil
}
