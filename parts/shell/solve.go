package shell

import (
	"context"
	"fmt"
	"math"

	"perch/solver/sparse"
)

// Limits bound a computation. The zero value stands for the defaults.
type Limits struct {
	Memory int64 // bytes for the factors; 0 for any
	Steps  int   // Newton's steps in all; 0 for 200
	// Tolerance is how much of the load may be left out of balance: 1e-6 where it is 0.
	Tolerance float64
}

func (l Limits) steps() int {
	if l.Steps == 0 {
		return 200
	}
	return l.Steps
}

func (l Limits) tolerance() float64 {
	if l.Tolerance == 0 {
		return 1e-6
	}
	return l.Tolerance
}

// SettleError tells that no state in balance was found: the load may be above what the
// structure carries, or a contact goes to and fro.
type SettleError struct {
	Part  float64 // of the load that was last in balance
	Steps int
}

func (e *SettleError) Error() string {
	return fmt.Sprintf("no balance was found beyond %.3g of the load in %d steps", e.Part, e.Steps)
}

// Answer is a structure under load.
type Answer struct {
	*State
	Stuck    bool      // how what rubs slides was not found: it is taken as held where it stood
	Steps    int       // of Newton's, all in all
	Factored int       // how often the tangent was factored for that
	rubbing  []float64 // what each contact resists sliding with at most, N; nil where it is held
	body     *body
}

// Structure is a model made ready, for several loads.
type Structure struct {
	body   *body
	limits Limits
}

// New makes a model ready: a *ModelError where it is none, a *sparse.MemoryError, before
// it is taken, where its factors need more memory than they may.
func New(m *Model, limits Limits) (*Structure, error) {
	b, err := newBody(m, limits.Memory)
	if err != nil {
		return nil, err
	}
	return &Structure{b, limits}, nil
}

// Unknowns is how many freedoms are not held.
func (s *Structure) Unknowns() int { return len(s.body.freedom) }

// Bytes is the memory of the factors.
func (s *Structure) Bytes() int64 { return s.body.factor.Bytes() }

// Linear is the answer of small movements: one step of Newton's from as built, contacts as
// they touch there. A *sparse.PivotError where a part can move freely.
func (s *Structure) Linear(ctx context.Context, loads []Load) (*Answer, error) {
	b := s.body
	f, err := b.applied(loads)
	if err != nil {
		return nil, err
	}
	built := newState(b.Model)
	inside := make([]float64, len(f))
	if err := b.assemble(ctx, built, inside, b.matrix, parts{elastic: true}); err != nil {
		return nil, err
	}
	if err := b.factor.Factor(ctx, b.matrix); err != nil {
		return nil, err
	}
	for i := range f {
		f[i] -= inside[i]
	}
	b.factor.Solve(f)
	return &Answer{State: b.move(built, f, 1), Steps: 1, body: b}, nil
}

// Solve is the answer of large movements: the load is put on in steps, each brought into
// balance by Newton's method, where that does not settle with a line search, and where
// that does not either in a step of half the size. What rubs on the floor is held until
// all of the load is on, and slides then. A
// *SettleError where that ends nowhere, a *sparse.PivotError where a part can move freely.
func (s *Structure) Solve(ctx context.Context, loads []Load) (*Answer, error) {
	return s.SolveIn(ctx, loads, 1)
}

// SolveIn is Solve with the load put on in at least so many steps.
func (s *Structure) SolveIn(ctx context.Context, loads []Load, least int) (*Answer, error) {
	b := s.body
	f, err := b.applied(loads)
	if err != nil {
		return nil, err
	}
	n := newton{b: b, limits: s.limits, full: f}
	state := newState(b.Model)
	b.most = nil
	done, step := 0.0, 1/float64(max(1, least))
	for done < 1 {
		next := math.Min(1, done+step)
		if next > 1-1e-9 {
			next = 1
		}
		at, ok, err := n.settle(ctx, state, next)
		if err != nil && done == 0 && step < 1e-3 {
			return nil, err
		}
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if n.steps >= s.limits.steps() && !(ok && next == 1) {
			if err != nil {
				return nil, err
			}
			return nil, &SettleError{done, n.steps}
		}
		if !ok {
			if step /= 2; step < 1e-4 {
				if err != nil {
					return nil, err
				}
				return nil, &SettleError{done, n.steps}
			}
			continue
		}
		state, done = at, next
		step *= 1.5
	}
	return n.answer(ctx, state)
}

