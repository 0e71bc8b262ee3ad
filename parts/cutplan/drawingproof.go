package cutplan

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"perch/parts/dxf"
	"perch/parts/measure"
	"perch/parts/plane"
	"perch/solver/elementary"
)

// ProveDrawing reads a written drawing back and matches its closed contours on the
// outside and inside layers, its marks and its fold lines, against the plan's. It errs with
// *ProofError where one is missing, there twice, or not the blank's edge.
func ProveDrawing(text string, p *Plan, unit measure.System) (Tally, error) {
	t := p.wanted()
	found, marks, err := readDrawing(text, unit)
	if err != nil {
		return t, err
	}
	seen := make([]bool, len(p.Cuts))
	for n, f := range found {
		k := -1
		for i := range p.Cuts {
			if !seen[i] && p.Cuts[i].Inside == f.inside && sameLoop(f.loop, p.Cuts[i].Contour) {
				k = i
				break
			}
		}
		if k < 0 {
			return t, &ProofError{"drawing", fmt.Sprintf("its contour %d is none of the plan's, or there twice", n+1)}
		}
		seen[k] = true
		if f.inside {
			t.Insides++
		} else {
			t.Blanks++
			kerf, err := kerfLine(&p.Sheet.Parts[p.Cuts[k].Part], ccw(f.loop), p.Options)
			if err != nil {
				return t, &ProofError{"drawing", err.Error()}
			}
			t.Nicks += p.nicksOn(p.Cuts[k].Part, edgesOf(kerf))
		}
	}
	if err := p.proveMarks(marks); err != nil {
		return t, err
	}
	return t, t.whole("drawing")
}

// proveMarks matches marks and fold lines with the plan's.
func (p *Plan) proveMarks(found []Mark) error {
	var want []Mark
	for _, d := range p.Drills {
		want = append(want, Mark{Path: plane.Circle(2 * drillMark).Transform(plane.Translate(d.At)), Closed: true})
	}
	for i := range p.Sheet.Parts {
		want = append(want, p.marks(i)...)
	}
	if len(found) != len(want) {
		return &ProofError{"drawing", fmt.Sprintf("it has %d marks of %d", len(found), len(want))}
	}
	seen := make([]bool, len(want))
	for n := range found {
		k := -1
		for i := range want {
			if !seen[i] && sameMark(&found[n], &want[i]) {
				k = i
				break
			}
		}
		if k < 0 {
			return &ProofError{"drawing", fmt.Sprintf("its mark %d is none of the plan's, or there twice", n+1)}
		}
		seen[k] = true
	}
	return nil
}

// sameMark tells whether a mark that was read is the wanted one.
func sameMark(found, want *Mark) bool {
	if found.Kind != want.Kind || found.Closed != want.Closed || found.AtEnd != want.AtEnd {
		return false
	}
	if want.Kind == Lettered {
		return found.Text == dxf.Escape(want.Text) && found.At.Near(want.At, matchTol) && found.Dir.Near(want.Dir, 1e-6) && math.Abs(found.Height-want.Height) < matchTol
	}
	if want.Closed {
		return sameLoop(found.Path, want.Path)
	}
	if len(found.Path) != len(want.Path) {
		return false
	}
	for i, v := range want.Path {
		last := i == len(want.Path)-1 // whose bulge leads nowhere
		if w := found.Path[i]; !v.P.Near(w.P, matchTol) || !last && math.Abs(v.Bulge-w.Bulge) > 1e-6 {
			return false
		}
	}
	return true
}

// sameLoop tells whether two closed outlines are one, whatever their direction.
func sameLoop(a, b plane.Loop) bool {
	if math.Abs(math.Abs(a.Area())-math.Abs(b.Area())) > matchTol*(a.Length()+1) {
		return false
	}
	return onPath(edgesOf(a), edgesOf(b)) && onPath(edgesOf(b), edgesOf(a))
}

func edgesOf(l plane.Loop) []plane.Edge {
	out := make([]plane.Edge, len(l))
	for i := range l {
		out[i] = l.Edge(i)
	}
	return out
}

// drawn is a contour that was read.
type drawn struct {
	inside bool
	loop   plane.Loop
}

