package strength

import (
	"context"
	"errors"
	"math"
	"slices"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shell"
	"perch/parts/shop"
	"perch/parts/solid"
	"perch/parts/tipping"
)

// Case is what loads a piece at one time. Where a load may act anywhere in an area it is
// taken at the place, and a push beside it the way, that tips the piece soonest.
type Case struct {
	Name    string
	Assumed bool   // the design names none: this is taken in its place
	Line    string // of Assumed: how the design would state it; "" where that is not known
	Loads   []tipping.Load
	Stops   bool      // the feet stand against stops while it acts
	On      []int     // by load: index of Assembly.Copies
	Spread  []float64 // by load: across the disc, mm
}

// Band is a quantity for rigid joints and for loose ones, the smaller first.
type Band [2]float64

func band(a, b float64) Band { return Band{math.Min(a, b), math.Max(a, b)} }

// Estimate is what a case does to a piece.
type Estimate struct {
	Case      Case
	Tips      float64 // how many times the load until it tips; +Inf for never
	Line      [2]plane.Point
	Sag, Sway Band // mm
	Racking   Band // N/mm, the softer of x and y; 0 where the case presses nothing down, or Folds
	Folds     bool // the balance that was found does not last: the least push sideways folds the piece
	Used      float64
	UsedAt    solid.Vec
	UsedBy    string
	Dented    float64
	Fastener  float64
	Weakest   string
	Buckling  float64
	Feet      []Foot
	Held      []Hold  // of a piece that hangs
	Stuck     bool    // the feet are taken as held: how they slide was not found
	Rough     float64 // how much finer triangles last moved sag and sway, as a part of them
	Problem   *Error  // of a case that came to nothing beyond Tips
	Answer    *Answer // with rigid joints
}

// Report are the estimates of a piece.
type Report struct {
	Side      float64 // of the triangles, mm
	Nodes     int
	Bytes     int64
	Estimates []Estimate
	Helps     []Help // what one change at a time is worth, where that was asked
	Tried     bool   // it was
	Untried   int    // changes beyond those
}

// enough is how little finer triangles may move an answer for it to be taken.
const enough = 0.02

// finer is by how much triangles' sides shrink from one answer to the next, and rounds how
// often at most; beyond many nodes it is left at what has come.
const (
	finer  = 0.7
	rounds = 2
	many   = 6000
)

// steelPoisson and lightPoisson are Poisson's ratios of steel and, below softMetal MPa, of
// aluminium, copper and brass; from memory of handbooks.
const (
	steelPoisson = 0.3
	lightPoisson = 0.33
	softMetal    = 130000
)

// MetalOf reads a shop's material for the sheet of a stock.
func MetalOf(s *shop.Shop) func(shop.Stock) (Metal, bool) {
	return func(stock shop.Stock) (m Metal, ok bool) {
		of, ok := s.Material(stock.Material)
		m.E, m.Nu, m.Yield, m.Density = of.Modulus, steelPoisson, of.Yield, stock.Density
		if of.Modulus < softMetal {
			m.Nu = lightPoisson
		}
		return m, ok
	}
}

// Of estimates what cases do to an assembly, whose flats stand where its copies stand. The
// *Error is of the piece itself; a case's own stands with it.
func Of(ctx context.Context, a *panel.Assembly, flats []*panel.Flat, cases []Case, o Options) (*Report, error) {
	r, loads := begun(flats, cases, &o, usual)
	if err := r.coarse(ctx, a, loads, o); err != nil {
		return nil, err
	}
	return r, r.refine(ctx, a, loads, o)
}

// usual and rough are how many triangles' sides go into that of a square as large as all of
// the metal: where an answer begins, and where many are asked that are held to each other.
const (
	usual = 22
	rough = 20
)

