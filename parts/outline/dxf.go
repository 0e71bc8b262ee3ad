package outline

import (
	"fmt"
	"strconv"
	"strings"

	"perch/parts/plane"
)

// Layer is the layer that holds what is left of a sheet in its drawing.
const Layer = "REMNANT"

// ReadDXF reads the outline of a remnant from the text of a DXF drawing in mm:
// the closed polylines and circles on the layer REMNANT or, where that has none, all
// of them. The largest is the outline, those in it are holes. Lines and open curves
// are passed over. Errors: *Error for a file that is no drawing, has no
// closed outline, or one that crosses itself or another.
func ReadDXF(name, text string) (plane.Region, error) {
	bad := func(format string, args ...any) error {
		return &Error{Name: name, Err: fmt.Errorf(format, args...)}
	}
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	r := &dxfReader{}
	for i := 0; i+1 < len(lines); i += 2 {
		code, err := strconv.Atoi(strings.TrimSpace(lines[i]))
		if err != nil {
			return nil, bad("line %d is no group code of a drawing", i+1)
		}
		if err := r.group(code, strings.TrimSpace(lines[i+1])); err != nil {
			return nil, bad("line %d: %q is not a number", i+2, lines[i+1])
		}
	}
	if r.kind != "EOF" {
		return nil, bad("the drawing has no end")
	}
	var out plane.Region
	for _, only := range [2]bool{true, false} {
		for _, l := range r.found {
			if !only || l.layer == Layer {
				out = append(out, l.loop)
			}
		}
		if len(out) > 0 {
			break
		}
	}
	if len(out) == 0 {
		return nil, bad("the drawing has no closed outline")
	}
	return arrange(name, out)
}

// dxfReader collects closed outlines from groups.
type dxfReader struct {
	kind, layer string
	closed      bool
	poly        bool // between POLYLINE and SEQEND
	loop        plane.Loop
	x, y, rad   float64
	polyLayer   string
	found       []dxfFound
}

type dxfFound struct {
	layer string
	loop  plane.Loop
}

func (r *dxfReader) group(code int, value string) error {
	if code == 0 {
		r.end()
		r.kind, r.layer = value, ""
		if value == "POLYLINE" || value == "LWPOLYLINE" {
			r.loop, r.closed, r.poly = nil, false, value == "POLYLINE"
		}
		return nil
	}
	switch r.kind {
	case "POLYLINE", "LWPOLYLINE", "VERTEX", "CIRCLE":
	default:
		return nil
	}
	if code == 8 {
		r.layer = value
		return nil
	}
	if code != 10 && code != 20 && code != 40 && code != 42 && code != 70 {
		return nil
	}
	v, err := strconv.ParseFloat(value, 64)
	if err != nil || v-v != 0 {
		return fmt.Errorf("not a number")
	}
	last := len(r.loop) - 1
	switch {
	case code == 70 && r.kind != "VERTEX":
		r.closed = int(v)&1 == 1
	case r.kind == "CIRCLE" && code == 10:
		r.x = v
	case r.kind == "CIRCLE" && code == 20:
		r.y = v
	case r.kind == "CIRCLE" && code == 40:
		r.rad = v
	case r.kind == "POLYLINE": // its own point says nothing
	case code == 10:
		r.loop = append(r.loop, plane.Vertex{P: plane.Point{X: v}})
	case code == 20 && last >= 0:
		r.loop[last].P.Y = v
	case code == 42 && last >= 0:
		r.loop[last].Bulge = v
	}
	return nil
}

// end takes the entity that was read if it closes an outline.
func (r *dxfReader) end() {
	switch r.kind {
	case "POLYLINE":
		r.polyLayer = r.layer
	case "LWPOLYLINE":
		r.take(r.layer)
	case "SEQEND":
		if r.poly {
			r.take(r.polyLayer)
		}
		r.poly = false
	case "CIRCLE":
		m := plane.Translate(plane.Point{X: r.x, Y: r.y})
		r.found = append(r.found, dxfFound{r.layer, plane.Circle(2 * r.rad).Transform(m)})
	}
}

func (r *dxfReader) take(layer string) {
	if n := len(r.loop); n > 2 && r.loop[0].P == r.loop[n-1].P {
		r.loop, r.closed = r.loop[:n-1], true
	}
	if r.closed && len(r.loop) > 1 {
		r.found = append(r.found, dxfFound{layer, r.loop})
	}
	r.loop = nil
}
