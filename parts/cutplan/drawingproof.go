package cutplan

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"perch/parts/dxf"
	"perch/parts/plane"
)

// ProveDrawing reads a written drawing back and matches its closed contours on the
// outside and inside layers, and its marks, against the plan's. It errs with
// *ProofError where one is missing, there twice, or not the blank's edge.
func ProveDrawing(text string, p *Plan) (Tally, error) {
	t := p.wanted()
	found, marks, err := readDrawing(text)
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
		}
	}
	if err := p.proveMarks(marks); err != nil {
		return t, err
	}
	return t, t.whole("drawing")
}

// proveMarks matches scribed lines and drill marks with the plan's.
func (p *Plan) proveMarks(found []drawn) error {
	var want []plane.Loop
	for _, d := range p.Drills {
		want = append(want, plane.Circle(2*drillMark).Transform(plane.Translate(d.At)))
	}
	for i := range p.Sheet.Parts {
		if p.Holds(i) {
			want = append(want, p.Sheet.Parts[i].Marks...)
		}
	}
	if len(found) != len(want) {
		return &ProofError{"drawing", fmt.Sprintf("it has %d marks of %d", len(found), len(want))}
	}
	seen := make([]bool, len(want))
	for n, f := range found {
		k := -1
		for i, l := range want {
			last := len(l) - 1
			if !seen[i] && len(f.loop) == len(l) && l[0].P.Near(f.loop[0].P, matchTol) && l[last].P.Near(f.loop[last].P, matchTol) {
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

type drawn struct {
	inside, mark bool
	loop         plane.Loop
}

// entity is an entity's groups as they were read.
type entity struct {
	kind string
	text map[int]string
}

func (e *entity) number(code int) float64 {
	v, _ := strconv.ParseFloat(strings.TrimSpace(e.text[code]), 64)
	return v
}

// readDrawing is the contours of a drawing's entities, and the lines on MARK.
func readDrawing(text string) (out, marks []drawn, err error) {
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	var all []entity
	for i := 0; i+1 < len(lines); i += 2 {
		code, err := strconv.Atoi(strings.TrimSpace(lines[i]))
		if err != nil {
			return nil, nil, &ProofError{"drawing", fmt.Sprintf("line %d is no group code", i+1)}
		}
		if code == 0 {
			all = append(all, entity{strings.TrimSpace(lines[i+1]), map[int]string{}})
		} else if len(all) > 0 {
			all[len(all)-1].text[code] = lines[i+1]
		}
	}
	if len(all) == 0 || all[len(all)-1].kind != "EOF" {
		return nil, nil, &ProofError{"drawing", "it has no end"}
	}
	var open *drawn
	add := func(d drawn) {
		if d.mark {
			marks = append(marks, d)
		} else {
			out = append(out, d)
		}
	}
	for i := range all {
		e := &all[i]
		layer := strings.TrimSpace(e.text[8])
		d := drawn{inside: layer == dxf.LayerInside, mark: layer == dxf.LayerMark}
		cut := d.inside || d.mark || layer == dxf.LayerOutside
		switch e.kind {
		case "CIRCLE":
			if cut {
				m := plane.Translate(plane.Point{X: e.number(10), Y: e.number(20)})
				d.loop = plane.Circle(2 * e.number(40)).Transform(m)
				add(d)
			}
		case "POLYLINE":
			open = nil
			if cut {
				if !d.mark && e.number(70) != 1 {
					return nil, nil, &ProofError{"drawing", "a contour is not closed"}
				}
				open = &d
			}
		case "VERTEX":
			if open != nil {
				open.loop = append(open.loop, plane.Vertex{P: plane.Point{X: e.number(10), Y: e.number(20)}, Bulge: e.number(42)})
			}
		case "SEQEND":
			if open != nil {
				add(*open)
				open = nil
			}
		}
	}
	return out, marks, nil
}
