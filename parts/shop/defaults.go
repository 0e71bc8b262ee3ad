package shop

import (
	"fmt"
	"strings"

	"perch/parts/bend"
)

// Default returns a small shop with a plasma cutter and a light leaf brake: what
// a design is checked against when no shop file is given. Each number's source
// stands beside it; prices are not told. The caller may change the result.
func Default() *Shop {
	return &Shop{
		Name:      "default",
		Method:    bend.DIN6935,
		Materials: defaultMaterials(),
		Sheets:    defaultSheets(),
		Cutter: Cutter{
			Kind: "plasma",
			Kerf: 1.5, // typical of 40–60 A on thin sheet
			// Round only from max(2t, 4 kerf, 6 mm): common practice.
			MinHole: 6, HoleSheets: 2, HoleKerfs: 4,
			// Web max(2t, 3 mm), corner kerf/2 + 0.2, ± 0.5 mm: common practice.
			MinWeb: 3, WebSheets: 2, CornerExtra: 0.2, Tolerance: 0.5,
			MaxThickness: 12,                 // typical
			Width:        1250, Length: 2500, // typical
		},
		Brake: Brake{
			Kind:      BrakeLeaf,
			Thickness: 1.6, Length: 1220, // common practice: 16 gauge over 4 ft
			Over:         1.25, // from memory
			Opening:      8,    // V of 8t: common practice
			HemThickness: 1.5,  // common practice, by hand
			Marks:        MarksNicks,
			NickWidth:    2, NickDepth: 1.5, // common practice
			// Fingers and sections of a 4 ft box-and-pan brake: common practice and from memory.
			Fingers:   []float64{25, 25, 30, 35, 40, 45, 50, 75, 75, 75, 100, 100, 100, 100, 100, 100, 100, 100},
			FingerGap: 3, FrontAngle: 135 * bend.Degree, FingerNeck: 30, FingerHeel: 50, FingerHeight: 100,
			LeafWidth: 16, LeafHeight: 120, BedDepth: 300, Beam: [2]float64{20, 140}, Lift: 38,
			HoldMin: 15, MoveMin: 5,
			// An acute gooseneck in sections, as tall as boxes ask for, over dies of one V: from memory.
			Punch: PunchGooseneck, PunchAngle: 28 * bend.Degree, PunchHeight: 200, PunchWidth: 20, Throat: 20,
			RamWidth: 100, Stroke: 120, DieWidth: 8, DieHeight: 60,
		},
		Roller: Roller{Throat: 450, MinCorner: 25},         // typical; from memory
		Drill:  Drill{Min: 1, Max: 13},                     // typical of a hand drill's chuck
		Fit:    Fit{Radius: 0.2, Sliding: 0.5, Paint: 0.1}, // common practice
		Papers: Papers{Sheet: "A4", Projection: FirstAngle},
		// The outer sheet's hole guides the drill: common practice.
		Joining: Joining{Matched: MatchedAuto, Located: LocatedHoles, Centres: true},
		Tolerance: Tolerance{
			Angle: 1 * bend.Degree, Line: 0.5, Drilled: 0.3, Table: 0.3, // common practice
			Contact: 1000, Pin: 5000, Aim: 10, // a model of ours, no source
			Hand: 200, Drift: 500, // common practice
		},
		Rivets: defaultRivets(),
		Solid:  defaultSolid(),
		Bolts:  defaultBolts(),
		Tools:  defaultTools(),
	}
}

// defaultMaterials: densities, moduli and yields are typical values for the
// common grades named in Source.
func defaultMaterials() []Material {
	return []Material{
		{Name: "mild_steel", Density: 7850, Gauge: GaugeSteel, Group: bend.Medium, Modulus: 205000, Yield: 250, MinRadius: 1,
			Source: "density 7850 by convention; modulus and yield typical of low-carbon sheet; radius common practice"},
		{Name: "galvanized", Density: 7850, Gauge: GaugeGalvanized, Group: bend.Medium, Modulus: 205000, Yield: 280, MinRadius: 1, Zinc: true,
			Source: "typical of zinc-coated low-carbon sheet; radius common practice"},
		{Name: "stainless", Density: 7930, Gauge: GaugeStainless, Group: bend.Hard, Modulus: 195000, Yield: 280, MinRadius: 1,
			Source: "typical of austenitic 1.4301 (304); group and radius from memory"},
		{Name: "aluminium", Density: 2680, Gauge: GaugeAluminium, Group: bend.Medium, Modulus: 70000, Yield: 190, MinRadius: 1,
			Source: "typical of 5052-H32; radius from memory"},
		{Name: "brass", Density: 8500, Gauge: GaugeAluminium, Group: bend.Medium, Modulus: 105000, Yield: 200, MinRadius: 1,
			Source: "typical of half-hard CuZn37; radius from memory"},
		{Name: "copper", Density: 8940, Gauge: GaugeAluminium, Group: bend.Soft, Modulus: 117000, Yield: 70, MinRadius: 0.5,
			Source: "typical of soft Cu-DHP; radius from memory"},
	}
}

// defaultSheets: common trade sizes, no source; 4 × 8 ft and 1250 × 2500.
func defaultSheets() []Sheet {
	var sheets []Sheet
	for _, of := range []struct {
		material    string
		thicknesses []float64
	}{
		{"mild_steel", []float64{0.9, 1, 1.2, 1.5, 2, 3}},
		{"galvanized", []float64{0.9, 1.2, 1.5}},
		{"stainless", []float64{1, 1.5, 2}},
		{"aluminium", []float64{1, 1.5, 2, 3}},
		{"brass", []float64{1, 1.5}},
		{"copper", []float64{1, 1.5}},
	} {
		for _, t := range of.thicknesses {
			sheets = append(sheets, Sheet{Material: of.material, Thickness: t, Width: 1250, Length: 2500})
		}
	}
	return sheets
}

func (s *Shop) unknownMaterial(name string) error {
	names := make([]string, len(s.Materials))
	for i, m := range s.Materials {
		names[i] = m.Name
	}
	return fmt.Errorf("the shop has no material %q; it has %s", name, strings.Join(names, ", "))
}

func (m Material) gaugeThickness(gauge int) (float64, error) {
	if m.Gauge == "" {
		return 0, fmt.Errorf("%s is not sold by gauge: state its thickness", m.Name)
	}
	return GaugeThickness(m.Gauge, gauge)
}
