// Package coupon makes test strips for the brake and reads what bending them tells: a strip
// to cut with its drawing and what to do with it, and from the lengths measured after the
// factor of the neutral axis with its error band. It never writes a file.
package coupon

import (
	"fmt"
	"math"

	"perch/parts/bend"
	"perch/parts/foldmark"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// Strip is a test strip: one bend of one sheet. Lengths in mm, the angle in radians.
type Strip struct {
	Material  string
	Thickness float64
	Radius    float64 // inside
	Angle     float64
	In        measure.System // its length and width are round in
}

// Angles of a strip: flatter ones tell too little of K, the legs of sharper ones can't be
// measured to the mold line (common practice, no source).
const (
	leastAngle = 30 * bend.Degree
	mostAngle  = 150 * bend.Degree
)

// Err tells which number of a strip makes no test bend that can be measured.
func (c Strip) Err() error {
	if _, err := bend.NewBend(c.Angle, c.Thickness, c.Radius, 0); err != nil {
		return err
	}
	if c.Angle < leastAngle-1e-9 || c.Angle > mostAngle+1e-9 {
		return fmt.Errorf("a test strip bent by %.4g° can't be measured well: from %.0f° to %.0f°", c.Angle/bend.Degree, float64(leastAngle)/bend.Degree, float64(mostAngle)/bend.Degree)
	}
	if c.Length() > longest {
		return measure.Errorf("a strip for this bend would be %.4g long, longer than %.4g", measure.Length(c.Length()), measure.Length(longest))
	}
	return nil
}

// longest is how long a strip may be, mm.
const longest = 1000.0

// Length is the strip's length before bending: legs long enough to hold and to measure,
// rounded up to 10 mm or half an inch (common practice, no source).
func (c Strip) Length() float64 {
	leg := max(50, float64(5*(c.Radius+c.Thickness))+float64((c.Radius+c.Thickness)*elementary.Tan(c.Angle/2)))
	return c.rounded(2 * leg)
}

// rounded is a length rounded up.
func (c Strip) rounded(mm float64) float64 {
	step := 10.0
	if c.In == measure.Inches {
		step = measure.InchMM / 2
	}
	return float64(math.Ceil(mm/step-1e-9) * step)
}

// Width is the strip's width: ten sheets, and a finger's.
func (c Strip) Width() float64 { return c.rounded(max(36, float64(10*c.Thickness))) }

// bend is the bend with a factor of the neutral axis.
func (c Strip) bend(k float64) bend.Bend {
	return bend.Bend{Angle: c.Angle, Thickness: c.Thickness, Radius: c.Radius, K: k}
}

// Blank is the strip to be cut, with the marks by which this shop finds the fold. Its bend
// lies in the middle, whatever K is taken; the drawn side is the outside.
func (c Strip) Blank(s *shop.Shop) (*panel.Blank, error) {
	if err := c.Err(); err != nil {
		return nil, err
	}
	stock := shop.Stock{Name: "coupon", Material: c.Material, Thickness: c.Thickness, Radius: c.Radius}
	if m, ok := s.Material(c.Material); ok {
		stock.Density = m.Density
	}
	b, _ := s.Bend(stock, c.Radius, c.Angle)
	leg, wide := (c.Length()+b.Deduction())/2, c.Width()
	sin, cos := elementary.Sin(c.Angle), elementary.Cos(c.Angle)
	y := solid.Vec{Y: 1}
	p := &panel.Panel{
		Name: "coupon", Stock: stock,
		Faces: []panel.Face{
			{Name: "held", Frame: solid.Frame{X: solid.Vec{X: 1}, Y: y}, Outline: rectangle(0, leg, wide)},
			{Name: "bent", Frame: solid.Frame{O: solid.Vec{X: leg}, X: solid.Vec{X: cos, Z: -sin}, Y: y}, Outline: rectangle(0, leg, wide)},
		},
		Folds: []panel.Fold{{Name: "held/bent", A: 0, B: 1, Radius: c.Radius, K: b.K}},
	}
	f, err := panel.Unfold(p, panel.Options{Kerf: s.Cutter.Kerf})
	if err != nil {
		return nil, err
	}
	blank := &panel.Blank{Name: "coupon", Flat: f, Count: 3}
	foldmark.Mark(blank, s, nil)
	return blank, nil
}

func rectangle(from, to, wide float64) plane.Region {
	return plane.Region{{
		{P: plane.Point{X: from}}, {P: plane.Point{X: to}}, {P: plane.Point{X: to, Y: wide}}, {P: plane.Point{X: from, Y: wide}},
	}}
}

// Instructions say what to do with the strips, and how well rulers of some divisions tell K.
func (c Strip) Instructions(in measure.System) []measure.Text {
	long, wide := c.Length(), c.Width()
	step := func(mm float64) measure.Text {
		return measure.Say("read to %.3g, three strips tell K to ± %s", measure.Length(mm), short(c.Band(3, mm)))
	}
	fine, coarse := 0.1, 0.5
	if in == measure.Inches {
		fine, coarse = measure.InchMM/200, measure.InchMM/32
	}
	return []measure.Text{
		measure.Say("Three test strips of %s %.4g, inside radius %.4g, bent by %.4g°.", c.Material, measure.Length(c.Thickness), measure.Length(c.Radius), c.Angle/bend.Degree),
		measure.Say("1. Cut three strips %.5g × %.4g from one sheet, the long side across the rolling direction. Take off burrs and dross: edges are sharp.", measure.Length(long), measure.Length(wide)),
		measure.Say("2. Measure each strip's length before it is bent, and write it on the strip: the kerf makes it differ from %.5g.", measure.Length(long)),
		measure.Say("3. Bend each once, at the marks in its middle, %.5g from an end, with the tools that you bend that sheet with. Hands out of the line: a brake crushes fingers.", measure.Length(long/2)),
		measure.Say("4. Check the angle with a protractor and correct the bend until it is %.4g°: a degree off moves K by %s.", c.Angle/bend.Degree, short(math.Abs(c.perDegree()))),
		measure.Plain("5. Measure both legs on the outside: from the end to where the outsides of both legs would meet. At a square bend lay the strip with one leg flat against a block and measure to the block."),
		measure.Say("6. Tell perch each strip's legs and length before bending, with --measured LEG,LEG,FLAT for every strip, and --shop with your shop file. Calipers are worth their price: %v, %v.", step(fine), step(coarse)),
		measure.Plain("K is as good as these measurements; a batch of sheet, other tools or another operator bend a little differently. Prove the first part before the batch."),
	}
}

// short writes a small number to two digits.
func short(x float64) string { return fmt.Sprintf("%.2g", x) }

// perDegree is how far K moves for a degree of the angle.
func (c Strip) perDegree() float64 {
	t := bend.TestBend{Thickness: c.Thickness, Radius: c.Radius, Angle: c.Angle, Flat: c.Length(), LegA: 1, LegB: 1}
	b := c.bend(0.4)
	t.LegA = (c.Length() + b.Deduction()) / 2
	t.LegB = t.LegA
	_, s, err := t.K()
	if err != nil {
		return 0
	}
	return s.Angle * bend.Degree
}

// Band is within which K lies in 95 of 100 cases, from n strips read off a ruler of such
// divisions: each of three readings is off by up to half a division, all values alike, so
// that their sum has the variance of (division/2)².
func (c Strip) Band(n int, division float64) float64 {
	perLength := 1 / float64(c.Angle*c.Thickness)
	return float64(1.96*perLength*division/2) / math.Sqrt(float64(max(1, n)))
}

// Name is what a strip's folder is called: its sheet and radius in mm, and its angle where
// that is not square.
func (c Strip) Name() string {
	name := fmt.Sprintf("%s_%.4g_r%.4g", c.Material, c.Thickness, c.Radius)
	if degrees := c.Angle / bend.Degree; math.Abs(degrees-90) > 1e-6 {
		name += fmt.Sprintf("_%.4gdeg", degrees)
	}
	return name
}