// answer lets slide what rubs, in a state that carries all of the load.
func (n *newton) answer(ctx context.Context, state *State) (*Answer, error) {
	slid, ok, err := n.slide(ctx, state)
	if err != nil {
		return nil, err
	}
	return &Answer{State: slid, Stuck: !ok, Steps: n.steps, Factored: n.factored, rubbing: n.b.most, body: n.b}, nil
}

// loosely and firmly are the parts of the secant that stay in the tangent of what slides:
// the one takes large steps, the other sure ones.
const (
	loosely = 1e-3
	firmly  = 0.3
)

// slack is how much of the load may be left out of balance once feet slide: where all do,
// their friction, each by its own pressure, need not balance to more.
const slack = 1e-3

// sliding bounds how often friction is brought up to date with the pressures, and evenly is
// the part of all friction by which it may then still be off.
const (
	sliding = 12
	evenly  = 0.01
)

// slide lets what rubs on the floor slide: each contact by no more than its friction's part
// of the pressure that it had when that was last looked at, until that changes no more. So
// each of the steps has an energy. ok is false where that does not settle, as where a piece
// slides away; the state is then the one in which nothing slid.
func (n *newton) slide(ctx context.Context, stuck *State) (state *State, ok bool, err error) {
	b := n.b
	state = stuck
	if !b.rubs() {
		return state, true, nil
	}
	b.most = b.friction(state)
	n.limits.Tolerance = math.Max(n.limits.tolerance(), slack)
	for range sliding {
		at, ok, err := n.settle(ctx, state, 1)
		if ctx.Err() != nil {
			return nil, false, ctx.Err()
		}
		if err != nil || !ok {
			b.most = nil
			return stuck, false, nil
		}
		state = at
		now := b.friction(state)
		off, all := 0.0, 0.0
		for i, v := range now {
			off += math.Abs(v - b.most[i])
			all += v
		}
		b.most = now
		if off <= evenly*all {
			break
		}
	}
	return state, true, nil
}

// settle brings a state into balance, by whole steps or, where these do not settle, by
// searched ones.
func (n *newton) settle(ctx context.Context, from *State, part float64) (at *State, ok bool, err error) {
	n.b.kept = loosely
	at, ok, err = n.balance(ctx, from, part, n.plain)
	if err == nil && !ok {
		n.b.kept = firmly
		at, ok, err = n.balance(ctx, from, part, n.search)
	}
	return at, ok, err
}

// friction is the most that each contact resists sliding with, N.
func (b *body) friction(s *State) []float64 {
	most := make([]float64, len(b.Contacts))
	for i := range b.Contacts {
		if c := &b.Contacts[i]; c.Face[0] < 0 {
			most[i] = c.Friction * b.Pressure(s, i)
		}
	}
	return most
}

// rubs tells whether anything may slide.
func (b *body) rubs() bool {
	for i := range b.Contacts {
		if c := &b.Contacts[i]; c.Friction > 0 && c.Face[0] < 0 {
			return true
		}
	}
	return false
}

// newton brings a body into balance.
type newton struct {
	b      *body
	limits Limits
	full   []float64
	steps  int
	// factored is how often the tangent was factored.
	factored int
}

// most are steps to one balance.
const most = 25

// settled is the part of the first step's work below which a step changes nothing that
// counts: movements by the tolerance, and by a millionth at least. Rounding leaves forces out
// of balance in large stiff structures that no step takes off.
func (l Limits) settled() float64 {
	return math.Max(1e-12, float64(l.tolerance()*l.tolerance()))
}

// advance takes a step x from a state, all or part of it; start is its work.
type advance func(ctx context.Context, from *State, x []float64, start, part float64) (*State, error)

// plain takes all of a step. Thin strips that bend far settle best so: on the way the
// straight step stretches them, and the next one takes that back.
func (n *newton) plain(_ context.Context, from *State, x []float64, _, _ float64) (*State, error) {
	return n.b.move(from, x, 1), nil
}

// slow is how much of a step's work may be left in the next one for the factors to serve on:
// what is left then falls by as much again with each step, for a solution alone.
const slow = 0.01

