package outline

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"perch/parts/plane"
)

// dxfText is a drawing: the groups of $INSUNITS, its blocks by name, its entities.
func dxfText(units string, blocks map[string]string, entities string) string {
	text := "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n"
	if units != "" {
		text += "9\n$INSUNITS\n" + units
	}
	text += "0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n"
	var names []string
	for name := range blocks {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		text += "0\nBLOCK\n8\n0\n2\n" + name + "\n70\n0\n10\n10.0\n20\n0.0\n" + blocks[name] + "0\nENDBLK\n8\n0\n"
	}
	return text + "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n" + entities + "0\nENDSEC\n0\nEOF\n"
}

func dxfLine(x0, y0, x1, y1 float64) string {
	return fmt.Sprintf("0\nLINE\n8\ncut\n10\n%g\n20\n%g\n11\n%g\n21\n%g\n", x0, y0, x1, y1)
}

const dxfCircle = "0\nCIRCLE\n8\ncut\n10\n50\n20\n25\n40\n5\n"

// dxfSquare is 100 wide and 50 high, of lines in no order and either way.
var dxfSquare = dxfLine(100, 50, 100, 0) + dxfLine(0, 0, 100, 0) + dxfLine(0, 50, 0, 0) + dxfLine(100, 50, 0, 50)

// The areas and places are worked out by hand.
func TestReadDXF(t *testing.T) {
	square := "0\nLWPOLYLINE\n8\nREMNANT\n90\n4\n70\n1\n10\n0\n20\n0\n10\n100\n20\n0\n10\n100\n20\n50\n10\n0\n20\n50\n"
	ring := math.Pi * 25
	for name, c := range map[string]struct {
		text string
		area float64
		box  plane.Box
	}{
		"mm":                    {dxfText("70\n4\n", nil, square), 5000, plane.Box{Max: point{X: 100, Y: 50}}},
		"no unit":               {dxfText("", nil, square), 5000, plane.Box{Max: point{X: 100, Y: 50}}},
		"inches":                {dxfText("70\n1\n", nil, square), 5000 * 25.4 * 25.4, plane.Box{Max: point{X: 2540, Y: 1270}}},
		"cm":                    {dxfText("70\n5\n", nil, square), 500000, plane.Box{Max: point{X: 1000, Y: 500}}},
		"lines":                 {dxfText("", nil, dxfSquare), 5000, plane.Box{Max: point{X: 100, Y: 50}}},
		"lines round a hole":    {dxfText("", nil, dxfCircle+dxfSquare), 5000 - ring, plane.Box{Max: point{X: 100, Y: 50}}},
		"lines that nearly end": {dxfText("", nil, strings.Replace(dxfSquare, "11\n100\n21\n0\n", "11\n100.004\n21\n0\n", 1)), 5000, plane.Box{Max: point{X: 100, Y: 50}}},
		"marks inside":          {dxfText("", nil, dxfSquare+dxfLine(10, 10, 20, 30)), 5000, plane.Box{Max: point{X: 100, Y: 50}}},
		"other layers":          {dxfText("", nil, square+strings.ReplaceAll(dxfLine(500, 0, 900, 0), "cut", "dim")), 5000, plane.Box{Max: point{X: 100, Y: 50}}},
		"line and arc": {dxfText("", nil, "0\nARC\n8\ncut\n10\n0\n20\n0\n40\n40\n50\n-90\n51\n90\n"+dxfLine(0, 40, 0, -40)),
			math.Pi * 800, plane.Box{Min: point{Y: -40}, Max: point{X: 40, Y: 40}}},
		"an arc from below": {dxfText("", nil, "0\nARC\n8\ncut\n10\n0\n20\n0\n40\n40\n50\n-90\n51\n90\n230\n-1\n"+dxfLine(0, 40, 0, -40)),
			math.Pi * 800, plane.Box{Min: point{X: -40, Y: -40}, Max: point{Y: 40}}},
		"open polylines": {dxfText("", nil, "0\nPOLYLINE\n8\ncut\n66\n1\n70\n0\n10\n0\n20\n0\n0\nVERTEX\n8\ncut\n10\n100\n20\n0\n70\n0\n0\nVERTEX\n8\ncut\n10\n0\n20\n0\n0\nVERTEX\n8\ncut\n10\n0\n20\n50\n0\nSEQEND\n"+
			dxfLine(0, 50, 100, 0)), 2500, plane.Box{Max: point{X: 100, Y: 50}}},
		"a block that is not inserted": {dxfText("", map[string]string{"frame": strings.ReplaceAll(dxfSquare, "100", "900")}, dxfSquare), 5000, plane.Box{Max: point{X: 100, Y: 50}}},
		// The block's base is (10, 0): turned a quarter and twice as large, its corner (100, 0) comes to (200, 180+30).
		"a block that is": {dxfText("", map[string]string{"rest": dxfSquare}, "0\nINSERT\n8\ncut\n2\nrest\n10\n200\n20\n30\n41\n2\n42\n2\n50\n90\n"),
			20000, plane.Box{Min: point{X: 100, Y: 10}, Max: point{X: 200, Y: 210}}},
		"a block in a block": {dxfText("", map[string]string{"rest": dxfSquare, "more": "0\nINSERT\n2\nrest\n10\n20\n20\n7\n"}, "0\nINSERT\n8\nREMNANT\n2\nmore\n10\n0\n20\n0\n"),
			5000, plane.Box{Min: point{Y: 7}, Max: point{X: 100, Y: 57}}},
	} {
		r, err := ReadDXF(name, c.text)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		box := r[:1].Bounds()
		if math.Abs(r.Area()/c.area-1) > 1e-4 || !box.Min.Near(c.box.Min, 0.01) || !box.Max.Near(c.box.Max, 0.01) {
			t.Errorf("%s: %.3f mm² from %v to %v, want %.3f from %v to %v", name, r.Area(), box.Min, box.Max, c.area, c.box.Min, c.box.Max)
		}
	}
}

