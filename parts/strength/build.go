package strength

import (
	"context"
	"errors"
	"math"
	"slices"

	"perch/parts/join"
	"perch/parts/mesh"
	"perch/parts/panel"
	"perch/parts/shell"
	"perch/parts/solid"
	"perch/solver/elementary"
	"perch/solver/sparse"
)

func sincos(a float64) (s, c float64) { return elementary.Sincos(a) }

func vec(x, y, z float64) solid.Vec { return solid.Vec{X: x, Y: y, Z: z} }

const mostNodes = 60_000

// New makes an assembly ready to be loaded: an *Error where no estimate can be made of it.
// Copies that are meant to lie free are left out; where all are, those that do not stand by themselves.
func New(ctx context.Context, a *panel.Assembly, o Options) (*Piece, error) {
	if o.Nodes == 0 {
		o.Nodes = mostNodes
	}
	if o.Fastener == nil {
		o.Fastener = Typical
	}
	p := &Piece{assembly: a, options: o}
	flats, err := p.divide(ctx)
	if err != nil {
		return nil, err
	}
	if err := p.place(flats); err != nil {
		return nil, err
	}
	p.fasten()
	p.clamp()
	if len(o.Supports) > 0 {
		p.hang()
	} else if err := p.stand(); err != nil {
		return nil, err
	}
	if err := p.held(); err != nil {
		return nil, err
	}
	if !o.Through {
		p.touch()
	}
	return p, p.ready()
}

// tolerance is how much of the load may be left out of balance: far less than triangles or
// joints are off by.
const tolerance = 1e-4

// ready prepares the model for loads.
func (p *Piece) ready() (err error) {
	p.structure, err = shell.New(&p.model, shell.Limits{Memory: p.options.Memory, Tolerance: tolerance})
	if err != nil {
		return p.told(err)
	}
	return nil
}

// With is the same piece, on the same triangles, with its joints taken another way.
func (p *Piece) With(m Model) (*Piece, error) {
	q := *p
	q.options.Model = m
	q.model.Triangles, q.model.Links, q.links = slices.Clone(p.model.Triangles), nil, nil
	q.fasten()
	q.hold()
	q.clamp()
	return &q, q.ready()
}

// clamp stiffens the sheet under heads where joints are rigid.
func (p *Piece) clamp() {
	for i := range p.model.Triangles {
		t := &p.model.Triangles[i]
		t.Bending, t.Stretching = 1, 1
		if p.head[i] && p.options.Model != Loose {
			t.Bending, t.Stretching = clamped, clamped
		}
	}
}

// told is an error of a room below as one of this.
func (p *Piece) told(err error) error {
	var memory *sparse.MemoryError
	var pivot *sparse.PivotError
	var settle *shell.SettleError
	switch {
	case errors.As(err, &memory):
		return &Error{Reason: TooLarge, Err: err}
	case errors.As(err, &pivot):
		node, freedom := p.structure.Freedom(pivot)
		return &Error{Reason: Moves, Parts: []string{p.assembly.Copies[p.copyOf[node]].Name}, Freedom: freedom, Err: err}
	case errors.As(err, &settle):
		return &Error{Reason: Unsettled, Part: settle.Part, Err: err}
	}
	return err
}

