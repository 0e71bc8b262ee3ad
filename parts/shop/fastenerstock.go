package shop

import "math"

// defaultRivets: blind rivets of 3.2, 4.0, 4.8 and 6.4 (NAVEDTRA 14018); holes and
// heads of ISO 15977/15979 from memory; the lengths that are sold most, with the grips of
// ISO 15981: the maker's box decides.
func defaultRivets() []Rivet {
	return []Rivet{
		{Diameter: 3.2, Hole: 3.3, Head: 6.5, Lengths: []RivetLength{{6, 1.5, 3.5}, {8, 3.5, 5}, {10, 5, 7}, {12, 7, 9}}},
		{Diameter: 4.0, Hole: 4.1, Head: 8, Lengths: []RivetLength{{6, 1, 3}, {8, 3, 5}, {10, 5, 6.5}, {12, 6.5, 8.5}}},
		{Diameter: 4.8, Hole: 4.9, Head: 9.5, Lengths: []RivetLength{{6, 1.5, 2.5}, {8, 2.5, 4}, {10, 4, 6}, {12, 6, 8}, {16, 8, 12}}},
		{Diameter: 6.4, Hole: 6.5, Head: 13, Lengths: []RivetLength{{12, 3, 6}, {16, 6, 10}}},
	}
}

// defaultSolid: round head rivets in sizes, heads and lengths of DIN 660, from memory; the
// hole 0.1 to 0.2 mm larger (common practice).
func defaultSolid() []SolidRivet {
	return []SolidRivet{
		{Diameter: 3, Hole: 3.1, Head: 5.2, Lengths: []float64{6, 8, 10, 12, 16}},
		{Diameter: 4, Hole: 4.2, Head: 7, Lengths: []float64{8, 10, 12, 14, 16, 20}},
		{Diameter: 5, Hole: 5.2, Head: 8.8, Lengths: []float64{10, 12, 14, 16, 18, 20, 25}},
		{Diameter: 6, Hole: 6.2, Head: 10.5, Lengths: []float64{12, 14, 16, 18, 20, 25, 30}},
		{Diameter: 8, Hole: 8.2, Head: 14, Lengths: []float64{16, 18, 20, 25, 30, 40}},
	}
}

// defaultBolts: metric with clearance holes of ISO 273, medium series, nuts of ISO 4032,
// washers of ISO 7089 and lengths of ISO 4017; inch sizes with the holes of ASME B18.2.8,
// normal fit, nuts of ASME B18.2.2 and flat washers; all from memory.
func defaultBolts() []Bolt {
	short := []float64{8, 10, 12, 16, 20, 25, 30}
	usual := []float64{10, 12, 16, 20, 25, 30, 35, 40, 50, 60}
	long := []float64{20, 25, 30, 35, 40, 45, 50, 60, 70, 80}
	thick := []float64{30, 35, 40, 45, 50, 60, 70, 80, 100}
	inches := func(lengths ...float64) []float64 {
		for i := range lengths {
			lengths[i] = math.Round(float64(lengths[i]*inch*1e4)) / 1e4 // as it is written in shop.toml
		}
		return lengths
	}
	return []Bolt{
		{Diameter: 3, Hole: 3.4, Nut: 2.4, Washer: 0.5, Lengths: short},
		{Diameter: 4, Hole: 4.5, Nut: 3.2, Washer: 0.8, Lengths: short},
		{Diameter: 4.1656, Hole: 4.9784, Nut: 3.175, Washer: 0.8128, Lengths: inches(0.375, 0.5, 0.625, 0.75, 1, 1.25, 1.5)}, // No. 8
		{Diameter: 4.826, Hole: 5.6134, Nut: 3.175, Washer: 1.016, Lengths: inches(0.375, 0.5, 0.625, 0.75, 1, 1.25, 1.5)},   // No. 10
		{Diameter: 5, Hole: 5.5, Nut: 4.7, Washer: 1, Lengths: usual},
		{Diameter: 6, Hole: 6.6, Nut: 5.2, Washer: 1.6, Lengths: usual},
		{Diameter: 6.35, Hole: 7.1374, Nut: 5.5626, Washer: 1.651, Lengths: inches(0.5, 0.625, 0.75, 1, 1.25, 1.5, 2, 2.5)}, // 1/4 in
		{Diameter: 7.9375, Hole: 8.7376, Nut: 6.7564, Washer: 1.651, Lengths: inches(0.625, 0.75, 1, 1.25, 1.5, 2, 2.5)},    // 5/16 in
		{Diameter: 8, Hole: 9, Nut: 6.8, Washer: 1.6, Lengths: []float64{16, 20, 25, 30, 35, 40, 50, 60}},
		{Diameter: 9.525, Hole: 10.3124, Nut: 8.3312, Washer: 1.651, Lengths: inches(0.75, 1, 1.25, 1.5, 2, 2.5, 3)}, // 3/8 in
		{Diameter: 10, Hole: 11, Nut: 8.4, Washer: 2, Lengths: long},
		{Diameter: 12, Hole: 13.5, Nut: 10.8, Washer: 2.5, Lengths: long},
		{Diameter: 12.7, Hole: 14.2748, Nut: 11.1125, Washer: 2.413, Lengths: inches(1, 1.25, 1.5, 2, 2.5, 3)},   // 1/2 in
		{Diameter: 15.875, Hole: 17.4752, Nut: 13.8938, Washer: 2.413, Lengths: inches(1.25, 1.5, 2, 2.5, 3, 4)}, // 5/8 in
		{Diameter: 16, Hole: 17.5, Nut: 14.8, Washer: 3, Lengths: thick},
	}
}
