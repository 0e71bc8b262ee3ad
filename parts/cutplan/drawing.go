package cutplan

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"

	"perch/parts/decimal"
	"perch/parts/dxf"
	"perch/parts/measure"
	"perch/parts/plane"
)

// Layers of a sheet's drawing beside those of a blank's, which are dxf.Layers.
const (
	LayerSheet   = "SHEET"
	LayerRemnant = "REMNANT"
)

// layers are all of a sheet's drawing.
var layers = append(slices.Clone(dxf.Layers),
	dxf.LayerType{Name: LayerSheet, Color: dxf.Grey, Line: dxf.LineWhole},
	dxf.LayerType{Name: LayerRemnant, Color: dxf.Green, Line: dxf.LineWhole},
	dxf.LayerType{Name: LayerStock, Color: dxf.Blue, Line: dxf.LineWhole})

// Drawing writes the sheet as a DXF drawing (version AC1009, which every reader
// knows) in the unit that the table reads: the blanks' own edges where they lie, no
// kerf taken off, for tables with a cutting program of their own, and its marks and
// fold lines on their layers. Holes to be drilled are circles on MARK.
func Drawing(w io.Writer, p *Plan, unit measure.System) error {
	d := &drawer{w: bufio.NewWriter(w), unit: unit}
	d.head()
	for _, l := range p.Sheet.Metal {
		d.loop(LayerSheet, l, true)
	}
	if r := p.Sheet.Remnant; !r.Empty() && r.Size() != (plane.Point{}) {
		d.loop(LayerRemnant, plane.RectAt(r.Min, r.Max), true)
	}
	for i := range p.Cuts {
		layer := dxf.LayerOutside
		if p.Cuts[i].Inside {
			layer = dxf.LayerInside
		}
		d.loop(layer, p.Cuts[i].Contour, true)
	}
	for _, c := range p.Drills {
		d.groups(0, "CIRCLE", 8, dxf.LayerMark, 10, mm(c.At.X), 20, mm(c.At.Y), 30, mm(0), 40, mm(drillMark))
	}
	for i := range p.Sheet.Parts {
		if !p.Holds(i) {
			continue
		}
		part := &p.Sheet.Parts[i]
		for _, m := range part.Marks {
			d.mark(&m)
		}
		size := part.Region.Bounds().Size()
		h := max(1.5, min(12, min(size.X, size.Y)/8))
		c := part.Region.Centroid()
		d.label(fmt.Sprintf("%d %s", part.Number, part.Name), c, h)
		if part.Revision != "" {
			const below, smaller = 1.4, 0.7
			d.label("revision "+part.Revision, plane.Point{X: c.X, Y: c.Y - float64(below*smaller*h)}, smaller*h)
		}
	}
	d.groups(0, "ENDSEC", 0, "EOF")
	return d.w.Flush()
}

func (d *drawer) label(text string, at plane.Point, height float64) {
	d.groups(0, "TEXT", 8, dxf.LayerLabel, 10, mm(at.X), 20, mm(at.Y), 30, mm(0), 40, mm(height), 1, dxf.Escape(text), 7, dxf.Lettering)
}

// drillMark is the radius of a drill mark's circle, mm.
const drillMark = 2.0

// drawer writes a drawing in a unit.
type drawer struct {
	w    *bufio.Writer
	unit measure.System
}

// mm is a length, which is written in the drawing's unit.
type mm float64

// units are the codes of $INSUNITS and $MEASUREMENT.
func units(s measure.System) (insunits, measurement int) {
	if s == measure.Inches {
		return 1, 0
	}
	return 4, 1
}