// begun is a report of which only statics are known, and the loads where they are worst;
// the triangles' side is set where the options leave it.
func begun(flats []*panel.Flat, cases []Case, o *Options, across float64) (*Report, [][]Load) {
	area := 0.0
	for _, f := range flats {
		area += f.Area()
	}
	if o.Side == 0 {
		o.Side = math.Min(60, math.Max(5, math.Sqrt(area)/across))
	}
	o.Weightful = true
	stand := tipping.On(flats)
	hangs := len(o.Supports) > 0
	r := &Report{}
	loads := make([][]Load, len(cases))
	for i, c := range cases {
		e := Estimate{Case: c, Buckling: math.Inf(1)}
		tip := tipping.Tip{Factor: math.Inf(1)}
		if !hangs {
			tip = stand.Tips(c.Loads)
		}
		e.Tips, e.Line = tip.Factor, tip.Line
		loads[i] = placedLoads(&c, tip)
		if e.Tips < 1 {
			e.Problem = &Error{Reason: Tips, Load: c.Name}
		}
		r.Estimates = append(r.Estimates, e)
	}
	return r, loads
}

// Roughly is Of on coarse triangles that are not refined, and without buckling: for pieces
// that are held to each other, whose triangles' error is much the same.
func Roughly(ctx context.Context, a *panel.Assembly, flats []*panel.Flat, cases []Case, o Options) (*Report, error) {
	r, loads := begun(flats, cases, &o, rough)
	p, err := r.rigid(ctx, a, loads, o)
	if err != nil {
		return nil, err
	}
	return r, r.loosen(ctx, p, loads)
}

// coarse solves the cases with rigid and with loose joints, and what else is asked.
func (r *Report) coarse(ctx context.Context, a *panel.Assembly, loads [][]Load, o Options) error {
	p, err := r.rigid(ctx, a, loads, o)
	if err != nil {
		return err
	}
	for i := range r.Estimates {
		e := &r.Estimates[i]
		if e.Problem != nil {
			continue
		}
		if e.Buckling, err = e.Answer.Buckling(ctx); err != nil {
			if ctx.Err() != nil {
				return err
			}
			e.Buckling = 1 // the state itself is beyond
		}
	}
	return r.loosen(ctx, p, loads)
}

// rigid solves the cases with rigid joints; it hands back the piece.
func (r *Report) rigid(ctx context.Context, a *panel.Assembly, loads [][]Load, o Options) (*Piece, error) {
	p, err := New(ctx, a, o)
	if err != nil {
		return nil, err
	}
	r.Side, r.Nodes, r.Bytes = o.Side, p.Nodes(), p.Bytes()
	for i := range r.Estimates {
		e := &r.Estimates[i]
		if e.Problem != nil {
			continue
		}
		if err := e.solve(ctx, p, loads[i]); err != nil {
			return nil, err
		}
		if e.Problem != nil {
			continue
		}
		k, err := racking(ctx, e.Answer, loads[i])
		if err != nil {
			return nil, err
		}
		e.Racking[0], e.Folds = math.Max(0, k), k < 0
	}
	return p, nil
}

// Measure is what a case does to an assembly with rigid joints, on triangles coarse enough
// to be asked a thousand times: within 5 % of what finer ones say of sag, 2 % where it was measured.
func Measure(ctx context.Context, a *panel.Assembly, flats []*panel.Flat, c Case, o Options) (*Answer, error) {
	r, loads := begun(flats, []Case{c}, &o, rough)
	if e := r.Estimates[0].Problem; e != nil {
		return nil, e
	}
	p, err := New(ctx, a, o)
	if err != nil {
		return nil, err
	}
	if c.Stops {
		if p, err = p.stopped(); err != nil {
			return nil, err
		}
	}
	return p.Solve(ctx, loads[0]...)
}

// placedLoads are a case's loads where they tip the piece soonest.
func placedLoads(c *Case, tip tipping.Tip) (out []Load) {
	var outward solid.Vec // of a piece that hangs nothing is outward
	if tip.Line[0] != tip.Line[1] {
		d := tip.Line[1].Sub(tip.Line[0]).Unit()
		outward = vec(d.Y, -d.X, 0)
	}
	for i, l := range c.Loads {
		at := l.Frame.O
		switch {
		case len(l.Area) > 0 && i < len(tip.At):
			at = tip.At[i]
		case len(l.Area) > 0:
			at = l.Frame.At(l.Area[0].Centroid())
		}
		out = append(out, Load{Name: c.Name, Force: l.Force.Add(outward.Scale(l.Across)), Copy: c.On[i], At: at, Spread: c.Spread[i]})
	}
	return out
}

