package strength

import (
	"context"
	"math"
	"slices"

	"perch/parts/plane"
	"perch/parts/shell"
	"perch/parts/solid"
	"perch/parts/tipping"
)

// Answer is what a piece comes to under a load, with all of the load on it.
type Answer struct {
	Sag, Sway float64 // mm: the largest movements down and level
	SagAt     solid.Vec
	Moved     float64 // mm: that of the place that is loaded, along the load
	// Used is the largest share of the yield stress, away from fasteners, by the equivalent
	// stress at the surfaces; UsedAt where that is and UsedBy on which copy.
	Used   float64
	UsedAt solid.Vec
	UsedBy string
	// Dented is the part of the metal's area where yield is passed.
	Dented float64
	// Fastener is the largest share of a fastener's strength, by the sum of its shares in
	// shear and in pull; Weakest names it.
	Fastener        float64
	Weakest         string
	Feet            []Foot
	Held            []Hold // of a piece that hangs
	Stuck           bool   // how the feet slide was not found: they are taken as held where they stand
	Steps, Factored int    // of the solution: Newton's steps, and how often the tangent was factored

	piece *Piece
	state *shell.Answer
}

// Foot is what the floor carries of one copy.
type Foot struct {
	Copy   string
	Force  float64   // N, upward; 0 where it has lifted off
	Center solid.Vec // of the force
	Lifted int       // nodes that have left the floor, of Nodes
	Nodes  int
}

// Solve loads the piece, movements as large as they come.
func (p *Piece) Solve(ctx context.Context, loads ...Load) (*Answer, error) {
	on, err := p.forces(loads)
	if err != nil {
		return nil, err
	}
	a, err := p.structure.Solve(ctx, on)
	if err != nil {
		return nil, p.told(err)
	}
	return p.answer(a, loads), nil
}

// SolveNear is Solve, begun from the answer to the same loads of the same piece with other
// joints or on other triangles.
func (p *Piece) SolveNear(ctx context.Context, near *Answer, loads ...Load) (*Answer, error) {
	on, err := p.forces(loads)
	if err != nil {
		return nil, err
	}
	var a *shell.Answer
	if near.piece == p || len(p.placed) > 0 && near.piece.placed[0].flat == p.placed[0].flat {
		a, err = p.structure.SolveLike(ctx, on, near.state)
	} else {
		a, err = p.structure.SolveNear(ctx, on, p.structure.Carry(near.state, p.within(near.piece)))
	}
	if err != nil {
		return nil, p.told(err)
	}
	return p.answer(a, loads), nil
}

// within finds where the nodes lie in the triangles of the same piece, otherwise divided.
func (p *Piece) within(other *Piece) []shell.Within {
	out := make([]shell.Within, 0, len(p.model.Nodes))
	of := map[*divided][]shell.Within{} // by blank, in numbers of its own nodes
	for i, c := range p.placed {
		from := other.placed[i]
		local, ok := of[c.flat]
		if !ok {
			for _, q := range c.flat.Nodes {
				local = append(local, from.flat.within(q))
			}
			of[c.flat] = local
		}
		for _, w := range local {
			for k := range w.Nodes {
				w.Nodes[k] += int32(from.from)
			}
			out = append(out, w)
		}
	}
	if len(p.holds) > 0 {
		out = append(out, shell.Within{Nodes: [3]int32{other.ground, other.ground, other.ground}, Weight: [3]float64{1, 0, 0}})
	}
	return out
}

// within is where a point of the flat lies among the triangles: in one, or the least outside.
func (d *divided) within(q plane.Point) (w shell.Within) {
	best := math.Inf(-1)
	for _, t := range d.Triangles {
		a, b, c := d.Nodes[t[0]], d.Nodes[t[1]], d.Nodes[t[2]]
		area := b.Sub(a).Cross(c.Sub(a))
		v := q.Sub(a)
		w1, w2 := v.Cross(c.Sub(a))/area, b.Sub(a).Cross(v)/area
		if least := math.Min(math.Min(w1, w2), 1-w1-w2); least > best {
			best = least
			w = shell.Within{Nodes: t, Weight: [3]float64{1 - w1 - w2, w1, w2}}
			if least >= 0 {
				break
			}
		}
	}
	return w
}

// Linear loads the piece as if movements were small and nothing that touches parted.
func (p *Piece) Linear(ctx context.Context, loads ...Load) (*Answer, error) {
	on, err := p.forces(loads)
	if err != nil {
		return nil, err
	}
	a, err := p.structure.Linear(ctx, on)
	if err != nil {
		return nil, p.told(err)
	}
	return p.answer(a, loads), nil
}

