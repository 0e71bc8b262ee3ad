package record

import (
	"math"

	"perch/parts/decimal"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// step is that to which lengths are written, mm.
const step = 1e-6

// closeEnough is how far, in mm, a written frame's plane may lie off where the written
// folds lead before another rounding of its origin is looked for.
const closeEnough = 0.8e-6

// frames are the faces' frames as they are written. A reader can come by a face's plane
// in two ways: by its frame, and along the folds, whose places and allowances are
// rounded too, fold after fold. An origin rounds to the nearest step as everything
// does, but where the two planes would lie apart by a step, to a neighbour between them.
func frames(f *panel.Flat) []solid.Frame {
	led := led(f)
	out := make([]solid.Frame, len(f.Faces))
	for i := range f.Faces {
		out[i] = f.Faces[i].Frame
		if i == f.Root || led[i] == (solid.Frame{}) {
			continue
		}
		out[i].O = origin(&f.Faces[i], led[i])
	}
	return out
}

// origin is the rounding of a face's origin with which its plane lies nearest to where
// it belongs and to where the folds lead it.
func origin(face *panel.FlatFace, led solid.Frame) solid.Vec {
	exact := face.Frame
	n := exact.Normal()
	nearest := solid.Vec{X: decimal.Round(exact.O.X, decimal.Length), Y: decimal.Round(exact.O.Y, decimal.Length), Z: decimal.Round(exact.O.Z, decimal.Length)}
	lo, hi := math.Inf(1), math.Inf(-1) // of the led plane over the exact one
	for _, v := range face.Loop {
		h := led.At(v.P).Sub(exact.At(v.P)).Dot(n)
		lo, hi = min(lo, h), max(hi, h)
	}
	off := func(o solid.Vec) float64 {
		h := o.Sub(exact.O).Dot(n)
		return max(math.Abs(h), math.Abs(h-lo), math.Abs(h-hi))
	}
	if off(nearest) <= closeEnough {
		return nearest
	}
	// Of those that are close enough the one that moves the face least; else the closest.
	best, least, moved := nearest, off(nearest), math.Inf(1)
	for dx := -1.0; dx <= 1; dx++ {
		for dy := -1.0; dy <= 1; dy++ {
			for dz := -1.0; dz <= 1; dz++ {
				o := nearest.Add(solid.Vec{X: dx, Y: dy, Z: dz}.Scale(step))
				d, m := off(o), o.Sub(exact.O).Len()
				switch {
				case d <= closeEnough && (least > closeEnough || m < moved),
					d > closeEnough && d < least-1e-9:
					best, least, moved = o, d, m
				}
			}
		}
	}
	return best
}

// led are the frames to which the folds as written lead from the root; the zero frame
// where none does.
func led(f *panel.Flat) []solid.Frame {
	out := make([]solid.Frame, len(f.Faces))
	if f.Root < 0 || f.Root >= len(out) {
		return out
	}
	out[f.Root] = solid.Frame{X: solid.Vec{X: 1}, Y: solid.Vec{Y: 1}}
	for range f.Folds {
		for i := range f.Folds {
			s := &f.Folds[i]
			if a := out[s.A]; a != (solid.Frame{}) && out[s.B] == (solid.Frame{}) {
				out[s.B] = folded(s, a, f.Panel.Stock.Thickness)
			}
		}
	}
	return out
}

// folded is the frame of a fold's second face, by the fold's numbers as written.
func folded(s *panel.FlatFold, a solid.Frame, thickness float64) solid.Frame {
	length := func(mm float64) float64 { return decimal.Round(mm, decimal.Length) }
	from := plane.Point{X: length(s.From.X), Y: length(s.From.Y)}
	to := plane.Point{X: length(s.To.X), Y: length(s.To.Y)}
	allowance, turn, radius := length(s.Bend.Allowance()), 1.0, s.Bend.Radius
	if s.Down { // the reference surface is the bend's outside
		turn, radius = -1, radius+thickness
	}
	e := to.Sub(from).Unit()
	across := e.Perp().Neg() // away from the first face
	start := from.Sub(across.Scale(allowance / 2))
	sin, cos := elementary.Sincos(s.Bend.Angle)
	up := a.Normal()
	lift := func(v plane.Point, z float64) solid.Vec { return a.Dir(v).Add(up.Scale(z)) }
	// Along e nothing changes; the direction across turns towards up or down.
	along, over := lift(e, 0), lift(across.Scale(cos), float64(turn*sin))
	in := func(x, y float64) solid.Vec { return along.Scale(x).Add(over.Scale(y)) }
	b := solid.Frame{X: in(e.X, across.X), Y: in(e.Y, across.Y)}
	end := start.Add(across.Scale(allowance))
	touch := a.At(start).Add(lift(across.Scale(float64(radius*sin)), float64(turn*radius*(1-cos))))
	b.O = touch.Sub(b.Dir(end))
	return b
}
