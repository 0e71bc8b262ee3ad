package shell

import (
	"math"

	"perch/parts/solid"
	"perch/solver/sparse"
)

// linkForces is what a link does in a state: force and moment on B along the world, what
// turns, and the arms.
type linkForces struct {
	force, moment solid.Vec // on B's end, as it resists
	across        float64   // size of the shear force, N
	pull          float64   // along the axis, N, positive where the ends are pulled apart
	armA, armB    solid.Vec
	gap           solid.Vec
	frame         mat3 // columns: two directions square to the axis, the axis
}

// square gives two unit vectors square to a unit vector and to each other.
func square(axis solid.Vec) (x, y solid.Vec) {
	other := vec(1, 0, 0)
	if math.Abs(axis.X) > 0.7 {
		other = vec(0, 1, 0)
	}
	x = axis.Cross(other).Unit()
	return x, axis.Cross(x)
}

func (l *Link) in(s *State) (f linkForces) {
	x, y := square(l.Axis)
	built := columns(x, y, l.Axis)
	ra, rb := s.turned[l.A].matrix(), s.turned[l.B].matrix()
	f.frame = ra.times(&built)
	f.armA, f.armB = ra.apply(l.ArmA), rb.apply(l.ArmB)
	f.gap = s.at[l.B].Add(f.armB).Sub(s.at[l.A].Add(f.armA))
	g := f.frame.back(f.gap)
	t := vec(l.Shear*g.X, l.Shear*g.Y, l.Pull*g.Z)
	f.across = math.Sqrt(float64(t.X*t.X) + float64(t.Y*t.Y))
	f.pull = t.Z
	f.force = f.frame.apply(t)
	back := ra.transposed()
	turned := back.times(&rb)
	built0 := built.transposed()
	turned = built0.times(&turned)
	turned = turned.times(&built)
	v := vectorOf(&turned)
	f.moment = f.frame.apply(vec(l.Tilt*v.X, l.Tilt*v.Y, l.Twist*v.Z))
	return f
}

func (b *body) link(l *Link, s *State, of []int32, forces []float64, k *sparse.Matrix, want parts) {
	f := l.in(s)
	add(forces, of[0:3], f.force.Neg())
	add(forces, of[3:6], f.armA.Add(f.gap).Cross(f.force).Add(f.moment).Neg())
	add(forces, of[6:9], f.force)
	add(forces, of[9:12], f.armB.Cross(f.force).Add(f.moment))
	if k == nil || !want.elastic {
		return
	}
	// Rows of B: how the gap and the turn along the link's frame change with the freedoms.
	var rows [6][12]float64
	sa, sb := spin(f.armA.Add(f.gap)), spin(f.armB)
	for r := range 3 {
		for c := range 3 {
			d := f.frame[3*c+r]
			rows[r][c], rows[r][6+c] = -d, d
			rows[3+r][3+c], rows[3+r][9+c] = -d, d
			for i := range 3 {
				rows[r][3+c] += float64(f.frame[3*i+r] * sa[3*i+c])
				rows[r][9+c] -= float64(f.frame[3*i+r] * sb[3*i+c])
			}
		}
	}
	springs := [6]float64{l.Shear, l.Shear, l.Pull, l.Tilt, l.Tilt, l.Twist}
	var m [144]float64
	for i := range 12 {
		for j := range 12 {
			for r, c := range springs {
				m[12*i+j] += float64(c * rows[r][i] * rows[r][j])
			}
		}
	}
	k.AddClique(b.pattern.Places(of), m[:], 12)
}

// nodes are those that a contact meets: the node, then the face's.
func (c *Contact) nodes() []int32 {
	if c.Face[0] < 0 {
		return []int32{c.Node}
	}
	return []int32{c.Node, c.Face[0], c.Face[1], c.Face[2]}
}

// Pressure is the force by which a contact pushes in a state, N; 0 where it is open.
func (m *Model) Pressure(s *State, i int) float64 {
	c := &m.Contacts[i]
	return math.Max(0, -c.Stiffness*m.open(s, c))
}

// open is how far a contact is from touching, mm; below zero where it pushes.
func (m *Model) open(s *State, c *Contact) float64 {
	d := s.at[c.Node].Sub(m.Nodes[c.Node])
	if c.Face[0] >= 0 {
		for i, n := range c.Face {
			d = d.Sub(s.at[n].Sub(m.Nodes[n]).Scale(c.Weight[i]))
		}
	}
	return d.Dot(c.Normal) + c.Clear
}