// balance finds the state in which the inside carries so much of the load. The tangent is
// factored anew where its factors no longer bring the balance near quickly. ok is false
// where that did not settle.
func (n *newton) balance(ctx context.Context, from *State, part float64, take advance) (at *State, ok bool, err error) {
	b := n.b
	inside, rest, x := make([]float64, len(n.full)), make([]float64, len(n.full)), make([]float64, len(n.full))
	at = from
	size, first, last := n.size(part), 0.0, 0.0
	for i := 0; i < most; i++ {
		if n.steps >= n.limits.steps() {
			return at, false, nil
		}
		n.steps++
		if err := b.assemble(ctx, at, inside, nil, parts{}); err != nil {
			return at, false, err
		}
		for i := range rest {
			rest[i] = float64(part*n.full[i]) - inside[i]
		}
		if b.lengthOf(rest) <= n.limits.tolerance()*size && i > 0 {
			return at, true, nil
		}
		work, quick := 0.0, false
		if n.factored > 0 {
			work, quick = n.step(x, rest)
		}
		if !quick || i > 0 && math.Abs(work) > slow*last {
			if err := n.refactor(ctx, at, inside); err != nil {
				return at, false, err
			}
			if work, ok = n.step(x, rest); !ok {
				return at, false, nil
			}
		}
		last, first = math.Abs(work), math.Max(first, math.Abs(work))
		if math.Abs(work) <= n.limits.settled()*first {
			return b.move(at, x, 1), true, nil
		}
		if at, err = take(ctx, at, x, work, part); err != nil {
			return at, false, err
		}
	}
	return at, false, nil
}

// refactor factors the tangent of a state.
func (n *newton) refactor(ctx context.Context, at *State, inside []float64) error {
	if err := n.b.assemble(ctx, at, inside, n.b.matrix, parts{elastic: true, stressed: true}); err != nil {
		return err
	}
	n.factored++
	return n.b.factor.Factor(ctx, n.b.matrix)
}

// step sets x to the movements that the factors answer the forces with, and gives their
// work. ok is false where that is no step.
func (n *newton) step(x, rest []float64) (work float64, ok bool) {
	copy(x, rest)
	n.b.factor.Solve(x)
	if !n.b.tame(x) {
		return 0, false
	}
	for i := range x {
		work += float64(x[i] * rest[i])
	}
	return work, true
}

// size is that of the load, by which what is left out of balance is judged.
func (n *newton) size(part float64) float64 {
	return math.Max(part*n.b.lengthOf(n.full), 1e-9)
}

// lengthOf is the length of forces, moments counted as forces at a tenth of an arm of the
// structure, so that neither unit decides.
func (b *body) lengthOf(f []float64) float64 {
	arm := b.arm()
	s := 0.0
	for i, v := range f {
		if b.freedom[i]%freedoms >= TurnX {
			v /= arm
		}
		s += float64(v * v)
	}
	return math.Sqrt(s)
}

func (b *body) arm() float64 {
	lo, hi := b.Nodes[0], b.Nodes[0]
	for _, n := range b.Nodes {
		lo = vec(math.Min(lo.X, n.X), math.Min(lo.Y, n.Y), math.Min(lo.Z, n.Z))
		hi = vec(math.Max(hi.X, n.X), math.Max(hi.Y, n.Y), math.Max(hi.Z, n.Z))
	}
	return hi.Sub(lo).Len() / 10
}

// largestTurn is how far a node may turn in one step, radians: beyond it the tangent tells
// little, and turns between neighbours would come near to half a turn.
const largestTurn = 0.5

// tame shortens a step whose turns are too large; ok is false where it is no number.
func (b *body) tame(x []float64) (ok bool) {
	turn := 0.0
	for i, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
		if b.freedom[i]%freedoms >= TurnX {
			turn = math.Max(turn, math.Abs(v))
		}
	}
	if turn > largestTurn {
		for i := range x {
			x[i] *= largestTurn / turn
		}
	}
	return true
}

// search goes along a step as far as the forces out of balance still push that way, but for
// a part of it (line search by the slope of the energy: M. A. Crisfield, "Non-linear finite
// element analysis of solids and structures", volume 1, 1991, section 9.2).
func (n *newton) search(ctx context.Context, from *State, x []float64, start, part float64) (*State, error) {
	const enough, tries = 0.8, 6
	slope := func(s *State) (float64, error) {
		inside := make([]float64, len(x))
		if err := n.b.assemble(ctx, s, inside, nil, parts{}); err != nil {
			return 0, err
		}
		g := 0.0
		for i := range x {
			g += float64(x[i] * (float64(part*n.full[i]) - inside[i]))
		}
		return g, nil
	}
	at := n.b.move(from, x, 1)
	if start <= 0 { // the tangent has a falling direction: the step is taken as it is
		return at, nil
	}
	step := 1.0
	for range tries {
		g, err := slope(at)
		if err != nil {
			return nil, err
		}
		if g >= -enough*start {
			return at, nil
		}
		step *= math.Max(start/(start-g), 0.1)
		at = n.b.move(from, x, step)
	}
	return at, nil
}

// Freedom is the node and the freedom that a pivot's error is about.
func (s *Structure) Freedom(e *sparse.PivotError) (node, freedom int) {
	f := int(s.body.freedom[e.Column])
	return f / freedoms, f % freedoms
}
