package shop

import (
	"fmt"
	"math"
	"strings"

	"perch/parts/bend"
	"perch/parts/measure"
)

// Stock is one sheet metal of a design.
type Stock struct {
	Name      string  // the design's name for it
	Material  string  // a material of the shop, such as mild_steel
	Thickness float64 // mm
	Radius    float64 // default inside bend radius, mm
	Density   float64 // kg/m³
	K         float64 // stated neutral-axis factor; 0 when the shop's method decides
	Method    string  // name of the bend method; "" for the shop's
	Gauge     string  // as written, "" when not by gauge
	// SheetWidth ≤ SheetLength is the size of the sheet it is bought in, mm; 0 when
	// the shop's sheets decide.
	SheetWidth, SheetLength float64
}

// Told names the stock for a reader: mild_steel 1.5 mm; where it is sold by gauge
// mild_steel 16 ga (0.0598 in).
func (s Stock) Told() measure.Text {
	if gauge, ok := strings.CutSuffix(s.Gauge, "ga"); ok {
		return measure.Say("%s %s ga (%.4g)", s.Material, gauge, measure.Length(s.Thickness))
	}
	return measure.Say("%s %.4g", s.Material, measure.Length(s.Thickness))
}

// Measured is one line of the shop's table of test bends: what K was found for
// that thickness, radius and angle. They belong together; none is used without the others.
type Measured struct {
	Material  string  // a material of the shop; "" for any
	Thickness float64 // mm
	Radius    float64 // inside, mm
	Angle     float64 // radians
	K         float64
}

// Tolerances within which a measured bend speaks for another.
const (
	MeasuredThicknessTol = 0.02 // mm: the same sheet, written by gauge or rounded
	MeasuredRadiusTol    = 0.1  // mm
)

// MeasuredFor returns the measured bend that speaks for this one: same material,
// thickness within MeasuredThicknessTol, radius within MeasuredRadiusTol. Of
// several it is the one nearest in radius, then in angle, then the first written.
func (s *Shop) MeasuredFor(material string, thickness, radius, angle float64) (Measured, bool) {
	var best Measured
	found := false
	for _, m := range s.Measured {
		if m.Material != "" && m.Material != material ||
			!(math.Abs(m.Thickness-thickness) <= MeasuredThicknessTol) ||
			!(math.Abs(m.Radius-radius) <= MeasuredRadiusTol) {
			continue
		}
		dr, db := math.Abs(m.Radius-radius), math.Abs(best.Radius-radius)
		if !found || dr < db || dr == db && math.Abs(m.Angle-angle) < math.Abs(best.Angle-angle) {
			best, found = m, true
		}
	}
	return best, found
}

// Bend returns the bend of a stock with its neutral-axis factor from, in this
// order: the K that the stock states; the shop's measured test bends; K 0.5 for a
// closed hem (180° at radius 0); the stock's method; the shop's method; DIN 6935.
// It warns where the factor is a guess. Arguments in mm and radians; see bend.Bend.Err
// for arguments that make no bend.
func (s *Shop) Bend(stock Stock, radius, angle float64) (bend.Bend, []bend.Warning) {
	b := bend.Bend{Angle: angle, Thickness: stock.Thickness, Radius: radius}
	if stock.K > 0 {
		b.K = stock.K // as it was measured: no table is asked
		return b, nil
	}
	if m, ok := s.MeasuredFor(stock.Material, stock.Thickness, radius, angle); ok {
		b.K = m.K
		return b, nil
	}
	if b.ClosedHem() {
		b.K = 0.5
		return b, nil
	}
	method, warnings := s.methodFor(stock)
	switch method {
	case bend.Handbook:
		group := bend.Medium
		if m, ok := s.Material(stock.Material); ok {
			group = m.Group
		}
		b.K = bend.KHandbook(group, stock.Thickness, radius)
	case bend.Stated:
		b.K = s.K
	default:
		b.K = bend.KDIN6935(stock.Thickness, radius)
	}
	return b, append(warnings, b.Warnings()...)
}

// methodFor is the method that decides for a stock without a stated K.
func (s *Shop) methodFor(stock Stock) (bend.Method, []bend.Warning) {
	name := stock.Method
	if name == "" {
		name = string(s.Method)
	}
	m, ok := bend.MethodNamed(name)
	if ok && (m != bend.Stated || s.K > 0) {
		return m, nil
	}
	text := fmt.Sprintf("stock %s: there is no bend method %q; din6935 was used", stock.Name, name)
	if ok {
		text = fmt.Sprintf("stock %s: the shop states no neutral-axis factor; din6935 was used", stock.Name)
	}
	return bend.DIN6935, []bend.Warning{{Rule: "neutral-axis factor: by a known method", Message: measure.Plain(text)}}
}
