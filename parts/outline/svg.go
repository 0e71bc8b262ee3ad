package outline

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"perch/parts/measure"
	"perch/parts/plane"
)

// ID is the id of the element that holds what is left of a sheet in its
// picture.
const ID = "remnant"

// ReadSVG reads the outline of a remnant from the text of an SVG picture:
// the closed outlines drawn by path, polygon, polyline, rect, circle and ellipse in
// the element whose id is "remnant" or, where there is none, all of them. The
// largest is the outline, those in it are holes. The sheet's size in mm comes from
// width and height, which must have a unit, and the viewBox; y then runs up. Arcs
// of circles stay arcs, ellipses and Bézier curves become chords within 0.01 mm.
// Transforms are followed, styles but display are not; what is not displayed,
// backgrounds sized in percent and open curves are passed over. Errors:
// *Error for a file that is no picture, has no unit, no closed outline, or
// one that crosses itself or another.
func ReadSVG(name, text string) (plane.Region, error) {
	r := &svgReader{}
	if err := r.read(text); err != nil {
		return nil, &Error{Name: name, Err: err}
	}
	var out plane.Region
	for _, f := range r.found {
		if f.marked == r.marked {
			out = append(out, f.loop)
		}
	}
	if len(out) == 0 {
		return nil, &Error{Name: name, Err: errors.New("the picture has no closed outline")}
	}
	return arrange(name, out)
}

// svgReader collects closed outlines from elements.
type svgReader struct {
	begun  bool
	stack  []svgState
	found  []svgFound
	marked bool // some element is the remnant's
	count  int  // vertices drawn
}

// svgState is what an element hands down to those in it.
type svgState struct {
	m      plane.Affine // to mm, y up
	marked bool
	hidden bool
}

type svgFound struct {
	marked bool
	loop   plane.Loop
}

// svgDeepest bounds elements in elements.
const svgDeepest = 200

func (r *svgReader) read(text string) error {
	d := xml.NewDecoder(strings.NewReader(text))
	for {
		t, err := d.Token()
		if err == io.EOF {
			if !r.begun {
				return errors.New("the file is no SVG picture")
			}
			return nil
		}
		if err != nil {
			return fmt.Errorf("the file is no SVG picture: %w", err)
		}
		switch t := t.(type) {
		case xml.StartElement:
			if err := r.element(t); err != nil {
				line, _ := d.InputPos()
				return fmt.Errorf("line %d, %s: %w", line, t.Name.Local, err)
			}
		case xml.EndElement:
			r.stack = r.stack[:len(r.stack)-1]
		}
	}
}

func (r *svgReader) element(t xml.StartElement) error {
	a := map[string]string{}
	for _, x := range t.Attr {
		a[x.Name.Local] = x.Value
	}
	if !r.begun {
		if t.Name.Local != "svg" {
			return errors.New("the file is no SVG picture")
		}
		r.begun = true
		m, err := svgFrame(a)
		r.stack = append(r.stack, svgState{m: m})
		return err
	}
	switch len(r.stack) {
	case 0:
		return errors.New("a second picture in the file")
	case svgDeepest:
		return fmt.Errorf("more than %d elements in each other", svgDeepest)
	}
	s := r.stack[len(r.stack)-1]
	if t.Name.Local == "svg" && !s.hidden {
		return errors.New("a picture within the picture")
	}
	if a["id"] == ID {
		s.marked, r.marked = true, true
	}
	s.hidden = s.hidden || svgHidden(t.Name.Local, a)
	if tr := a["transform"]; tr != "" && !s.hidden {
		m, err := svgTransform(tr)
		if err != nil {
			return err
		}
		s.m = m.Then(s.m)
	}
	r.stack = append(r.stack, s)
	if s.hidden {
		return nil
	}
	p := &svgPen{m: s.m, count: r.count}
	if err := p.draw(t.Name.Local, a); err != nil {
		return err
	}
	if r.count = p.count; r.count > mostPoints {
		return errManyPoints
	}
	for _, l := range p.done {
		r.found = append(r.found, svgFound{s.marked, l})
	}
	return nil
}

