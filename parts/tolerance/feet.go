package tolerance

import (
	"math"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
)

// Feet is what a piece stands on.
type Feet struct {
	Count    int     `json:"count"`
	Rock     float64 `json:"rock_mm"`         // mm that the fourth of four feet is off the floor, 95 in 100 within, put together as the holes have it
	Levelled float64 `json:"levelled_mm"`     // the same of a piece that stood on a flat table when its last holes were drilled
	Holes    bool    `json:"can_be_levelled"` // there are holes drilled in place, so that it can be levelled
}

const (
	onFloor  = 0.05 // mm: metal that is no higher stands
	footSize = 0.34 // of the piece's breadth, that a foot may be wide; what is wider is a rail
)

// foot is where a copy stands: the middle of its metal on the floor.
type foot struct {
	sheet
	at   solid.Vec
	wide float64 // mm
}

// rocking is how far the fourth of four feet is off the floor; false where there are not four.
func (m *model) rocking() (f form, ok bool) {
	feet, stands := m.standing()
	if !stands || len(feet) != 4 {
		return f, false
	}
	w, ok := balance([4]foot(feet))
	if !ok {
		return f, false
	}
	for i, p := range feet {
		m.moved(&f, p.sheet, p.at, solid.Vec{Z: w[i]})
		m.weighed += float64(w[i] * w[i])
	}
	return f, true
}

// feet tells how a piece stands that has three or four feet, each where one copy reaches the
// floor; nil of one that stands on rails or plates.
func (p *pins) feet() *Feet {
	m := p.g.m
	if p.g.feet < 0 {
		if feet, ok := m.standing(); ok && len(feet) == 3 {
			return &Feet{Count: 3}
		}
		return nil
	}
	out := &Feet{Count: 4}
	for i := range m.stacks {
		for _, s := range m.stacks[i].sheets {
			out.Holes = out.Holes || s.point.Made() == panel.InPlace
		}
	}
	cut, table := m.s.Cutter.Tolerance/2, m.s.Tolerance.Table/2
	rocks := p.see(p.g.feet)
	v := p.cov(rocks, rocks)
	out.Rock = spread{long: math.Sqrt(v + float64(float64(cut*cut)*m.weighed))}.within()
	out.Levelled = spread{long: table * math.Sqrt(m.weighed)}.within()
	return out
}

// balance are the weights by which four feet's heights tell how far the one of least weight
// is off the floor while the others stand on it: those of the one motion of the four that
// is none of a plane. false where they stand in a line.
func balance(f [4]foot) (w [4]float64, ok bool) {
	area := func(a, b, c int) float64 {
		p, q := f[b].at.Sub(f[a].at), f[c].at.Sub(f[a].at)
		return float64(p.X*q.Y) - float64(p.Y*q.X)
	}
	w = [4]float64{area(1, 2, 3), -area(0, 2, 3), area(0, 1, 3), -area(0, 1, 2)}
	least := math.Inf(1)
	for _, v := range w {
		least = min(least, math.Abs(v))
	}
	if least < 1 {
		return w, false
	}
	for i := range w {
		w[i] /= least
	}
	return w, true
}

// standing finds the copies that reach the floor, each with the middle of what stands; false
// where one stands on more than a foot, or is not fastened.
func (m *model) standing() (feet []foot, ok bool) {
	whole := plane.EmptyBox()
	for c := range m.a.Copies {
		f, box, stands := m.stands(c)
		whole = whole.Union(box)
		if !stands {
			continue
		}
		if m.hinged[c] < 0 {
			return nil, false
		}
		feet = append(feet, f)
	}
	size := whole.Size()
	for _, f := range feet {
		if f.wide > footSize*max(size.X, size.Y) {
			return nil, false
		}
	}
	return feet, true
}

// stands tells where a copy stands, and the box around it seen from above.
func (m *model) stands(c int) (f foot, box plane.Box, ok bool) {
	copy := &m.a.Copies[c]
	flat := m.a.Blanks[copy.Blank].Flat
	box, on := plane.EmptyBox(), plane.EmptyBox()
	n, sum := 0.0, solid.Vec{}
	for i := range flat.Faces {
		for _, v := range flat.Faces[i].Loop {
			for _, deep := range [2]float64{0, flat.Panel.Stock.Thickness} {
				at := copy.Matrix.Apply(flat.Faces[i].Frame.Shifted(-deep).At(v.P))
				from := plane.Point{X: at.X, Y: at.Y}
				box = box.With(from)
				if math.Abs(at.Z) > onFloor {
					continue
				}
				on = on.With(from)
				f.sheet, n, sum = sheet{copy: c, face: i}, n+1, sum.Add(at)
			}
		}
	}
	if n == 0 {
		return f, box, false
	}
	f.at, f.wide = sum.Scale(1/n), max(on.Size().X, on.Size().Y)
	return f, box, true
}