// markLayers are the layers of what is not cut, with what lies on them.
var markLayers = map[string]MarkKind{dxf.LayerMark: Scribed, dxf.LayerFoldUp: FoldUp, dxf.LayerFoldDown: FoldDown}

// entity is an entity's groups as they were read.
type entity struct {
	kind string
	text map[int]string
	mm   float64 // in the drawing's unit
}

func (e *entity) number(code int) float64 {
	v, _ := strconv.ParseFloat(strings.TrimSpace(e.text[code]), 64)
	return v
}

// length is a group's value in mm.
func (e *entity) length(code int) float64 { return float64(e.number(code) * e.mm) }

func (e *entity) point(x int) plane.Point { return plane.Point{X: e.length(x), Y: e.length(x + 10)} }

// readDrawing is the contours of a drawing's entities, and what lies on the layers of
// marks and folds.
func readDrawing(text string, unit measure.System) (out []drawn, marks []Mark, err error) {
	if code, _ := units(unit); !strings.Contains(text, fmt.Sprintf("\n$INSUNITS\n70\n%d\n", code)) {
		return nil, nil, &ProofError{"drawing", "it is not in " + unit.String()}
	}
	all, err := entities(text, unit.Scale())
	if err != nil {
		return nil, nil, err
	}
	r := &contourReader{}
	for i := range all {
		if err := r.read(&all[i]); err != nil {
			return nil, nil, err
		}
	}
	return r.contours, r.marks, nil
}

// entities are the groups of a drawing's text, entity by entity.
func entities(text string, scale float64) ([]entity, error) {
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	var all []entity
	for i := 0; i+1 < len(lines); i += 2 {
		code, err := strconv.Atoi(strings.TrimSpace(lines[i]))
		if err != nil {
			return nil, &ProofError{"drawing", fmt.Sprintf("line %d is no group code", i+1)}
		}
		if code == 0 {
			all = append(all, entity{strings.TrimSpace(lines[i+1]), map[int]string{}, scale})
		} else if len(all) > 0 {
			all[len(all)-1].text[code] = lines[i+1]
		}
	}
	if len(all) == 0 || all[len(all)-1].kind != "EOF" {
		return nil, &ProofError{"drawing", "it has no end"}
	}
	return all, nil
}

// contourReader sorts entities into contours and marks.
type contourReader struct {
	contours []drawn
	marks    []Mark
	open     *entity // the polyline whose corners come
	path     plane.Loop
}

func (r *contourReader) read(e *entity) error {
	layer := strings.TrimSpace(e.text[8])
	kind, mark := markLayers[layer]
	if !mark && layer != dxf.LayerInside && layer != dxf.LayerOutside {
		return nil
	}
	switch e.kind {
	case "LINE":
		return r.take(e, plane.Loop{{P: e.point(10)}, {P: e.point(11)}}, false)
	case "TEXT":
		turn := e.number(50) * math.Pi / 180
		m := Mark{Kind: Lettered, Text: e.text[1], At: e.point(10), Dir: plane.Point{X: elementary.Cos(turn), Y: elementary.Sin(turn)}, Height: e.length(40)}
		if m.AtEnd = e.number(72) == 2; m.AtEnd {
			m.At = e.point(11)
		}
		if !mark || kind != Scribed {
			return &ProofError{"drawing", "there is text on " + layer}
		}
		r.marks = append(r.marks, m)
	case "CIRCLE":
		return r.take(e, plane.Circle(2*e.length(40)).Transform(plane.Translate(e.point(10))), true)
	case "POLYLINE":
		r.open, r.path = e, nil
	case "VERTEX":
		r.path = append(r.path, plane.Vertex{P: e.point(10), Bulge: e.number(42)})
	case "SEQEND":
		if r.open != nil {
			open := r.open
			r.open = nil
			return r.take(open, r.path, open.number(70) == 1)
		}
	}
	return nil
}

// take sorts a path by its layer.
func (r *contourReader) take(e *entity, path plane.Loop, closed bool) error {
	layer := strings.TrimSpace(e.text[8])
	if kind, ok := markLayers[layer]; ok {
		r.marks = append(r.marks, Mark{Kind: kind, Path: path, Closed: closed})
		return nil
	}
	if !closed {
		return &ProofError{"drawing", "a contour is not closed"}
	}
	r.contours = append(r.contours, drawn{layer == dxf.LayerInside, path})
	return nil
}
