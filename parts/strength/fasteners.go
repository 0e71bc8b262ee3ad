package strength

import (
	_ "embed"
	"encoding/csv"
	"math"
	"strconv"
	"strings"

	"perch/parts/join"
	"perch/parts/panel"
)

//go:embed rivets.csv
var rivetsCSV string

// rivets are the strengths of blind rivets by diameter, ascending.
var rivets = func() (all []struct {
	diameter float64
	Fastener
}) {
	r := csv.NewReader(strings.NewReader(rivetsCSV))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		panic(err)
	}
	for _, row := range rows[1:] {
		var n [3]float64
		for i, text := range row {
			if n[i], err = strconv.ParseFloat(text, 64); err != nil {
				panic(err)
			}
		}
		all = append(all, struct {
			diameter float64
			Fastener
		}{n[0], Fastener{n[1], n[2]}})
	}
	return all
}()

// Typical is a fastener's typical strength: of a blind rivet the table's, of the nearest
// diameter by the section; of a solid rivet of soft steel 220 MPa of its section in shear
// and 300 in pull; of a bolt of class 8.8 480 and 600 MPa of three quarters of its section
// (the thread's). From memory of ISO 15979, common practice and ISO 898-1: look up what is
// bought. Of tacks, welds and plugs nothing is known here: their share is not told.
func Typical(j *panel.JoinPoint) Fastener {
	section := math.Pi / 4 * j.Diameter * j.Diameter
	switch {
	case j.Kind == join.Bolt:
		return Fastener{Shear: 0.75 * 480 * section, Pull: 0.75 * 600 * section}
	case j.Kind == join.Rivet && j.Closing.Solid():
		return Fastener{Shear: 220 * section, Pull: 300 * section}
	case j.Kind == join.Rivet:
		best := rivets[0]
		for _, r := range rivets {
			if math.Abs(r.diameter-j.Diameter) < math.Abs(best.diameter-j.Diameter) {
				best = r
			}
		}
		k := j.Diameter / best.diameter
		return Fastener{Shear: best.Shear * k * k, Pull: best.Pull * k * k}
	}
	return Fastener{}
}