// contact adds what a contact does. The floor holds what presses on it from sliding, by a
// spring to where it stood, up to the friction's part of the pressure.
func (b *body) contact(i int, s *State, of []int32, forces []float64, k *sparse.Matrix, want parts) {
	c := &b.Contacts[i]
	open := b.open(s, c)
	if open > 0 { // what only touches counts, or nothing would hold a piece that stands
		return
	}
	push := c.Normal.Scale(c.Stiffness * open) // what resists, on the node
	stiff := columns(c.Normal.Scale(c.Normal.X*c.Stiffness), c.Normal.Scale(c.Normal.Y*c.Stiffness), c.Normal.Scale(c.Normal.Z*c.Stiffness))
	if c.Friction > 0 && c.Face[0] < 0 {
		most := math.Inf(1)
		if b.most != nil {
			most = b.most[i]
		}
		push = push.Add(c.rub(s.at[c.Node].Sub(b.Nodes[c.Node]), most, b.kept, &stiff))
	}
	add(forces, of[:3], push)
	weight := []float64{1}
	if c.Face[0] >= 0 {
		for f, w := range c.Weight {
			add(forces, of[6*f+6:6*f+9], push.Scale(-w))
			weight = append(weight, -w)
		}
	}
	if k == nil || !want.elastic {
		return
	}
	for a, wa := range weight {
		for d := range a + 1 {
			for r := range 3 {
				for q := range 3 {
					i, j := of[6*a+r], of[6*d+q]
					if i >= 0 && j >= 0 && (a != d || q <= r) {
						k.Add(int(i), int(j), wa*weight[d]*stiff[3*r+q])
					}
				}
			}
		}
	}
}

// rub is the floor's resistance to sliding by a way from where the node stood, at most so
// much; its part of the tangent goes into stiff. What has slid on resists no more than it
// does; the kept part of the secant stays in the tangent, and a trace of the contact's own
// stiffness, or nothing would hold a piece of which all feet slide.
func (c *Contact) rub(slid solid.Vec, most, kept float64, stiff *mat3) solid.Vec {
	const trace = 1e-5
	slid = slid.Sub(c.Normal.Scale(slid.Dot(c.Normal)))
	least := trace * c.Stiffness
	hold, across, along := c.Stiffness, c.Stiffness, 0.0
	if way := slid.Len(); way*hold > most {
		hold = most / way
		across = math.Max(hold, least)
		along = (across - math.Max(float64(kept*hold), least)) / (way * way)
	}
	n, d := [3]float64{c.Normal.X, c.Normal.Y, c.Normal.Z}, [3]float64{slid.X, slid.Y, slid.Z}
	for r := range 3 {
		for q := range 3 {
			stiff[3*r+q] += float64(across*(identity[3*r+q]-float64(n[r]*n[q]))) - float64(along*float64(d[r]*d[q]))
		}
	}
	return slid.Scale(hold)
}

// tie adds what a tie does: its freedoms as they have moved from as built.
func (b *body) tie(t *Tie, s *State, of []int32, forces []float64, k *sparse.Matrix, want parts) {
	sum := 0.0
	for i, h := range t.Of {
		sum += float64(t.Factor[i] * b.moved(s, h))
	}
	for i, u := range of {
		if u < 0 {
			continue
		}
		forces[u] += float64(t.Spring * t.Factor[i] * sum)
		if k == nil || !want.elastic {
			continue
		}
		for j, v := range of[:i+1] {
			if v >= 0 {
				k.Add(int(u), int(v), t.Spring*t.Factor[i]*t.Factor[j])
			}
		}
	}
}

// moved is how far a freedom has moved.
func (b *body) moved(s *State, h Held) float64 {
	d := s.at[h.Node].Sub(b.Nodes[h.Node])
	if h.Freedom >= TurnX {
		m := s.turned[h.Node].matrix()
		d = vectorOf(&m)
	}
	return [3]float64{d.X, d.Y, d.Z}[h.Freedom%3]
}

// LinkForce is what a fastener carries, N: along its axis, positive where the sheets are
// pulled apart, and square to it.
type LinkForce struct {
	Pull, Shear float64
}

// LinkForce is that of a link.
func (a *Answer) LinkForce(i int) LinkForce {
	f := a.body.Links[i].in(a.State)
	return LinkForce{Pull: f.pull, Shear: f.across}
}
