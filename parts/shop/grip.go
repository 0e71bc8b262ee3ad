package shop

import (
	_ "embed"
	"strconv"
	"strings"
)

//go:embed rivet-grip.csv
var gripTable []byte

// blindRivets are the blind rivets of ISO 15981, thinnest first, with the lengths that are
// made and the grips they hold.
var blindRivets = readGripTable(gripTable)

// BlindRivet is what ISO 15981 has of open end blind rivets of a diameter in mm: lengths
// and grips, no hole and no head. It has no lengths where the standard has no such size.
func BlindRivet(diameter float64) Rivet {
	for _, r := range blindRivets {
		if near(r.Diameter, diameter) {
			return r
		}
	}
	return Rivet{Diameter: diameter}
}

// readGripTable reads the embedded table: a column for each diameter, headed d2.4 or
// d3_3.2. A mistake in it is one of the program's own and shows as missing rivets, which
// the tests look for.
func readGripTable(table []byte) []Rivet {
	rows, err := gaugeRows(table)
	if err != nil {
		return nil
	}
	var out []Rivet
	for col, head := range rows[0][1:] {
		for _, name := range strings.Split(strings.TrimPrefix(head, "d"), "_") {
			d, err := strconv.ParseFloat(name, 64)
			if err != nil {
				return nil
			}
			r := Rivet{Diameter: d}
			for _, row := range rows[1:] {
				length, lerr := strconv.ParseFloat(row[0], 64)
				lo, hi, ok := strings.Cut(row[col+1], "-")
				least, err := strconv.ParseFloat(lo, 64)
				most, merr := strconv.ParseFloat(hi, 64)
				if ok && lerr == nil && err == nil && merr == nil {
					r.Lengths = append(r.Lengths, RivetLength{length, least, most})
				}
			}
			out = append(out, r)
		}
	}
	return out
}