// Buckling is how many times the load until the piece buckles, by the linear theory about
// the state that the load brings; +Inf where nothing is pressed.
func (a *Answer) Buckling(ctx context.Context) (float64, error) { return a.state.Buckling(ctx) }

// forces spread the loads over the triangles within their discs, by area, and add the
// piece's own weight where that is asked for.
func (p *Piece) forces(loads []Load) (out []shell.Load, err error) {
	if p.options.Weightful {
		for i := range p.model.Triangles {
			t := &p.model.Triangles[i]
			density := p.metals[p.assembly.Copies[p.triCopy[i]].Blank].Density
			w := p.area(i) * t.Thickness * density * 1e-9 * tipping.Gravity
			for _, n := range t.Nodes {
				out = append(out, shell.Load{Node: n, Force: vec(0, 0, -w/3)})
			}
		}
	}
	for i := range loads {
		if out, err = p.spread(out, &loads[i]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// spread adds a load as forces on the nodes.
func (p *Piece) spread(out []shell.Load, l *Load) ([]shell.Load, error) {
	tris, weight := p.under(l)
	if len(tris) == 0 {
		return nil, &Error{Reason: NoPlace, Load: l.Name}
	}
	total := 0.0
	for _, w := range weight {
		total += w
	}
	for k, i := range tris {
		for _, n := range p.model.Triangles[i].Nodes {
			out = append(out, shell.Load{Node: n, Force: l.Force.Scale(weight[k] / total / 3)})
		}
	}
	return out, nil
}

// under are the triangles of a load's copy that its disc covers, and how much of each: the
// parts of a triangle whose middles lie within, of sixteen.
func (p *Piece) under(l *Load) (tris []int, weight []float64) {
	best, least := -1, math.Inf(1)
	for i := range p.model.Triangles {
		if int(p.triCopy[i]) != l.Copy {
			continue
		}
		t := &p.model.Triangles[i]
		a, b, c := p.model.Nodes[t.Nodes[0]], p.model.Nodes[t.Nodes[1]], p.model.Nodes[t.Nodes[2]]
		if d := a.Add(b).Add(c).Scale(1.0 / 3).Sub(l.At).Len(); d < least {
			best, least = i, d
		}
		n := b.Sub(a).Cross(c.Sub(a)).Unit()
		if math.Abs(l.At.Sub(a).Dot(n)) > math.Max(5, 2*t.Thickness) { // not in the plane of the place
			continue
		}
		inside := 0
		for _, w := range sixteenths {
			at := a.Scale(w[0]).Add(b.Scale(w[1])).Add(c.Scale(w[2]))
			if at.Sub(l.At).Len() <= l.Spread/2 {
				inside++
			}
		}
		if inside > 0 {
			tris, weight = append(tris, i), append(weight, p.area(i)*float64(inside)/16)
		}
	}
	if len(tris) == 0 && best >= 0 && least <= 2*p.options.Side {
		return []int{best}, []float64{1}
	}
	return tris, weight
}

// sixteenths are the middles of the sixteen equal parts of a triangle.
var sixteenths = func() (w [][3]float64) {
	for i := range 4 {
		for j := range 4 - i {
			x, y := float64((float64(i)+1.0/3)/4), float64((float64(j)+1.0/3)/4)
			w = append(w, [3]float64{1 - x - y, x, y})
			if i+j < 3 {
				x, y = float64((float64(i)+2.0/3)/4), float64((float64(j)+2.0/3)/4)
				w = append(w, [3]float64{1 - x - y, x, y})
			}
		}
	}
	return w
}()

func (p *Piece) area(i int) float64 {
	t := &p.model.Triangles[i]
	a := p.model.Nodes[t.Nodes[0]]
	return p.model.Nodes[t.Nodes[1]].Sub(a).Cross(p.model.Nodes[t.Nodes[2]].Sub(a)).Len() / 2
}

func (p *Piece) answer(s *shell.Answer, loads []Load) *Answer {
	a := &Answer{piece: p, state: s, Stuck: s.Stuck, Steps: s.Steps, Factored: s.Factored}
	for n, v := range p.model.Nodes {
		d := s.At(n).Sub(v)
		if -d.Z > a.Sag {
			a.Sag, a.SagAt = -d.Z, v
		}
		a.Sway = math.Max(a.Sway, math.Sqrt(float64(d.X*d.X)+float64(d.Y*d.Y)))
	}
	if len(loads) > 0 {
		a.Moved = a.Along(&loads[0])
	}
	a.yield()
	a.fasteners()
	a.floor()
	a.Held = a.carried()
	return a
}

// Along is how far a load's place has moved the load's way, the mean of what it presses on.
func (a *Answer) Along(l *Load) float64 {
	tris, weight := a.piece.under(l)
	sum, total := 0.0, 0.0
	for k, i := range tris {
		for _, n := range a.piece.model.Triangles[i].Nodes {
			sum += float64(weight[k] / 3 * a.Displacement(int(n)).Dot(l.Force))
		}
		total += weight[k]
	}
	if f := l.Force.Len(); f > 0 && total > 0 {
		return sum / total / f
	}
	return 0
}

// Displacement is how far a node has moved.
func (a *Answer) Displacement(n int) solid.Vec {
	return a.state.At(n).Sub(a.piece.model.Nodes[n])
}

func (a *Answer) yield() {
	p := a.piece
	whole, past := 0.0, 0.0
	for i := range p.model.Triangles {
		if p.patch[i] {
			continue
		}
		share := a.Share(i)
		area := p.area(i)
		whole += area
		if share > 1 {
			past += area
		}
		if share > a.Used {
			t := p.model.Triangles[i].Nodes
			a.Used = share
			a.UsedAt = p.model.Nodes[t[0]].Add(p.model.Nodes[t[1]]).Add(p.model.Nodes[t[2]]).Scale(1.0 / 3)
			a.UsedBy = p.assembly.Copies[p.triCopy[i]].Name
		}
	}
	if whole > 0 {
		a.Dented = past / whole
	}
}

// Share is the share of the yield stress in the middle of a triangle, at the surface where
// it is larger.
func (a *Answer) Share(tri int) float64 {
	s := a.state.Stress(tri)
	return s.Mises() / a.piece.metals[a.piece.assembly.Copies[a.piece.triCopy[tri]].Blank].Yield
}

func (a *Answer) fasteners() {
	for i, l := range a.piece.links {
		f := a.state.LinkForce(i)
		share := 0.0
		if l.strength.Shear > 0 {
			share += f.Shear / l.strength.Shear
		}
		if l.strength.Pull > 0 {
			share += math.Max(0, f.Pull) / l.strength.Pull
		}
		if share > a.Fastener {
			a.Fastener, a.Weakest = share, a.piece.assembly.Joins[l.join].Name
		}
	}
}

func (a *Answer) floor() {
	p := a.piece
	at := map[int32]int{}
	for _, i := range p.feet {
		c := p.copyOf[p.model.Contacts[i].Node]
		k, ok := at[c]
		if !ok {
			k = len(a.Feet)
			at[c] = k
			a.Feet = append(a.Feet, Foot{Copy: p.assembly.Copies[c].Name})
		}
		f := &a.Feet[k]
		force := p.model.Pressure(a.state.State, i)
		f.Nodes++
		if force <= 0 {
			f.Lifted++
		}
		f.Force += force
		f.Center = f.Center.Add(p.model.Nodes[p.model.Contacts[i].Node].Scale(force))
	}
	for i := range a.Feet {
		if f := &a.Feet[i]; f.Force > 0 {
			f.Center = f.Center.Scale(1 / f.Force)
		}
	}
	slices.SortStableFunc(a.Feet, func(x, y Foot) int {
		switch {
		case x.Copy < y.Copy:
			return -1
		case x.Copy > y.Copy:
			return 1
		}
		return 0
	})
}

// Nodes is how many nodes the piece was divided into, and Triangles how many triangles.
func (p *Piece) Nodes() int     { return len(p.model.Nodes) }
func (p *Piece) Triangles() int { return len(p.model.Triangles) }

// Bytes is the memory that the factors of the piece take.
func (p *Piece) Bytes() int64 { return p.structure.Bytes() }

// Shape is a loaded piece for who draws it.
type Shape struct {
	Nodes, Moved []solid.Vec // as built, and by how much they move
	Triangles    [][3]int32
	Share        []float64 // by triangle: of the yield stress, in its middle
}

// Shape is the piece as the load moves it.
func (a *Answer) Shape() *Shape {
	s := &Shape{Nodes: a.piece.model.Nodes}
	for n := range s.Nodes {
		s.Moved = append(s.Moved, a.Displacement(n))
	}
	for i, t := range a.piece.model.Triangles {
		s.Triangles = append(s.Triangles, t.Nodes)
		s.Share = append(s.Share, a.Share(i))
	}
	return s
}