// svgHidden tells whether an element draws nothing where it stands.
func svgHidden(name string, a map[string]string) bool {
	switch name {
	case "defs", "symbol", "clipPath", "mask", "marker", "pattern", "metadata", "foreignObject":
		return true
	}
	style := strings.ReplaceAll(a["style"], " ", "")
	return a["display"] == "none" || strings.Contains(style, "display:none")
}

// svgFrame takes the picture's coordinates to mm, y up from its lower edge.
func svgFrame(a map[string]string) (plane.Affine, error) {
	var size [2]float64
	for i, k := range [2]string{"width", "height"} {
		v, unit, err := svgLength(a[k])
		if err != nil {
			return plane.Affine{}, fmt.Errorf("%s: %w", k, err)
		}
		mm, ok := svgUnits[unit]
		if !ok || !(v > 0) {
			return plane.Affine{}, fmt.Errorf("%s is %q: the picture's size needs a unit, mm, cm, in, pt, pc or px", k, a[k])
		}
		size[i] = float64(v * mm)
	}
	box := [4]float64{0, 0, size[0] / svgUnits["px"], size[1] / svgUnits["px"]}
	if v := a["viewBox"]; v != "" {
		n := &svgNumbers{text: v}
		for i := range box {
			x, err := n.number()
			if err != nil {
				return plane.Affine{}, fmt.Errorf("viewBox: %w", err)
			}
			box[i] = x
		}
	}
	if !(box[2] > 0 && box[3] > 0) {
		return plane.Affine{}, fmt.Errorf("viewBox %q has no size", a["viewBox"])
	}
	k, kv := size[0]/box[2], size[1]/box[3]
	if math.Abs(k-kv) > svgSkew*max(k, kv) {
		return plane.Affine{}, measure.Errorf("one unit is %.6g along and %.6g across: the viewBox has not the proportions of width and height", measure.Length(k), measure.Length(kv))
	}
	return plane.Affine{A: k, D: -k, E: float64(-k * box[0]), F: size[1] + float64(k*box[1])}, nil
}

// svgSkew is how much scales along and across may differ by rounding, as a fraction.
const svgSkew = 1e-3

// svgUnits are the units in mm (CSS Values and Units 3, 6.2).
var svgUnits = map[string]float64{"mm": 1, "cm": 10, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6, "px": 25.4 / 96}

func svgLength(s string) (float64, string, error) {
	if strings.TrimSpace(s) == "" {
		return 0, "", nil
	}
	n := &svgNumbers{text: s}
	v, err := n.number()
	return v, strings.TrimSpace(s[n.at:]), err
}

// svgTransform is a transform list; angles are degrees.
func svgTransform(s string) (plane.Affine, error) {
	m := plane.Identity()
	for rest := strings.Trim(s, " \t\r\n,"); rest != ""; rest = strings.Trim(rest, " \t\r\n,") {
		name, tail, ok := strings.Cut(rest, "(")
		args, after, closed := strings.Cut(tail, ")")
		if !ok || !closed {
			return m, fmt.Errorf("transform %q", clip(rest))
		}
		var v []float64
		for n := (&svgNumbers{text: args}); !n.end(); {
			x, err := n.number()
			if err != nil || len(v) == 6 {
				return m, fmt.Errorf("transform %q", clip(rest))
			}
			v = append(v, x)
		}
		t, ok := svgMap(strings.TrimSpace(name), v)
		if !ok {
			return m, fmt.Errorf("transform %q", clip(rest))
		}
		m, rest = t.Then(m), after
	}
	return m, nil
}