// divide makes the triangles of every blank that a copy is made of.
func (p *Piece) divide(ctx context.Context) ([]*divided, error) {
	points := make([]map[string]float64, len(p.assembly.Blanks))
	for i := range points {
		points[i] = map[string]float64{}
	}
	for _, j := range p.assembly.Joins {
		radius := 0.0
		switch j.Kind {
		case join.Tack, join.Weld:
		case join.Plug:
			radius = j.Diameter / 2
		default:
			radius = headOf(&j) / 2
		}
		for _, m := range j.Members {
			points[p.assembly.Copies[m.Copy].Blank][m.Point] = radius
		}
	}
	flats := make([]*divided, len(p.assembly.Blanks))
	left := p.options.Nodes
	for i, b := range p.assembly.Blanks {
		metal, ok := p.options.Metal(b.Flat.Panel.Stock)
		if !ok || !(metal.E > 0) || !(metal.Yield > 0) {
			return nil, &Error{Reason: NoMetal, Parts: []string{b.Name}}
		}
		p.metals = append(p.metals, metal)
		d, err := divide(ctx, b.Flat, points[i], p.options.Side, left)
		var many *mesh.TooManyError
		switch {
		case errors.As(err, &many):
			return nil, &Error{Reason: TooLarge, Parts: []string{b.Name}, Err: err}
		case err != nil && ctx.Err() != nil:
			return nil, err
		case err != nil:
			return nil, &Error{Reason: NoMesh, Parts: []string{b.Name}, Err: err}
		}
		flats[i] = d
		if left -= len(d.Nodes) * max(1, b.Count); left < 0 {
			return nil, &Error{Reason: TooLarge, Err: &mesh.TooManyError{Most: p.options.Nodes}}
		}
	}
	return flats, nil
}

// leftOut are the copies that are meant to lie free; where all are, those that do not stand
// on the floor by themselves.
func (p *Piece) leftOut(flats []*divided) []bool {
	left := make([]bool, len(p.assembly.Copies))
	low := make([]float64, len(left))
	all, lowest := true, math.Inf(1)
	for c, copied := range p.assembly.Copies {
		left[c] = copied.Loose
		all = all && copied.Loose
		low[c] = math.Inf(1)
		for _, v := range flats[copied.Blank].at {
			low[c] = math.Min(low[c], copied.Matrix.Apply(v).Z)
		}
		lowest = math.Min(lowest, low[c])
	}
	if all {
		for c := range left {
			left[c] = low[c] > lowest+reach
		}
	}
	return left
}

// place puts the copies' nodes and triangles where the parts stand.
func (p *Piece) place(flats []*divided) error {
	left := p.leftOut(flats)
	for c, copied := range p.assembly.Copies {
		if left[c] {
			continue
		}
		b := p.assembly.Blanks[copied.Blank]
		d, metal := flats[copied.Blank], p.metals[copied.Blank]
		from := len(p.model.Nodes)
		p.placed = append(p.placed, placed{copy: c, from: from, to: from + len(d.Nodes), flat: d, tri: len(p.model.Triangles)})
		for _, v := range d.at {
			p.model.Nodes = append(p.model.Nodes, copied.Matrix.Apply(v))
			p.copyOf = append(p.copyOf, int32(c))
		}
		for _, t := range d.Triangles {
			n := [3]int32{t[0] + int32(from), t[1] + int32(from), t[2] + int32(from)}
			if copied.Mirrored {
				n[1], n[2] = n[2], n[1]
			}
			tri := shell.Triangle{Nodes: n, Thickness: b.Flat.Panel.Stock.Thickness, Material: metal.Material}
			under, near := d.under(t)
			p.model.Triangles = append(p.model.Triangles, tri)
			p.triCopy = append(p.triCopy, int32(c))
			p.head = append(p.head, under)
			p.patch = append(p.patch, near)
		}
	}
	return nil
}

// headOf is the diameter of a fastener's head: twice its own where it is not told.
func headOf(j *panel.JoinPoint) float64 {
	if j.Head > 0 {
		return j.Head
	}
	return 2 * j.Diameter
}

// clamped is how many times stiffer the sheet under a head is taken than beside it: so much
// that more changes nothing that counts.
const clamped = 50

// under tells whether a triangle lies under a head, and whether so near to one that its
// stress tells of the way that the joint is modelled, not of the sheet.
func (d *divided) under(t [3]int32) (under, near bool) {
	c := d.Nodes[t[0]].Add(d.Nodes[t[1]]).Add(d.Nodes[t[2]]).Scale(1.0 / 3)
	for _, h := range d.heads {
		dist := c.Dist(h.at)
		under = under || dist < h.radius
		near = near || dist < 2.5*h.radius
	}
	for _, n := range d.center {
		near = near || d.Nodes[n].Dist(c) < 10
	}
	return under, near
}