// refine solves the cases with rigid joints once more, on finer triangles, until the answers
// move no more than enough. What loose joints add stays what it was.
func (r *Report) refine(ctx context.Context, a *panel.Assembly, loads [][]Load, o Options) error {
	for range rounds {
		o.Side *= finer
		p, err := New(ctx, a, o)
		if err != nil {
			var e *Error
			if errors.As(err, &e) && e.Reason == TooLarge {
				return nil // the coarser answer stands, with how rough it is
			}
			return err
		}
		r.Side, r.Nodes, r.Bytes = o.Side, p.Nodes(), p.Bytes()
		moved := 0.0
		for i := range r.Estimates {
			e := &r.Estimates[i]
			if e.Problem != nil {
				continue
			}
			was, loose := *e.Answer, [2]float64{e.Sag[1] - e.Sag[0], e.Sway[1] - e.Sway[0]}
			if err := e.solve(ctx, p, loads[i]); err != nil {
				return err
			}
			if e.Problem != nil {
				continue
			}
			e.Sag[1], e.Sway[1] = e.Sag[0]+loose[0], e.Sway[0]+loose[1]
			size := math.Max(e.Answer.Sag, e.Answer.Sway)
			e.Rough = math.Max(math.Abs(e.Answer.Sag-was.Sag), math.Abs(e.Answer.Sway-was.Sway)) / size
			moved = math.Max(moved, e.Rough)
		}
		if moved <= enough || r.Nodes > many {
			break
		}
	}
	return nil
}

// solve takes a case's answer with rigid joints.
func (e *Estimate) solve(ctx context.Context, p *Piece, loads []Load) error {
	var got *Answer
	var err error
	if e.Case.Stops {
		if p, err = p.stopped(); err != nil {
			return err
		}
	}
	if e.Answer == nil {
		got, err = p.Solve(ctx, loads...)
	} else {
		got, err = p.SolveNear(ctx, e.Answer, loads...)
	}
	if err != nil {
		return e.failed(ctx, err)
	}
	e.Sag, e.Sway = Band{got.Sag, got.Sag}, Band{got.Sway, got.Sway}
	e.Used, e.UsedAt, e.UsedBy, e.Dented = got.Used, got.UsedAt, got.UsedBy, got.Dented
	e.Fastener, e.Weakest, e.Feet, e.Held, e.Stuck, e.Answer = got.Fastener, got.Weakest, got.Feet, got.Held, got.Stuck, got
	return nil
}

func (e *Estimate) failed(ctx context.Context, err error) error {
	if ctx.Err() != nil || !errors.As(err, &e.Problem) {
		return err
	}
	return nil
}

// loosen widens the answers by those with loose joints.
func (r *Report) loosen(ctx context.Context, rigid *Piece, loads [][]Load) error {
	free, err := rigid.With(Loose)
	if err != nil {
		return err
	}
	for i := range r.Estimates {
		e := &r.Estimates[i]
		if e.Problem != nil {
			continue
		}
		p := free
		if e.Case.Stops {
			if p, err = free.stopped(); err != nil {
				return err
			}
		}
		got, err := p.SolveNear(ctx, e.Answer, loads[i]...)
		if err != nil {
			if err := e.failed(ctx, err); err != nil {
				return err
			}
			continue
		}
		e.Sag, e.Sway = band(e.Sag[0], got.Sag), band(e.Sway[0], got.Sway)
		e.Used, e.Fastener = math.Max(e.Used, got.Used), math.Max(e.Fastener, got.Fastener)
		k, err := racking(ctx, got, loads[i])
		if err != nil {
			return err
		}
		e.Folds = e.Folds || k < 0
		switch {
		case e.Folds:
			e.Racking = Band{}
		case k == 0: // what is not found is not told
			e.Racking = Band{e.Racking[0], e.Racking[0]}
		case e.Racking[0] == 0:
			e.Racking = Band{k, k}
		default:
			e.Racking = band(e.Racking[0], k)
		}
	}
	return nil
}