func svgMap(name string, v []float64) (plane.Affine, bool) {
	at := func(i int, or float64) float64 {
		if i < len(v) {
			return v[i]
		}
		return or
	}
	switch n := len(v); {
	case name == "matrix" && n == 6:
		return plane.Affine{A: v[0], C: v[1], B: v[2], D: v[3], E: v[4], F: v[5]}, true
	case name == "translate" && (n == 1 || n == 2):
		return plane.Translate(point{X: v[0], Y: at(1, 0)}), true
	case name == "scale" && (n == 1 || n == 2):
		return plane.Affine{A: v[0], D: at(1, v[0])}, true
	case name == "rotate" && (n == 1 || n == 3):
		c, s := plane.Turned(v[0])
		to := point{X: at(1, 0), Y: at(2, 0)}
		return plane.Translate(to.Neg()).Then(plane.Affine{A: c, B: -s, C: s, D: c}).Then(plane.Translate(to)), true
	case (name == "skewX" || name == "skewY") && n == 1:
		c, s := plane.Turned(v[0])
		if math.Abs(c) < 1e-6 {
			return plane.Affine{}, false
		}
		if name == "skewX" {
			return plane.Affine{A: 1, D: 1, B: s / c}, true
		}
		return plane.Affine{A: 1, D: 1, C: s / c}, true
	}
	return plane.Affine{}, false
}

// draw draws one element.
func (p *svgPen) draw(name string, a map[string]string) error {
	switch name {
	case "path":
		return p.path(a["d"])
	case "polygon", "polyline":
		n := &svgNumbers{text: a["points"]}
		for first := true; !n.end(); first = false {
			x, err := n.number()
			if err != nil {
				return err
			}
			y, err := n.number()
			if err != nil {
				return err
			}
			if first {
				p.move(point{X: x, Y: y})
			} else {
				p.line(point{X: x, Y: y})
			}
		}
		p.finish(name == "polygon")
		return nil
	case "rect", "circle", "ellipse":
		v := map[string]float64{}
		for _, k := range [9]string{"x", "y", "width", "height", "rx", "ry", "cx", "cy", "r"} {
			x, unit, err := svgLength(a[k])
			mm, known := svgUnits[unit]
			switch {
			case unit == "%":
				return nil
			case err != nil:
				return err
			case unit != "" && !known:
				return fmt.Errorf("%s is %q", k, a[k])
			case known:
				x = float64(x * (mm / svgUnits["px"]))
			}
			v[k] = x
		}
		p.shape(name, a, v)
	}
	return nil
}

// shape draws a rectangle, rounded where it has radii, a circle or an ellipse.
func (p *svgPen) shape(name string, a map[string]string, v map[string]float64) {
	x, y, w, h := v["x"], v["y"], v["width"], v["height"]
	rx, ry := v["rx"], v["ry"]
	switch {
	case name == "circle":
		rx, ry = v["r"], v["r"]
		fallthrough
	case name == "ellipse":
		x, y, w, h = v["cx"]-rx, v["cy"]-ry, 2*rx, 2*ry
	case a["rx"] == "":
		rx = ry
	case a["ry"] == "":
		ry = rx
	}
	if !(w > 0 && h > 0) {
		return
	}
	rx, ry = min(max(rx, 0), w/2), min(max(ry, 0), h/2)
	if rx == 0 || ry == 0 {
		rx, ry = 0, 0
	}
	p.move(point{X: x + rx, Y: y})
	p.line(point{X: x + w - rx, Y: y})
	p.arc(rx, ry, 0, false, true, point{X: x + w, Y: y + ry})
	p.line(point{X: x + w, Y: y + h - ry})
	p.arc(rx, ry, 0, false, true, point{X: x + w - rx, Y: y + h})
	p.line(point{X: x + rx, Y: y + h})
	p.arc(rx, ry, 0, false, true, point{X: x, Y: y + h - ry})
	p.line(point{X: x, Y: y + ry})
	p.arc(rx, ry, 0, false, true, point{X: x + rx, Y: y})
	p.finish(true)
}