// node is that of a copy's point.
func (p *Piece) node(copied int, point string) (int32, bool) {
	for i := range p.placed {
		if p.placed[i].copy == copied {
			n, ok := p.placed[i].flat.center[point]
			return int32(p.placed[i].from + n), ok
		}
	}
	return -1, false
}

// fasten joins the sheets of every fastener, each with the next in its stack.
func (p *Piece) fasten() {
	for i, j := range p.assembly.Joins {
		for k := 1; k < len(j.Members); k++ {
			a, okA := p.node(j.Members[k-1].Copy, j.Members[k-1].Point)
			b, okB := p.node(j.Members[k].Copy, j.Members[k].Point)
			if !okA || !okB || a == b {
				continue
			}
			at := p.model.Nodes[a].Add(p.model.Nodes[b]).Scale(0.5)
			l := shell.Link{A: a, B: b, ArmA: at.Sub(p.model.Nodes[a]), ArmB: at.Sub(p.model.Nodes[b]), Axis: j.Axis.Unit()}
			p.stiffen(&l, &j, p.sheet(a), p.sheet(b))
			p.model.Links = append(p.model.Links, l)
			p.links = append(p.links, fixing{i, p.options.Fastener(&j)})
		}
	}
}

// sheet is a node's thickness and modulus.
func (p *Piece) sheet(node int32) (s struct{ t, e float64 }) {
	b := p.assembly.Copies[p.copyOf[node]].Blank
	s.t, s.e = p.assembly.Blanks[b].Flat.Panel.Stock.Thickness, p.metals[b].E
	return s
}

// steelShank is the modulus of a fastener's shank, MPa: steel.
const steelShank = 205000

// stiffen gives a link its stiffness. Rivets and bolts in shear by H. Huth's formula for one
// row in single shear ("Influence of fastener flexibility on the prediction of load transfer
// and fatigue life for multiple-row joints", ASTM STP 927, 1986; from memory): with a = 2/5,
// b = 2.2 for rivets and a = 2/3, b = 3 for bolts,
//
//	1/k = ((t1 + t2)/(2d))ᵃ · b · (1/(t1·E1) + 1/(t2·E2) + 1/(2·t1·E3) + 1/(2·t2·E3))
//
// in pull as a rod of the stack's length and a diameter more, in tilt as a head that presses
// on its ring. A weld, tack or plug is as stiff as the sheet beside it.
func (p *Piece) stiffen(l *shell.Link, j *panel.JoinPoint, s1, s2 struct{ t, e float64 }) {
	d := j.Diameter
	switch j.Kind {
	case join.Rivet, join.Bolt:
		a, b := 2.0/5, 2.2
		if j.Kind == join.Bolt {
			a, b = 2.0/3, 3
		}
		give := elementary.Pow((s1.t+s2.t)/(2*d), a) * b * (1/(s1.t*s1.e) + 1/(s2.t*s2.e) + 1/(2*s1.t*steelShank) + 1/(2*s2.t*steelShank))
		l.Shear = 1 / give
		l.Pull = math.Pi / 4 * d * d * steelShank / (s1.t + s2.t + d)
		r := headOf(j) / 2
		l.Tilt, l.Twist = l.Pull*r*r/2, l.Shear*r*r
		if p.options.Model == Loose {
			l.Shear /= 2
			l.Tilt, l.Twist = l.Tilt*ball, l.Twist*ball
		}
	default:
		r := math.Max(d, 4) / 2
		e := math.Min(s1.e*s1.t, s2.e*s2.t)
		l.Shear, l.Pull = e, e
		l.Tilt, l.Twist = e*r*r, e*r*r
	}
	if p.options.Model == Solid {
		l.Shear, l.Pull, l.Tilt, l.Twist = l.Shear*unyielding, l.Pull*unyielding, l.Tilt*unyielding, l.Twist*unyielding
	}
}

