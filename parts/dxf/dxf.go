// Package dxf writes one blank as a drawing for a cutting machine: closed
// outlines with true arcs, fold lines by direction, marks and a label, each on
// a layer of its own, nothing twice. It decides nothing about the part and
// never changes its geometry; the same blank gives the same bytes.
package dxf

import (
	"fmt"
	"io"
	"math"

	"github.com/yofu/dxf/entity"
	"github.com/yofu/dxf/handle"

	"perch/parts/decimal"
	"perch/parts/drawing/layout"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/solver/elementary"
)

const (
	lengthDecimals = decimal.Length
	// inchDecimals keeps an inch drawing as fine as a millimetre one: 1e-9 in is 2.5e-8 mm.
	inchDecimals = 9
)

// Options of a drawing.
type Options struct {
	Unit         measure.System // of the geometry
	Reader       measure.System // of the label
	Design, Size string         // for the label; either may be empty
	Revision     string         // of the design, for the label; may be empty
}

// Write writes the blank to w as a DXF drawing (version AC1015). It returns an
// error when the blank has no outline or a number that is not finite, and w's own.
func Write(w io.Writer, b *panel.Blank, opt Options) error {
	d, err := newDraft(b, opt)
	if err != nil {
		return fmt.Errorf("drawing blank %q: %w", b.Name, err)
	}
	d.outlines()
	d.folds()
	d.marks()
	d.label(b, opt)
	return d.writeTo(w)
}

// draft is a drawing under way.
type draft struct {
	flat     *panel.Flat
	blank    *panel.Blank
	openings []plane.Loop
	unit     measure.System
	scale    float64 // mm to the drawing's unit
	frame    *frame
	entities []entity.Entity
}

func newDraft(b *panel.Blank, opt Options) (*draft, error) {
	f := b.Flat
	if f == nil || len(f.Outer) < 2 {
		return nil, fmt.Errorf("it has no outline")
	}
	d := &draft{flat: f, blank: b, openings: layout.Openings(f), unit: opt.Unit, scale: 1 / opt.Unit.Scale(), frame: theFrame()}
	return d, layout.Check(f)
}

// length takes mm to the drawing's unit, through the 1e-6 mm grid on which every
// output of a blank lies.
func (d *draft) length(mm float64) float64 {
	return decimal.Round(mm, decimal.Length) * d.scale
}

func (d *draft) outlines() {
	d.loop(LayerOutside, d.blank.Contour(), true)
	for _, l := range d.openings {
		d.loop(LayerInside, l, true)
	}
}

// loop draws a full circle as CIRCLE, from which a machine reads a diameter, and
// everything else as a polyline with bulges.
func (d *draft) loop(layer string, l plane.Loop, closed bool) {
	if c, r, ok := layout.Circle(l); ok && closed {
		e := entity.NewCircle()
		e.Center = []float64{d.length(c.X), d.length(c.Y), 0}
		e.Radius = d.length(r)
		d.add(e, layer)
		return
	}
	if len(l) < 2 {
		return
	}
	e := entity.NewLwPolyline(len(l))
	e.Closed = closed
	for i, v := range l {
		e.Vertices[i][0], e.Vertices[i][1] = d.length(v.P.X), d.length(v.P.Y)
		if closed || i+1 < len(l) {
			e.Bulges[i] = decimal.Round(v.Bulge, decimal.Bulge)
		}
	}
	d.add(e, layer)
}

func (d *draft) line(layer string, a, b plane.Point) {
	e := entity.NewLine()
	e.Start[0], e.Start[1] = d.length(a.X), d.length(a.Y)
	e.End[0], e.End[1] = d.length(b.X), d.length(b.Y)
	d.add(e, layer)
}

func (d *draft) text(layer, s string, at plane.Point, height, degrees float64) {
	e := entity.NewText()
	e.Coord1 = []float64{d.length(at.X), d.length(at.Y), 0}
	e.Height = d.length(height)
	e.Rotation = degrees
	e.WidthFactor = 1
	e.Style = d.frame.lettering
	e.Value = Escape(s)
	d.add(e, layer)
}

// owned is what the library's entities share and its interface leaves out.
type owned interface {
	entity.Entity
	SetOwner(handle.Handler)
}

func (d *draft) add(e owned, layer string) {
	e.SetLayer(d.frame.layers[layer])
	e.SetOwner(d.frame.modelSpace)
	d.entities = append(d.entities, e)
}

func (d *draft) folds() {
	for _, f := range d.flat.Folds {
		layer := LayerFoldUp
		if f.Down {
			layer = LayerFoldDown
		}
		d.line(layer, f.From, f.To)
	}
	for _, l := range d.blank.Scribed() {
		d.line(LayerMark, l[0], l[1])
	}
	for _, p := range d.blank.Punched() {
		d.loop(LayerMark, plane.Circle(2*panel.PunchMark).Transform(plane.Translate(p)), true)
	}
}

func (d *draft) marks() {
	for _, m := range d.flat.Marks {
		if m.Kind == panel.MarkText {
			d.text(LayerMark, m.Text, m.At, m.Height, degrees(m.Dir))
			continue
		}
		d.loop(LayerMark, m.Path, m.Closed)
	}
	for _, p := range d.flat.Points {
		for _, l := range layout.Strokes(p) {
			d.line(LayerMark, l[0], l[1])
		}
		// Holes and plug holes are among the openings.
	}
}

// writeTo puts the sections together.
func (d *draft) writeTo(w io.Writer) error {
	g := &groups{decimals: lengthDecimals}
	if b, ok := w.(interface{ AvailableBuffer() []byte }); ok {
		g.buf = b.AvailableBuffer() // written in place where w is a buffer
	}
	if d.unit == measure.Inches {
		g.decimals = inchDecimals
	}
	next := d.frame.nextHandle
	for _, e := range d.entities {
		e.SetHandle(&next)
	}
	box := d.flat.Outer.Bounds()
	writeHeader(g, d.unit,
		[2]float64{d.length(box.Min.X), d.length(box.Min.Y)},
		[2]float64{d.length(box.Max.X), d.length(box.Max.Y)}, next)
	g.buf = append(g.buf, d.frame.before...)
	entity.Entities(d.entities).Format(g)
	g.buf = append(g.buf, d.frame.after...)
	_, err := g.WriteTo(w)
	return err
}

// degrees is the direction of v, counter-clockwise from x.
func degrees(v plane.Point) float64 {
	return decimal.Round(elementary.Atan2(v.Y, v.X)*180/math.Pi, decimal.Angle)
}