// racking is how hard the place that is loaded must be pushed sideways for each millimetre,
// while it is loaded and nothing lifts or slides: the softer way of the world's x and y, by
// the tangent of the loaded piece. 0 where nothing is pressed down; below 0 where the piece gives against the push: it
// is in balance and would fold away.
func racking(ctx context.Context, under *Answer, loads []Load) (float64, error) {
	p := under.piece
	down := 0.0
	for _, l := range loads {
		down -= l.Force.Z
	}
	if down <= 0 {
		return 0, nil
	}
	ways := []solid.Vec{{X: 1}, {Y: 1}}
	var pushes [][]shell.Load
	for _, way := range ways {
		push := loads[0]
		push.Force = way
		on, err := p.spread(nil, &push)
		if err != nil {
			return 0, err
		}
		pushes = append(pushes, on)
	}
	moved, err := under.state.Beside(ctx, pushes...)
	if err != nil {
		return 0, p.told(err)
	}
	softest := 0.0
	for i, way := range ways {
		give := 0.0 // mm per N: the mean of what is pressed on
		for _, l := range pushes[i] {
			give += float64(l.Force.Dot(way) * moved[i][l.Node].Dot(way))
		}
		if give < 0 {
			return give, nil
		}
		softest = math.Max(softest, give)
	}
	if !(softest > 0) {
		return 0, nil
	}
	return 1 / softest, nil
}

// Place is a level face of an assembly: the copy, the face of its flat, and the middle in the
// world.
type Place struct {
	Copy, Face int
	At         solid.Vec
	Area       float64 // mm²
}

// Levels are the level faces of an assembly, the highest first and of like height the
// largest; where they are alike those of the first copy.
func Levels(a *panel.Assembly) (all []Place) {
	for i, c := range a.Copies {
		f := a.Blanks[c.Blank].Flat
		for k := range f.Faces {
			frame := f.Faces[k].Frame
			n := c.Matrix.Apply(frame.O.Add(frame.Normal())).Sub(c.Matrix.Apply(frame.O))
			if math.Abs(n.Z) < 0.9999 {
				continue
			}
			all = append(all, Place{i, k, c.Matrix.Apply(frame.At(f.Faces[k].Loop.Centroid())), f.Faces[k].Trimmed.Area()})
		}
	}
	slices.SortStableFunc(all, func(a, b Place) int {
		const level = 0.1 // mm
		switch {
		case a.At.Z > b.At.Z+level:
			return -1
		case b.At.Z > a.At.Z+level:
			return 1
		case a.Area > b.Area+1:
			return -1
		case b.Area > a.Area+1:
			return 1
		}
		return 0
	})
	return all
}

// Seat is the highest level face of an assembly that is large and high enough to sit on; ok
// is false where there is none.
func Seat(a *panel.Assembly) (Place, bool) {
	const large, low = 150 * 150, 200 // mm², and mm above the floor
	for _, p := range Levels(a) {
		if p.Area >= large && p.At.Z >= low {
			return p, true
		}
	}
	return Place{}, false
}

// SeatForce is what sits on a piece whose design names no load, N: typical, from memory of
// what EN 1728 and EN 12520 test seating with; SeatDisc is the disc that carries it, mm.
const (
	SeatForce = 1300.0
	SeatDisc  = 200.0
)

// Sat is the case of somebody sitting on a piece whose design names no load.
func Sat(a *panel.Assembly) (Case, Place, bool) {
	p, ok := Seat(a)
	if !ok {
		return Case{}, p, false
	}
	frame := solid.LevelFrame(p.At.Z)
	frame.O = p.At
	return Case{Name: "sit", Assumed: true, On: []int{p.Copy}, Spread: []float64{SeatDisc},
		Loads: []tipping.Load{{Force: vec(0, 0, -SeatForce), Frame: frame}}}, p, true
}
