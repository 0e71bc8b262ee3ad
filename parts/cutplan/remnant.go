package cutplan

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"

	"perch/parts/dxf"
	"perch/parts/measure"
	"perch/parts/plane"
)

const (
	// UsableWidth is how wide, in mm, what is left must be to be worth keeping:
	// strips that are narrower, between blanks, stay with the scrap.
	UsableWidth = 60
	// UsableArea is how large, in mm², it must be.
	UsableArea = 150 * 150
	// LayerStock is the layer of a remnant's text that tells its metal.
	LayerStock = "STOCK"
)

// Left is the largest usable piece that the plan leaves of the sheet: its metal
// without the blanks that are cut, their openings and a seam of that width around
// them, and without strips narrower than UsableWidth. It is nil where nothing of
// UsableArea is left.
func (p *Plan) Left(seam float64) plane.Region {
	var gone plane.Region
	for i := range p.Sheet.Parts {
		if p.Holds(i) {
			gone = append(gone, outside(p.Sheet.Parts[i].Region))
		}
	}
	left := p.Sheet.Metal
	if len(gone) > 0 {
		left = plane.Subtract(left, plane.Offset(plane.UnionAll(apart(gone)...), seam))
	}
	// Shrunk and grown again, strips are gone; the sheet's corners stay sharp.
	const miter = 1.5
	left = plane.Intersect(left, plane.OffsetMiter(plane.Offset(left, -UsableWidth/2), UsableWidth/2, miter))
	var best plane.Region
	for _, c := range left.Components() {
		if c.Area() >= UsableArea && (best == nil || c.Area() > best.Area()) {
			best = c
		}
	}
	return best
}

// outside is the outline of a region with one.
func outside(r plane.Region) plane.Loop {
	for _, l := range r {
		if l.Area() > 0 {
			return l
		}
	}
	return nil
}

// apart makes a region of each loop.
func apart(loops plane.Region) []plane.Region {
	out := make([]plane.Region, len(loops))
	for i, l := range loops {
		out[i] = plane.Region{l}
	}
	return out
}

// WriteRemnant writes what is left of a sheet as a DXF drawing in the unit that the table reads: its outline
// on the layer REMNANT, where it lay on the sheet, and its metal as a text on STOCK.
func WriteRemnant(w io.Writer, s *Sheet, left plane.Region, unit measure.System) error {
	d := &drawer{w: bufio.NewWriter(w), unit: unit}
	d.head()
	for _, l := range left {
		d.loop(LayerRemnant, l, true)
	}
	at := left.Bounds().Min
	d.groups(0, "TEXT", 8, LayerStock, 10, mm(at.X), 20, mm(at.Y-20), 30, mm(0), 40, mm(12), 1, dxf.Escape(stockText(s.Material, s.Thickness)), 7, dxf.Lettering)
	d.groups(0, "ENDSEC", 0, "EOF")
	return d.w.Flush()
}

func stockText(material string, thickness float64) string {
	return fmt.Sprintf("%s %g mm", material, thickness)
}

// RemnantStock reads the metal and thickness, mm, from the text of a remnant's
// drawing: what WriteRemnant put on the layer STOCK. It is false where there is none.
func RemnantStock(text string) (material string, thickness float64, ok bool) {
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	kind, layer := "", ""
	for i := 0; i+1 < len(lines); i += 2 {
		value := strings.TrimSpace(lines[i+1])
		switch strings.TrimSpace(lines[i]) {
		case "0":
			kind, layer = value, ""
		case "8":
			layer = value
		case "1":
			if kind == "TEXT" && layer == LayerStock {
				words := strings.Fields(value)
				if len(words) != 3 || words[2] != "mm" {
					return "", 0, false
				}
				t, err := strconv.ParseFloat(words[1], 64)
				return words[0], t, err == nil && t > 0
			}
		}
	}
	return "", 0, false
}
