package scene

import (
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// least is the angle, radians, below which a fold counts as flat: on a strip 10 mm wide it
// lifts the far side by 5e-6 mm.
const least = 1e-6

// Bent tells how far each fold is bent, radians, at a part of the way from the flat, 0, to the
// finished part, 1: one fold after the other where their order is planned, the others together
// at the end.
func (s *Shape) Bent(part float64) []float64 {
	out := make([]float64, len(s.Folds))
	turns := len(s.Order)
	planned := make([]bool, len(s.Folds))
	for _, f := range s.Order {
		planned[f] = true
	}
	if turns < len(s.Folds) {
		turns++
	}
	stage := func(k int) float64 { return min(1, max(0, float64(part*float64(turns))-float64(k))) }
	for i := range s.Folds {
		if !planned[i] {
			out[i] = float64(s.Folds[i].Angle * stage(turns-1))
		}
	}
	for k, f := range s.Order {
		out[f] = float64(s.Folds[f].Angle * stage(k))
	}
	return out
}

// arc is a fold's strip under way: bent round one radius all over, so that the neutral axis
// keeps its length.
type arc struct {
	frame   solid.Frame // of face A, flat coordinates to part space
	n, z, u solid.Vec   // away from A, its normal, along the fold
	angle   float64
	drawn   float64 // radius of the drawn surface
	side    float64 // +1 up, −1 down
}

func (f *Fold) arc(a solid.Frame, thickness, angle float64) arc {
	out := arc{frame: a, n: a.Dir(f.away()), z: a.Normal(), u: a.Dir(f.Along), angle: angle, side: 1}
	if angle < least {
		out.angle = 0
		return out
	}
	neutral := f.Allowance / angle
	if f.Down {
		out.side, out.drawn = -1, neutral+float64((1-f.K)*thickness)
	} else {
		out.drawn = neutral - float64(f.K*thickness)
	}
	return out
}

// away is the unit direction in the flat from face A to face B.
func (f *Fold) away() plane.Point { return plane.Point{X: f.Along.Y, Y: -f.Along.X} }

// at carries a point of the flat, at a depth under the drawn side, to part space, with the
// drawn side's outward normal there.
func (f *Fold) at(a arc, p plane.Point, depth float64) (at, normal solid.Vec) {
	if a.angle == 0 {
		return a.frame.At(p).Add(a.z.Scale(-depth)), a.z
	}
	d := p.Sub(f.Start)
	across, along := d.Dot(f.away()), d.Dot(f.Along)
	radius := a.drawn + float64(a.side*depth)
	sin, cos := elementary.Sincos(float64(a.angle * across / f.Allowance))
	base := a.frame.At(f.Start.Add(f.Along.Scale(along)))
	at = base.Add(a.n.Scale(float64(radius * sin))).Add(a.z.Scale(float64(a.side * (a.drawn - float64(radius*cos)))))
	return at, a.z.Scale(cos).Add(a.n.Scale(float64(-a.side * sin)))
}

// far is the frame of what hangs on face B.
func (f *Fold) far(a arc) solid.Frame {
	if a.angle == 0 {
		return a.frame
	}
	n := f.away()
	end := f.Start.Add(n.Scale(f.Allowance))
	touch, _ := f.at(a, end, 0)
	sin, cos := elementary.Sincos(a.angle)
	on := a.n.Scale(cos).Add(a.z.Scale(float64(a.side * sin)))
	image := func(p plane.Point) solid.Vec { return a.u.Scale(p.Dot(f.Along)).Add(on.Scale(p.Dot(n))) }
	return solid.Frame{O: touch.Sub(image(end)), X: image(plane.Point{X: 1}), Y: image(plane.Point{Y: 1})}
}

// Posture is a shape with its folds bent by so much.
type Posture struct {
	shape  *Shape
	Frames []solid.Frame // by face, flat coordinates to part space
	arcs   []arc         // by fold
}

// Posture bends the folds by angles, radians: the root face lies as it does in the flat.
func (s *Shape) Posture(bent []float64) *Posture {
	p := &Posture{shape: s, Frames: make([]solid.Frame, len(s.Faces)), arcs: make([]arc, len(s.Folds))}
	at := make([]bool, len(s.Faces))
	p.Frames[s.Root], at[s.Root] = solid.Frame{X: solid.Vec{X: 1}, Y: solid.Vec{Y: 1}}, true
	for again := true; again; {
		again = false
		for i := range s.Folds {
			f := &s.Folds[i]
			if !at[f.A] || at[f.B] {
				continue
			}
			p.arcs[i] = f.arc(p.Frames[f.A], s.Thickness, bent[i])
			p.Frames[f.B] = f.far(p.arcs[i])
			at[f.B], again = true, true
		}
	}
	return p
}

// At is where a point of a region of the flat lies, at a depth under the drawn side, and the
// drawn side's outward normal there.
func (p *Posture) At(region int, q plane.Point, depth float64) (at, normal solid.Vec) {
	if k := region - len(p.Frames); k >= 0 {
		return p.shape.Folds[k].at(p.arcs[k], q, depth)
	}
	f := p.Frames[region]
	n := f.Normal()
	return f.At(q).Add(n.Scale(-depth)), n
}

// Solid is closed: each edge of its triangles is that of one other, the other way round.
type Solid struct {
	Points    []solid.Vec // the nodes on the drawn side, then on the other
	Triangles [][3]int32  // counter-clockwise from outside
}

// Solid is the metal with its folds bent by angles, in part space.
func (s *Shape) Solid(bent []float64) Solid {
	n := int32(len(s.Nodes))
	p := s.Posture(bent)
	out := Solid{Points: make([]solid.Vec, 2*n), Triangles: make([][3]int32, 0, 2*len(s.Triangles)+2*len(s.Border))}
	for i, node := range s.Nodes {
		out.Points[i], _ = p.At(node.Region, node.P, 0)
		out.Points[int32(i)+n], _ = p.At(node.Region, node.P, s.Thickness)
	}
	for _, t := range s.Triangles {
		v := t.Nodes
		out.Triangles = append(out.Triangles, v, [3]int32{v[0] + n, v[2] + n, v[1] + n})
	}
	for _, e := range s.Border {
		out.Triangles = append(out.Triangles, [3]int32{e.To, e.From, e.From + n}, [3]int32{e.To, e.From + n, e.To + n})
	}
	return out
}

// Volume is what the triangles enclose, mm³.
func (s Solid) Volume() float64 {
	sum := 0.0
	for _, t := range s.Triangles {
		a, b, c := s.Points[t[0]], s.Points[t[1]], s.Points[t[2]]
		sum += float64(a.Dot(b.Cross(c)) / 6)
	}
	return sum
}
