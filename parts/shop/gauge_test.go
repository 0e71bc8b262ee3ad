package shop

import (
	"math"
	"os"
	"strconv"
	"testing"
)

// ounces is the weight of each gauge of uncoated sheet, oz/ft², of the US Standard
// Gauge of 1893, as widely reproduced.
var ounces = map[int]int{
	7: 120, 8: 110, 9: 100, 10: 90, 11: 80, 12: 70, 13: 60, 14: 50, 15: 45, 16: 40, 17: 36, 18: 32,
	19: 28, 20: 24, 21: 22, 22: 20, 23: 18, 24: 16, 25: 14, 26: 12, 27: 11, 28: 10,
}

// tenThousandths divides to 1e-4 in, ties up, in whole numbers.
func tenThousandths(num, den int) float64 { return float64((2*num+den)/(2*den)) / 1e4 }

// The published weights give the table to its last printed digit.
func TestGaugesFollowFromWeights(t *testing.T) {
	for g := 7; g <= 28; g++ {
		want := map[string]float64{
			GaugeSteel:      tenThousandths(ounces[g]*1e6, 16*4182),
			GaugeGalvanized: tenThousandths((2*ounces[g]+5)*1e6, 32*4182),
			GaugeStainless:  tenThousandths(ounces[g]*1e4, 16*40),
			GaugeAluminium:  math.Floor(50*math.Pow(92, float64(36-g)/39)+0.5) / 1e4,
		}
		for _, system := range GaugeSystems {
			if system == GaugeGalvanized && g == 7 {
				continue // galvanized sheet starts at 8
			}
			got, err := GaugeThickness(system, g)
			if err != nil || math.Abs(got/25.4-want[system]) > 1e-9 {
				t.Errorf("%s %d: got %.4f in, want %.4f (%v)", system, g, got/25.4, want[system], err)
			}
		}
	}
}

// The table that is compiled in is the one in testdata, whose header names its source.
func TestGaugeTableIsTheReference(t *testing.T) {
	ref, err := os.ReadFile("../../testdata/gauges.csv")
	if err != nil {
		t.Fatal(err)
	}
	if string(ref) != string(gaugeTable) {
		t.Error("gauges.csv here and in testdata differ")
	}
	rows, err := gaugeRows(ref)
	if err != nil {
		t.Fatal(err)
	}
	header := rows[0]
	seen := 0
	for _, row := range rows[1:] {
		g, _ := strconv.Atoi(row[0])
		for col, system := range GaugeSystems {
			if header[col+1] != system+"_in" {
				t.Fatalf("column %d is %s", col+1, header[col+1])
			}
			if row[col+1] == "" {
				if _, err := GaugeThickness(system, g); err == nil {
					t.Errorf("%s %d is not in the table, but has a thickness", system, g)
				}
				continue
			}
			in, _ := strconv.ParseFloat(row[col+1], 64)
			if got, err := GaugeThickness(system, g); err != nil || got != in*25.4 {
				t.Errorf("%s %d: %g, %v", system, g, got, err)
			}
			seen++
		}
	}
	if seen != 87 {
		t.Errorf("%d gauges, want 87", seen)
	}
}

func TestGaugeErrors(t *testing.T) {
	for _, c := range []struct {
		material string
		gauge    int
	}{{"mild_steel", 6}, {"mild_steel", 29}, {"mild_steel", -1}, {"galvanized", 7}, {"wood", 18}} {
		if got, err := Default().GaugeThickness(c.material, c.gauge); err == nil {
			t.Errorf("%s %d: %g", c.material, c.gauge, got)
		}
	}
	if _, err := GaugeThickness("copperplate", 18); err == nil {
		t.Error("an unknown system was taken")
	}
	if got, err := Default().GaugeThickness("mild_steel", 18); err != nil || math.Abs(got-1.21412) > 1e-9 {
		t.Errorf("18 ga mild steel: %g, %v", got, err)
	}
}
