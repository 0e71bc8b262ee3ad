package paper

import (
	"fmt"
	"strings"

	"perch/parts/plane"
)

// Sheet is a size of paper as it lies before the reader.
type Sheet struct {
	Name       string
	Wide, High float64
}

// Sheets of paper, upright: ISO 216, and ANSI/ASME Y14.1 for Letter.
var (
	A4     = Sheet{"A4", 210, 297}
	A3     = Sheet{"A3", 297, 420}
	Letter = Sheet{"Letter", 215.9, 279.4}
)

// Sheets are all that there are.
func Sheets() []Sheet { return []Sheet{A4, Letter, A3} }

// ParseSheet finds a sheet by its name, in capitals or not.
func ParseSheet(name string) (Sheet, error) {
	var known []string
	for _, s := range Sheets() {
		if strings.EqualFold(s.Name, name) {
			return s, nil
		}
		known = append(known, s.Name)
	}
	return Sheet{}, fmt.Errorf("there is no paper %q: write one of %s", name, strings.Join(known, ", "))
}

// Turned is the sheet on its side.
func (s Sheet) Turned() Sheet { return Sheet{s.Name, s.High, s.Wide} }

// Landscape is the sheet with its long side level.
func (s Sheet) Landscape() Sheet {
	if s.Wide < s.High {
		return s.Turned()
	}
	return s
}

// Margin is left free at every edge: what printers need (common practice, no source).
const Margin = 10.0

// inside is the sheet less its margins.
func (s Sheet) inside() plane.Box {
	return plane.Box{Min: plane.Point{X: Margin, Y: Margin}, Max: plane.Point{X: s.Wide - Margin, Y: s.High - Margin}}
}
