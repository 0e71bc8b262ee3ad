// Package bend holds what happens to sheet metal in a bend: allowance, set-back
// and the methods to find the neutral axis, and the shop's facts that they rest
// on (materials, gauges, machines, rivets). It knows no outlines and no files of
// designs.
package bend

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
}

// Bend is one bend with all its numbers.
type Bend struct {
	Angle     float64 // bend angle, 0 flat, in radians
	Thickness float64 // mm
	Radius    float64 // inside radius, mm
	K         float64 // neutral-axis factor from the inside surface
}

// Allowance is the flat length of the bend, Angle·(Radius + K·Thickness), in mm.
func (b Bend) Allowance() float64 { panic("stub") }

// SetBack is the distance from the mold line to the tangent line on a face, for
// the drawn surface outside (true) or inside (false) of the bend, in mm. Above
// 150° it is Radius+Thickness: faces are drawn to the outer tangent line.
func (b Bend) SetBack(outside bool) float64 { panic("stub") }
