package shopcheck

import (
	"math"

	"perch/parts/bend"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
)

// hemAngle is the bend angle above which a fold is a hem, closed or open.
const hemAngle = 150*bend.Degree + 1e-9

func (c *checker) fold(f *panel.FlatFold, stated panel.Fold) {
	place := c.foldPlace(f)
	c.radius(f, place)
	if f.Bend.Angle > hemAngle {
		c.hem(f, place)
		c.flange(f, place, f.A, f.TangentA)
	} else {
		c.flange(f, place, f.A, f.TangentA)
		c.flange(f, place, f.B, f.TangentB)
	}
	c.relief(stated, place)
	c.brake(f, place)
	if above(f.Deviation, maxDeviation) {
		c.add(deviation, place, f.Deviation, maxDeviation,
			"the straight ends of the bend strip miss the true cut by %.2f, more than %.1f: grind to fit, or use a smaller radius than %.3g",
			measure.Length(f.Deviation), measure.Length(maxDeviation), measure.Length(f.Bend.Radius))
	}
}

// radius asks for the material's least inside radius; a closed hem is meant to have none.
func (c *checker) radius(f *panel.FlatFold, place Subject) {
	b := f.Bend
	if b.Radius == 0 && b.Angle > hemAngle {
		return
	}
	least := 1.0
	if m, ok := c.shop.Material(c.flat.Panel.Stock.Material); ok {
		least = m.MinRadius
	}
	if limit := float64(least * b.Thickness); below(b.Radius, limit) {
		c.add(insideRadius, place, b.Radius, limit, "sheet of %.3g may crack at an inside radius of %.3g: at least %.3g, %.3g along the grain",
			measure.Length(b.Thickness), measure.Length(b.Radius), measure.Length(limit), measure.Length(1.5*limit))
	}
}

// depth is how far a face reaches from its tangent line, in mm, square to it.
func (c *checker) depth(face int, line [2]plane.Point) (float64, bool) {
	dir := line[1].Sub(line[0]).Unit()
	if face < 0 || face >= len(c.flat.Faces) || dir == (plane.Point{}) {
		return 0, false
	}
	m := plane.Translate(line[0].Neg()).Then(plane.RotateTo(plane.Point{X: dir.X, Y: -dir.Y}))
	box := c.flat.Faces[face].Loop.Transform(m).Bounds()
	if box.Empty() {
		return 0, false
	}
	return max(box.Max.Y, -box.Min.Y), true
}

// flange asks for enough flat to hold and to push on.
func (c *checker) flange(f *panel.FlatFold, place Subject, face int, line [2]plane.Point) {
	got, ok := c.depth(face, line)
	if !ok {
		return
	}
	t := f.Bend.Thickness
	if limit := max(float64(3*t), minFlange); below(got, limit) {
		c.add(flangeFlat, place.with(c.faceName(face)), got, limit, "face %s has %.2f of flat beyond the bend; at least %.3g is needed: make it %.2f deeper",
			c.faceName(face), measure.Length(got), measure.Length(limit), measure.Length(limit-got))
	}
	if c.shop.Brake.Kind != shop.BrakeVDie {
		return
	}
	opening := dieOpening(c.shop.Brake, t)
	outside := f.Bend.SetBack(true)
	limit := float64(0.7*opening) + outside - (f.Bend.Radius + t)
	if mold := got + outside; below(mold, limit) {
		c.add(flangeDie, place.with(c.faceName(face)), mold, limit, "face %s is %.2f to the mold line; a V of %.3g needs %.2f: make it %.2f deeper, or use a narrower die",
			c.faceName(face), measure.Length(mold), measure.Length(opening), measure.Length(limit), measure.Length(limit-mold))
	}
}

// dieOpening is the V for a sheet: the stated multiple, or the next wider die there is.
func dieOpening(b shop.Brake, t float64) float64 {
	want := float64(b.Opening * t)
	for _, v := range b.Openings {
		if v >= want-tol {
			return v
		}
	}
	if n := len(b.Openings); n > 0 {
		return b.Openings[n-1]
	}
	return want
}

func (c *checker) hem(f *panel.FlatFold, place Subject) {
	t := f.Bend.Thickness
	if above(t, c.shop.Brake.HemThickness) {
		c.add(hemThickness, place, t, c.shop.Brake.HemThickness, "hem on sheet of %.3g; up to %.3g can be closed: use thinner sheet or an open flange",
			measure.Length(t), measure.Length(c.shop.Brake.HemThickness))
	}
	flat, ok := c.depth(f.B, f.TangentB)
	if !ok {
		return
	}
	if got, limit := flat+f.SetBackB, max(4*t, minHem); below(got, limit) {
		c.add(hemReturn, place.with(c.faceName(f.B)), got, limit, "the hem returns %.2f; at least %.3g is needed: make it %.2f wider", measure.Length(got), measure.Length(limit), measure.Length(limit-got))
	}
}

// relief asks of a stated relief what the rule's own size always has.
func (c *checker) relief(stated panel.Fold, place Subject) {
	limit := max(c.t, minNotchRelief)
	switch {
	case stated.ReliefSize <= 0 || stated.Relief == panel.ReliefSlit || stated.Relief == panel.ReliefNone:
		return
	case stated.Relief == panel.ReliefRound:
		limit = max(c.t, minCircleRelief)
	}
	if below(stated.ReliefSize, limit) {
		c.add(reliefWidth, place, stated.ReliefSize, limit, "relief of %.3g; at least %.3g, or a slit of one kerf (%.3g)",
			measure.Length(stated.ReliefSize), measure.Length(limit), measure.Length(c.shop.Cutter.Kerf))
	}
}

// brake asks whether the machine bends that sheet over that length.
func (c *checker) brake(f *panel.FlatFold, place Subject) {
	b, t := c.shop.Brake, f.Bend.Thickness
	if limit := float64(b.Over * b.Thickness); above(t, limit) {
		c.add(brakeRating, place, t, limit, "%.3g sheet; the brake takes up to %.3g at any length: use thinner sheet, or have it bent", measure.Length(t), measure.Length(limit))
		return
	}
	length := f.From.Dist(f.To)
	if !(b.Length > 0) {
		return
	}
	if got := float64(t * math.Sqrt(length/b.Length)); above(got, b.Thickness) {
		ratio := b.Thickness / t
		c.add(brakeRating, place, got, b.Thickness, "bending %.3g over %.0f asks for a rating of %.2f; the brake's is %.3g: keep the fold to %.0f",
			measure.Length(t), measure.Length(length), measure.Length(got), measure.Length(b.Thickness), measure.Length(b.Length*ratio*ratio))
	}
}
