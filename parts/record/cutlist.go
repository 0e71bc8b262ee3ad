package record

import (
	"fmt"
	"io"
	"strings"

	"perch/parts/decimal"
	"perch/parts/measure"
	"perch/parts/panel"
)

// CutList writes the blanks as comma-separated values (RFC 4180), a header and
// one line a blank. Thickness is that of the sheet; area, mass and cut length are
// one piece's; lengths, areas and masses are in the reader's system. A text that a spreadsheet would take for a formula is led by an
// apostrophe.
func CutList(w io.Writer, a *panel.Assembly, in measure.System) error {
	scale := 1 / in.Scale()
	places := struct{ thickness, size, area, cut int }{3, 2, 3, 4}
	if in == measure.Inches {
		places.thickness, places.size, places.area, places.cut = 4, 3, 6, 6
	}
	buf := fmt.Appendf(nil, "blank,count,mirrored,material,thickness_%[1]s,width_%[1]s,height_%[1]s,area_%[1]s2,mass_%[2]s,cut_length_%[1]s,holes,drilled,in_place,folds,revision\r\n", in.Unit(), in.MassUnit())
	for _, b := range a.Blanks {
		if b.Flat == nil || b.Flat.Panel == nil {
			return fmt.Errorf("cut list: blank %q has no flat", b.Name)
		}
		m, stock := Measure(b.Flat), b.Flat.Panel.Stock
		if !decimal.Finite(m.Width, m.Height, m.Area, m.Mass, m.CutLength, stock.Thickness) {
			return fmt.Errorf("cut list: blank %q is %v × %v mm, of %v mm² and %v kg", b.Name, m.Width, m.Height, m.Area, m.Mass)
		}
		buf = appendCell(buf, b.Name)
		buf = appendNumber(buf, float64(b.Count), 0)
		buf = appendNumber(buf, float64(b.Mirrored), 0)
		buf = append(buf, ',')
		buf = appendCell(buf, stock.Material)
		buf = appendNumber(buf, stock.Thickness*scale, places.thickness)
		buf = appendNumber(buf, m.Width*scale, places.size)
		buf = appendNumber(buf, m.Height*scale, places.size)
		buf = appendNumber(buf, m.Area*scale*scale, places.area)
		buf = appendNumber(buf, in.Mass(m.Mass), 3)
		buf = appendNumber(buf, m.CutLength*scale, places.cut)
		buf = appendNumber(buf, float64(len(m.Openings)), 0)
		before, inPlace := drilled(b.Flat)
		buf = appendNumber(buf, float64(before), 0)
		buf = appendNumber(buf, float64(inPlace), 0)
		buf = appendNumber(buf, float64(len(b.Flat.Folds)), 0)
		buf = appendCell(append(buf, ','), a.Revision)
		buf = append(buf, '\r', '\n')
	}
	_, err := w.Write(buf)
	return err
}

// drilled counts the holes that are marked and drilled, not cut: in the flat, and when the
// bent parts are together.
func drilled(f *panel.Flat) (before, inPlace int) {
	for _, p := range f.Points {
		switch {
		case p.Kind != panel.Drill:
		case p.Made() == panel.InPlace:
			inPlace++
		default:
			before++
		}
	}
	return before, inPlace
}

// appendNumber appends a comma and the number.
func appendNumber(buf []byte, x float64, decimals int) []byte {
	return decimal.Append(append(buf, ','), x, decimals)
}

// appendCell appends text so that no spreadsheet computes it: a leading = + - @,
// tab or return is how formulas begin.
func appendCell(buf []byte, s string) []byte {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		s = "'" + s
	}
	if !strings.ContainsAny(s, ",\"\r\n") {
		return append(buf, s...)
	}
	return append(buf, `"`+strings.ReplaceAll(s, `"`, `""`)+`"`...)
}
