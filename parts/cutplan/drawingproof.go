package cutplan

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"perch/parts/plane"
)

// ProveDrawing reads a written drawing back and matches its closed contours on the
// outside and inside layers against the plan's. It errs with *ProofError where one
// is missing, there twice, or not the blank's edge.
func ProveDrawing(text string, p *Plan) (Tally, error) {
	t := p.wanted()
	found, err := readDrawing(text)
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
	return t, t.whole("drawing")
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
	inside bool
	loop   plane.Loop
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

// readDrawing is the contours of a drawing's entities.
func readDrawing(text string) ([]drawn, error) {
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	var all []entity
	for i := 0; i+1 < len(lines); i += 2 {
		code, err := strconv.Atoi(strings.TrimSpace(lines[i]))
		if err != nil {
			return nil, &ProofError{"drawing", fmt.Sprintf("line %d is no group code", i+1)}
		}
		if code == 0 {
			all = append(all, entity{strings.TrimSpace(lines[i+1]), map[int]string{}})
		} else if len(all) > 0 {
			all[len(all)-1].text[code] = lines[i+1]
		}
	}
	if len(all) == 0 || all[len(all)-1].kind != "EOF" {
		return nil, &ProofError{"drawing", "it has no end"}
	}
	var out []drawn
	var open *drawn
	for i := range all {
		e := &all[i]
		layer := strings.TrimSpace(e.text[8])
		cut := layer == LayerOutside || layer == LayerInside
		switch e.kind {
		case "CIRCLE":
			if cut {
				m := plane.Translate(plane.Point{X: e.number(10), Y: e.number(20)})
				out = append(out, drawn{layer == LayerInside, plane.Circle(2 * e.number(40)).Transform(m)})
			}
		case "POLYLINE":
			open = nil
			if cut {
				if e.number(70) != 1 {
					return nil, &ProofError{"drawing", "a contour is not closed"}
				}
				open = &drawn{inside: layer == LayerInside}
			}
		case "VERTEX":
			if open != nil {
				open.loop = append(open.loop, plane.Vertex{P: plane.Point{X: e.number(10), Y: e.number(20)}, Bulge: e.number(42)})
			}
		case "SEQEND":
			if open != nil {
				out = append(out, *open)
				open = nil
			}
		}
	}
	return out, nil
}