// What can't be cut from is refused with its reason.
func TestBadDXF(t *testing.T) {
	twice := map[string]string{"loop": "0\nINSERT\n2\nloop\n0\nINSERT\n2\nloop\n"}
	for name, c := range map[string]struct{ text, want string }{
		"no drawing": {"hello\nthere\n", "line 1 is no group code"},
		"empty":      {"0\nEOF\n", "no closed outline"},
		"cut off":    {strings.TrimSuffix(dxfText("", nil, dxfSquare), "0\nEOF\n"), "no end"},
		"crossed":    {dxfText("", nil, dxfLine(0, 0, 100, 50)+dxfLine(100, 50, 100, 0)+dxfLine(100, 0, 0, 50)+dxfLine(0, 50, 0, 0)), "cross"},
		"a gap": {dxfText("", nil, strings.Replace(dxfSquare, "11\n100\n21\n0\n", "11\n96.8\n21\n0\n", 1)),
			"its lines do not close: one ends at (96.800, 0.000), 3.200 mm from the next end, at (100.000, 0.000)"},
		"a gap round a hole":       {dxfText("", nil, dxfCircle+strings.Replace(dxfSquare, "11\n100\n21\n0\n", "11\n96.8\n21\n0\n", 1)), "its lines do not close"},
		"a gap on the layer":       {dxfText("", nil, dxfCircle+strings.ReplaceAll(dxfLine(0, 0, 9, 9), "cut", "REMNANT")), "its lines do not close"},
		"drawn twice":              {dxfText("", nil, dxfSquare+dxfLine(0, 0, 100, 0)), "of them meet at"},
		"a block alone":            {dxfText("", map[string]string{"rest": dxfSquare}, ""), "no closed outline"},
		"a stretched block":        {dxfText("", map[string]string{"rest": dxfSquare}, "0\nINSERT\n2\nrest\n41\n2\n42\n1\n"), "is inserted stretched"},
		"a block in itself":        {dxfText("", twice, "0\nINSERT\n2\nloop\n"), "is inserted in itself"},
		"a curve":                  {dxfText("", nil, "0\nSPLINE\n8\n0\n70\n1\n10\n0\n20\n0\n"), "a curve (SPLINE) that is not read"},
		"miles":                    {dxfText("70\n3\n", nil, dxfSquare), "$INSUNITS 3, is none of mm"},
		"a number that is none":    {dxfText("", nil, strings.Replace(dxfSquare, "11\n100\n", "11\nfar\n", 1)), `"far" is not a number`},
		"a number that is too big": {dxfText("70\n6\n", nil, strings.ReplaceAll(dxfSquare, "100", "10000")), "lies farther out"},
	} {
		if _, err := ReadDXF(name, c.text); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
	}
}