// unyielding is how many times stiffer than rigid joints those are that do not give at all.
const unyielding = 100

// ball is what is left of the resistance to tilting of a fastener that is taken as a ball
// joint: enough that one alone does not leave a sheet free.
const ball = 1e-3

// contactStiffness is that of two sheets, or a sheet and the floor, which touch at a node,
// N/mm: far above that of a sheet in bending, far below where rounding shows.
const contactStiffness = 2e4

// floorStiffness is that of metal on the floor: with a tenth of it a stand of three legs is a
// sixth softer sideways.
const floorStiffness = 2e5

// stand sets the piece on a floor as high as its lowest metal: nodes of outlines that lie as low as any metal does.
func (p *Piece) stand() error {
	low := math.Inf(1)
	for n, v := range p.model.Nodes {
		low = math.Min(low, v.Z-p.below(int32(n)))
	}
	var at []solid.Vec
	for n, v := range p.model.Nodes {
		if v.Z-p.below(int32(n)) > low+reach {
			continue
		}
		p.feet = append(p.feet, len(p.model.Contacts))
		p.model.Contacts = append(p.model.Contacts, shell.Contact{Node: int32(n), Face: [3]int32{-1, -1, -1}, Normal: vec(0, 0, 1),
			Stiffness: floorStiffness, Friction: p.options.Friction})
		at = append(at, v)
	}
	if !spans(at) {
		return &Error{Reason: OneLine}
	}
	return nil
}

// reach is how far above the lowest metal, mm, what still stands on the floor may be.
const reach = 0.8

// below is how far a sheet's metal may reach below a node in its middle: half its thickness
// where it lies level, nothing where it stands upright.
func (p *Piece) below(n int32) float64 {
	if p.lean == nil {
		p.lean = make([]float64, len(p.model.Nodes))
		for i, t := range p.model.Triangles {
			a, b, c := p.model.Nodes[t.Nodes[0]], p.model.Nodes[t.Nodes[1]], p.model.Nodes[t.Nodes[2]]
			z := math.Abs(b.Sub(a).Cross(c.Sub(a)).Unit().Z) * p.model.Triangles[i].Thickness / 2
			for _, k := range t.Nodes {
				p.lean[k] = math.Max(p.lean[k], z)
			}
		}
	}
	return p.lean[n]
}

// spans tells whether places on the floor lie on no one line.
func spans(at []solid.Vec) bool {
	far := at[0]
	for _, v := range at {
		if v.Sub(at[0]).Len() > far.Sub(at[0]).Len() {
			far = v
		}
	}
	d := far.Sub(at[0])
	for _, v := range at {
		if d.Cross(v.Sub(at[0])).Len() > 1*d.Len() {
			return true
		}
	}
	return false
}

// held tells of parts that no fastener holds, by way of others, to what stands.
func (p *Piece) held() error {
	group := make([]int, len(p.assembly.Copies))
	for i := range group {
		group[i] = i
	}
	var root func(int) int
	root = func(i int) int {
		if group[i] != i {
			group[i] = root(group[i])
		}
		return group[i]
	}
	for _, l := range p.model.Links {
		a, b := root(int(p.copyOf[l.A])), root(int(p.copyOf[l.B]))
		group[max(a, b)] = min(a, b)
	}
	stands := map[int]bool{}
	for _, f := range p.feet {
		stands[root(int(p.copyOf[p.model.Contacts[f].Node]))] = true
	}
	for _, h := range p.holds {
		for _, n := range h.rim {
			stands[root(int(p.copyOf[n]))] = true
		}
	}
	var free []string
	first := -1
	for _, c := range p.placed {
		r := root(c.copy)
		if !stands[r] {
			free = append(free, p.assembly.Copies[c.copy].Name)
			continue
		}
		if first < 0 {
			first = r
		}
	}
	if len(free) > 0 {
		return &Error{Reason: Unheld, Parts: free}
	}
	return nil
}
