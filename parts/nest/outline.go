package nest

import (
	"fmt"
	"strconv"
	"strings"

	"perch/parts/plane"
)

// RemnantLayer is the layer that holds what is left of a sheet in its drawing.
const RemnantLayer = "REMNANT"

// ReadRemnant reads the outline of a remnant from the text of a DXF drawing in mm:
// the closed polylines and circles on the layer REMNANT or, where that has none, all
// of them. The largest is the outline, those in it are holes. Lines and open curves
// are passed over. Errors: *OutlineError for a file that is no drawing, has no
// closed outline, or one that crosses itself or another.
func ReadRemnant(name, text string) (plane.Region, error) {
	bad := func(format string, args ...any) error {
		return &OutlineError{Name: name, Err: fmt.Errorf(format, args...)}
	}
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	r := &outlineReader{}
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
			if !only || l.layer == RemnantLayer {
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
	return orient(name, out)
}

// mostOutline bounds the points of a remnant's outline with its holes, farthest, in
// mm, where they may lie: what is outside is a mistaken unit or no outline.
const (
	mostOutline = 5000
	farthest    = 1e6
)

var errManyPoints = fmt.Errorf("the outline has more than %d points", mostOutline)

// orient puts the largest loop first and counter-clockwise, the others clockwise.
// It errs when the others are not holes in the first.
func orient(name string, r plane.Region) (plane.Region, error) {
	big := 0
	area := func(l plane.Loop) float64 { return max(l.Area(), -l.Area()) }
	points := 0
	for i, l := range r {
		if area(l) > area(r[big]) {
			big = i
		}
		for _, v := range l {
			if !(max(v.P.X, -v.P.X, v.P.Y, -v.P.Y) <= farthest) {
				return nil, &OutlineError{Name: name, Err: fmt.Errorf("a point at (%g, %g) mm lies farther out than %g mm", v.P.X, v.P.Y, farthest)}
			}
		}
		if points += len(l); points > mostOutline {
			return nil, &OutlineError{Name: name, Err: errManyPoints}
		}
	}
	r[0], r[big] = r[big], r[0]
	for i, l := range r {
		if (l.Area() > 0) != (i == 0) {
			r[i] = l.Reversed()
		}
	}
	if err := checkLoops(name, r); err != nil {
		return nil, err
	}
	for i, l := range r[1:] {
		for k, o := range r {
			if in := o.Locate(l[0].P) == plane.Inside; k != i+1 && in != (k == 0) {
				return nil, &OutlineError{Name: name, Err: fmt.Errorf("the outline at (%.3f, %.3f) is no hole in the largest: what is left of a sheet is one piece", l[0].P.X, l[0].P.Y)}
			}
		}
	}
	return r, checkRegion(name, r[:1])
}

// outlineReader collects closed outlines from groups.
type outlineReader struct {
	kind, layer string
	closed      bool
	poly        bool // between POLYLINE and SEQEND
	loop        plane.Loop
	x, y, rad   float64
	polyLayer   string
	found       []foundLoop
}

type foundLoop struct {
	layer string
	loop  plane.Loop
}

func (r *outlineReader) group(code int, value string) error {
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
func (r *outlineReader) end() {
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
		r.found = append(r.found, foundLoop{r.layer, plane.Circle(2 * r.rad).Transform(m)})
	}
}

func (r *outlineReader) take(layer string) {
	if n := len(r.loop); n > 2 && r.loop[0].P == r.loop[n-1].P {
		r.loop, r.closed = r.loop[:n-1], true
	}
	if r.closed && len(r.loop) > 1 {
		r.found = append(r.found, foundLoop{layer, r.loop})
	}
	r.loop = nil
}
