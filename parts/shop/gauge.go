package shop

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
)

// Gauge systems by name.
const (
	GaugeSteel      = "steel"      // Manufacturers' Standard Gauge for uncoated steel
	GaugeGalvanized = "galvanized" // the same with 2.5 oz/ft² of zinc
	GaugeStainless  = "stainless"  // US Standard Gauge of 1893
	GaugeAluminium  = "aluminium"  // Brown & Sharpe, also for brass and copper sheet
)

// GaugeSystems are all systems by name, in the order of the table's columns.
var GaugeSystems = []string{GaugeSteel, GaugeGalvanized, GaugeStainless, GaugeAluminium}

const inch = 25.4 // mm

//go:embed gauges.csv
var gaugeTable []byte

// gaugeInches maps a system's name and a gauge to the printed inches.
var gaugeInches = readGauges(gaugeTable)

// GaugeThickness returns the nominal thickness, in mm, of a gauge number in a
// system: the trade's table to 4 decimals of an inch, times 25.4. It is an error for the
// system or the number not to be in the table. Mass never follows from the
// gauge: it is thickness times the material's own density.
func GaugeThickness(system string, gauge int) (float64, error) {
	if !slices.Contains(GaugeSystems, system) {
		return 0, fmt.Errorf("there is no gauge system %q; there are %v", system, GaugeSystems)
	}
	in, ok := gaugeInches[system][gauge]
	if !ok {
		return 0, fmt.Errorf("the %s gauge table has no %d; it runs from %d to %d",
			system, gauge, firstGauge(system), lastGauge)
	}
	return in * inch, nil
}

const lastGauge = 28

func firstGauge(system string) int {
	g := lastGauge
	for gaugeInches[system][g-1] > 0 {
		g--
	}
	return g
}

// gaugeRows are the embedded table's rows, the header first.
func gaugeRows(table []byte) ([][]string, error) {
	r := csv.NewReader(bytes.NewReader(table))
	r.Comment = '#'
	return r.ReadAll()
}

// readGauges reads the embedded table. A mistake in it is one of the program's
// own and shows as missing gauges, which the tests look for.
func readGauges(table []byte) map[string]map[int]float64 {
	rows, err := gaugeRows(table)
	if err != nil {
		return nil
	}
	all := make(map[string]map[int]float64)
	for col, system := range GaugeSystems {
		all[system] = make(map[int]float64)
		for _, row := range rows[1:] {
			gauge, gerr := strconv.Atoi(row[0])
			in, err := strconv.ParseFloat(row[col+1], 64)
			if gerr == nil && err == nil {
				all[system][gauge] = in
			}
		}
	}
	return all
}
