package strength

import (
	"math"

	"perch/parts/plane"
	"perch/parts/shell"
	"perch/parts/solid"
)

// Support holds a piece that hangs: the rim of an opening, by a screw or hook in it. With
// one nothing stands on the floor.
type Support struct {
	Name    string
	Copy    int         // index of Assembly.Copies
	Frame   solid.Frame // of the face, in the world, on the drawn side
	Opening plane.Region
}

// Hold is what a support carries.
type Hold struct {
	Name         string
	Out          float64 // N, that pulls straight out of the wall; below 0 where it presses
	Across       float64 // N, that shears along it
	Leans        bool    // what lies on the wall presses on it
	rim          []int32
	axis, center solid.Vec
}

// rimStiffness is that of the sheet held at one node of a rim, N/mm: about a sheet's own.
const rimStiffness = 1e5

// hang holds the piece by its supports in place of a floor: the nodes of each rim, each with a
// ball joint of a sheet's own stiffness, to one node that is held. Where all metal lies on one side of the face
// that a support is in, what lies in that plane leans on a wall there, which presses and
// never pulls.
func (p *Piece) hang() {
	s := p.options.Supports
	p.ground = int32(len(p.model.Nodes))
	p.model.Nodes = append(p.model.Nodes, s[0].Frame.At(s[0].Opening[0].Centroid()))
	p.copyOf = append(p.copyOf, int32(s[0].Copy))
	for f := shell.MoveX; f <= shell.TurnZ; f++ {
		p.model.Held = append(p.model.Held, shell.Held{Node: p.ground, Freedom: f})
	}
	for i := range s {
		h := Hold{Name: s[i].Name, axis: s[i].Frame.Normal(), center: s[i].Frame.At(s[i].Opening[0].Centroid())}
		h.rim = p.rim(&s[i])
		p.holds = append(p.holds, h)
	}
	p.against()
	p.hold()
}

// rim are the nodes at the edge of a support's opening; the nearest where it is too small
// to have its own.
func (p *Piece) rim(s *Support) (nodes []int32) {
	near := math.Max(0.5, 0.1*p.options.Side)
	best, least := int32(-1), math.Inf(1)
	for _, c := range p.placed {
		if c.copy != s.Copy {
			continue
		}
		for n := int32(c.from); n < int32(c.to); n++ {
			v := p.model.Nodes[n]
			if math.Abs(v.Sub(s.Frame.O).Dot(s.Frame.Normal())) > 1.5*p.sheet(n).t {
				continue
			}
			d, _ := s.Opening.DistanceTo(s.Frame.Local(v))
			if d < near {
				nodes = append(nodes, n)
			}
			if d < least {
				best, least = n, d
			}
		}
	}
	if len(nodes) == 0 && best >= 0 {
		nodes = []int32{best}
	}
	return nodes
}

// hold links the rims to the node that is held.
func (p *Piece) hold() {
	for _, h := range p.holds {
		for _, n := range h.rim {
			p.model.Links = append(p.model.Links, shell.Link{A: p.ground, B: n, ArmA: p.model.Nodes[n].Sub(p.model.Nodes[p.ground]), Axis: h.axis,
				Shear: rimStiffness, Pull: rimStiffness, Tilt: rimStiffness, Twist: rimStiffness})
		}
	}
}

// against finds the wall that a piece hangs on, by its first support, and what leans on it.
func (p *Piece) against() {
	if p.options.Through {
		return
	}
	s := p.options.Supports[0]
	n := s.Frame.Normal()
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, c := range p.placed {
		for k := c.from; k < c.to; k++ {
			d := p.model.Nodes[k].Sub(s.Frame.O).Dot(n)
			lo, hi = math.Min(lo, d), math.Max(hi, d)
		}
	}
	own := 1.5 * p.assembly.Blanks[p.assembly.Copies[s.Copy].Blank].Flat.Panel.Stock.Thickness
	switch {
	case hi <= own: // all lies behind the drawn side
		n = n.Neg()
		lo, hi = -hi, -lo
	case lo < -own:
		return // metal on both sides: it hangs free
	}
	held := map[int32]bool{}
	for i := range p.holds {
		p.holds[i].Leans, p.holds[i].axis = true, n
		for _, k := range p.holds[i].rim {
			held[k] = true
		}
	}
	for _, c := range p.placed {
		for k := int32(c.from); k < int32(c.to); k++ {
			if p.model.Nodes[k].Sub(s.Frame.O).Dot(n) < lo+reach && !held[k] {
				p.model.Contacts = append(p.model.Contacts, shell.Contact{Node: k, Face: [3]int32{-1, -1, -1}, Normal: n, Stiffness: contactStiffness})
			}
		}
	}
}

// carried are the supports with what they carry: by how far the rims have moved.
func (a *Answer) carried() (all []Hold) {
	for _, h := range a.piece.holds {
		var f solid.Vec
		for _, n := range h.rim {
			f = f.Add(a.Displacement(int(n)).Scale(rimStiffness))
		}
		h.Out = f.Dot(h.axis)
		h.Across = f.Sub(h.axis.Scale(h.Out)).Len()
		all = append(all, h)
	}
	return all
}

// stops is the friction of feet that stand against stops: more than any push.
const stops = 1e6

// stopped is the same piece, its feet against stops.
func (p *Piece) stopped() (*Piece, error) {
	q := *p
	q.model.Contacts = append([]shell.Contact(nil), p.model.Contacts...)
	for _, i := range p.feet {
		q.model.Contacts[i].Friction = stops
	}
	return &q, q.ready()
}