// head writes all that comes ahead of the entities.
func (d *drawer) head() {
	insunits, measurement := units(d.unit)
	d.groups(0, "SECTION", 2, "HEADER", 9, "$ACADVER", 1, "AC1009", 9, "$INSUNITS", 70, insunits, 9, "$MEASUREMENT", 70, measurement,
		9, "$LTSCALE", 40, 1/d.unit.Scale(), 0, "ENDSEC")
	d.groups(0, "SECTION", 2, "TABLES", 0, "TABLE", 2, "LTYPE", 70, len(dxf.LineTypes))
	for _, l := range dxf.LineTypes {
		d.groups(0, "LTYPE", 2, l.Name, 70, 0, 3, l.Told, 72, 65, 73, len(l.Strokes), 40, l.Length())
		for _, s := range l.Strokes {
			d.groups(49, s)
		}
	}
	d.groups(0, "ENDTAB", 0, "TABLE", 2, "LAYER", 70, len(layers)+1, 0, "LAYER", 2, "0", 70, 0, 62, dxf.White, 6, dxf.LineWhole)
	for _, l := range layers {
		d.groups(0, "LAYER", 2, l.Name, 70, 0, 62, l.Color, 6, l.Line)
	}
	d.groups(0, "ENDTAB", 0, "TABLE", 2, "STYLE", 70, 1, 0, "STYLE", 2, dxf.Lettering, 70, 0, 40, 0.0, 41, 1.0, 50, 0.0, 71, 0, 42, 10.0, 3, dxf.Font, 4, "", 0, "ENDTAB", 0, "ENDSEC")
	d.groups(0, "SECTION", 2, "ENTITIES")
}

// groups writes pairs of code and value.
func (d *drawer) groups(pairs ...any) {
	for i := 0; i < len(pairs); i += 2 {
		fmt.Fprintf(d.w, "%d\n", pairs[i])
		switch v := pairs[i+1].(type) {
		case mm: // as fine in inches as in mm: 1e-9 in is 2.5e-8 mm
			d.number(float64(v)/d.unit.Scale(), 6+3*int(d.unit))
		case float64:
			d.number(v, 10)
		default:
			fmt.Fprintln(d.w, v)
		}
	}
}

// number writes a real number, which has a point.
func (d *drawer) number(v float64, digits int) {
	s := string(decimal.Append(nil, v, digits))
	if !strings.Contains(s, ".") {
		s += ".0"
	}
	fmt.Fprintln(d.w, s)
}

// mark draws a straight line as LINE, text as TEXT, all else as a polyline.
func (d *drawer) mark(m *Mark) {
	switch {
	case m.Kind == Lettered:
		at := m.start()
		d.groups(0, "TEXT", 8, m.layer(), 10, mm(at.X), 20, mm(at.Y), 30, mm(0), 40, mm(m.Height), 1, dxf.Escape(m.Text), 50, m.degrees(), 7, dxf.Lettering)
		if m.AtEnd { // which is what readers then go by
			d.groups(72, 2, 11, mm(m.At.X), 21, mm(m.At.Y), 31, mm(0))
		}
	case len(m.Path) == 2 && !m.Closed && m.Path[0].Bulge == 0:
		a, b := m.Path[0].P, m.Path[1].P
		d.groups(0, "LINE", 8, m.layer(), 10, mm(a.X), 20, mm(a.Y), 30, mm(0), 11, mm(b.X), 21, mm(b.Y), 31, mm(0))
	default:
		d.loop(m.layer(), m.Path, m.Closed)
	}
}

// loop draws a full circle as CIRCLE, all else as a polyline with bulges.
func (d *drawer) loop(layer string, l plane.Loop, closed bool) {
	if closed && round(l) {
		c := l.Edge(0).Center()
		d.groups(0, "CIRCLE", 8, layer, 10, mm(c.X), 20, mm(c.Y), 30, mm(0), 40, mm(l.Edge(0).Radius()))
		return
	}
	flag := 0
	if closed {
		flag = 1
	}
	d.groups(0, "POLYLINE", 8, layer, 66, 1, 70, flag, 10, mm(0), 20, mm(0), 30, mm(0))
	for _, v := range l {
		d.groups(0, "VERTEX", 8, layer, 10, mm(v.P.X), 20, mm(v.P.Y), 30, mm(0))
		if v.Bulge != 0 {
			d.groups(42, v.Bulge)
		}
	}
	d.groups(0, "SEQEND", 8, layer)
}
