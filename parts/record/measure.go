package record

import (
	"math"

	"perch/parts/drawing/layout"
	"perch/parts/panel"
	"perch/parts/plane"
)

// Measures of a blank as it is cut, the holes of joins included: mm, mm², kg.
type Measures struct {
	Openings        []plane.Loop // all that is cut inside it, clockwise
	Width, Height   float64
	Area, CutLength float64
	Mass            float64
}

// Measure measures a flat; its Panel must be set.
func Measure(f *panel.Flat) Measures {
	w, h := f.Size()
	m := Measures{Openings: layout.Openings(f), Width: w, Height: h, Area: math.Abs(f.Outer.Area()), CutLength: f.Outer.Length()}
	for _, l := range m.Openings {
		m.Area -= math.Abs(l.Area())
		m.CutLength += l.Length()
	}
	const kgPerMM3 = 1e-9 // of kg/m³
	stock := f.Panel.Stock
	m.Mass = m.Area * stock.Thickness * stock.Density * kgPerMM3
	return m
}
