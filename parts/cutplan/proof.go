package cutplan

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"perch/parts/plane"
)

// Tally is what was found of what a sheet needs.
type Tally struct {
	Blanks, BlanksWanted   int
	Insides, InsidesWanted int
	Nicks, NicksWanted     int // in the blanks' outlines, as deep as they are to be
	Drills                 int // holes to be marked and drilled
	OnSheet                int // blanks that lie on it; more than wanted where only some are cut
	From                   int // pierce that the plan is resumed from; 1 for a whole one
}

func (t Tally) String() string {
	s := fmt.Sprintf("%d of %d blanks, %d of %d inside cuts, ", t.Blanks, t.BlanksWanted, t.Insides, t.InsidesWanted)
	if t.NicksWanted > 0 {
		s += fmt.Sprintf("%d of %d nicks, ", t.Nicks, t.NicksWanted)
	}
	s += "each once"
	switch {
	case t.From > 1:
		s += fmt.Sprintf("; from pierce %d on, %d of %d are left", t.From, t.BlanksWanted, t.OnSheet)
	case t.BlanksWanted < t.OnSheet:
		s += fmt.Sprintf("; only %d of %d on request", t.BlanksWanted, t.OnSheet)
	}
	return s
}

// matchTol is how far, in mm, a path that was read may lie from the planned one.
const matchTol = 0.01

// ProveProgram reads a written program back and matches every stretch with the
// torch on against the plan's cuts, and every one with the marking tool on against its
// marks. It errs with *ProofError where one is missing,
// there twice, not on its kerf line, or too early.
func ProveProgram(text string, p *Plan, prof *Profile) (Tally, error) {
	runs, scribed, err := readProgram(text, prof)
	if err != nil {
		return Tally{}, err
	}
	if err := p.proveScribed(scribed, prof); err != nil {
		return Tally{}, err
	}
	t := p.wanted()
	left := make([]int, len(p.Cuts)) // runs still to be found
	insides := make([]int, len(p.Sheet.Parts))
	seen := make([][]bool, len(p.Cuts))
	for i := range p.Cuts {
		left[i] = len(p.Cuts[i].Runs)
		seen[i] = make([]bool, left[i])
		if p.Cuts[i].Inside {
			insides[p.Cuts[i].Part]++
		}
	}
	for n, run := range runs {
		k := p.match(run, seen)
		if k < 0 {
			return t, &ProofError{"program", fmt.Sprintf("its cut %d is none of the plan's, or there twice", n+1)}
		}
		c := &p.Cuts[k]
		left[k]--
		if !c.Inside {
			t.Nicks += p.nicksOn(c.Part, run)
		}
		if !c.Inside && insides[c.Part] != 0 {
			return t, &ProofError{"program", fmt.Sprintf("blank %d is cut free before %d of its inside cuts", p.Sheet.Parts[c.Part].Number, insides[c.Part])}
		}
		switch {
		case left[k] > 0:
		case c.Inside:
			t.Insides++
			insides[c.Part]--
		default:
			t.Blanks++
		}
	}
	return t, t.whole("program")
}

// proveScribed matches what is marked with what is to be.
func (p *Plan) proveScribed(found [][]plane.Edge, prof *Profile) error {
	var want [][]plane.Edge
	for i := range p.Sheet.Parts {
		want = append(want, p.scribed(i, prof)...)
	}
	if len(found) != len(want) {
		return &ProofError{"program", fmt.Sprintf("it marks %d lines of %d", len(found), len(want))}
	}
	for i := range found { // in the plan's own order
		if !samePath(found[i], want[i]) {
			return &ProofError{"program", fmt.Sprintf("its marked line %d is not the plan's", i+1)}
		}
	}
	return nil
}

// match finds the cut that a run belongs to and marks the run as seen; −1 for none.
func (p *Plan) match(run []plane.Edge, seen [][]bool) int {
	for i := range p.Cuts {
		for k, r := range p.Cuts[i].Runs {
			if !seen[i][k] && samePath(run, r) {
				seen[i][k] = true
				return i
			}
		}
	}
	return -1
}

func (p *Plan) wanted() Tally {
	t := Tally{Drills: len(p.Drills), OnSheet: len(p.Sheet.Parts), From: p.First}
	for i := range p.Cuts {
		if p.Cuts[i].Inside {
			t.InsidesWanted++
		} else {
			t.BlanksWanted++
			for _, r := range p.Cuts[i].Runs {
				t.NicksWanted += p.nicksOn(p.Cuts[i].Part, r)
			}
		}
	}
	return t
}

func (t Tally) whole(file string) error {
	if t.Blanks != t.BlanksWanted || t.Insides != t.InsidesWanted || t.Nicks != t.NicksWanted {
		return &ProofError{file, "it has only " + t.String()}
	}
	return nil
}

// samePath tells whether two paths start, run and end together.
func samePath(a, b []plane.Edge) bool {
	if len(a) == 0 || len(b) == 0 || !a[0].From.Near(b[0].From, matchTol) || !a[len(a)-1].To.Near(b[len(b)-1].To, matchTol) {
		return false
	}
	la, lb := pathLength(a), pathLength(b)
	if math.Abs(la-lb) > matchTol*float64(4+len(a)) {
		return false
	}
	return onPath(a, b) && onPath(b, a)
}

func pathLength(p []plane.Edge) float64 {
	var s float64
	for _, e := range p {
		s += e.Len()
	}
	return s
}

// onPath tells whether points along a all lie on b.
func onPath(a, b []plane.Edge) bool {
	for _, e := range a {
		for _, t := range [4]float64{0, 1. / 3, 2. / 3, 1} {
			p := e.PointAt(t)
			d := math.Inf(1)
			for _, f := range b {
				d = min(d, f.Nearest(p).Dist(p))
			}
			if d > matchTol {
				return false
			}
		}
	}
	return true
}

// readProgram is the paths cut with the torch on, and those marked, in mm.
func readProgram(text string, prof *Profile) (runs, scribed [][]plane.Edge, err error) {
	var run []plane.Edge
	var at plane.Point
	on, marking, scale, mode := false, false, 1.0, 0
	for n, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "(") {
			continue
		}
		if strings.HasPrefix(line, "N") {
			_, line, _ = strings.Cut(line, " ")
		}
		switch {
		case line == prof.On && !on:
			on = true
			continue
		case line == prof.MarkOn && prof.MarkOn != "" && !on:
			on, marking = true, true
			continue
		case on && marking && line == prof.MarkOff:
			scribed = append(scribed, run)
			on, marking, run = false, false, nil
			continue
		case on && !marking && line == prof.Off:
			runs = append(runs, run)
			on, run = false, nil
			continue
		}
		to, centre, moves := at, plane.Point{}, false
		for _, w := range strings.Fields(line) {
			v, err := strconv.ParseFloat(w[1:], 64)
			if err != nil {
				continue // a controller's own word, in header or footer
			}
			switch w[0] {
			case 'G':
				switch v {
				case 0, 1, 2, 3:
					mode = int(v)
				case 20:
					scale = mmPerInch
				case 21:
					scale = 1
				}
			case 'X':
				to.X, moves = v*scale, true
			case 'Y':
				to.Y, moves = v*scale, true
			case 'I':
				centre.X = v * scale
			case 'J':
				centre.Y = v * scale
			}
		}
		if !moves {
			continue
		}
		if on && mode == 0 {
			return nil, nil, &ProofError{"program", fmt.Sprintf("line %d moves in rapid with the torch on", n+1)}
		}
		if !on && mode != 0 {
			return nil, nil, &ProofError{"program", fmt.Sprintf("line %d cuts with the torch off", n+1)}
		}
		if on {
			e := plane.Edge{From: at, To: to}
			if mode > 1 {
				e.Bulge = bulgeAbout(at, to, at.Add(centre), mode == 3)
			}
			run = append(run, e)
		}
		at = to
	}
	if on {
		return nil, nil, &ProofError{"program", "it ends with the torch on"}
	}
	return runs, scribed, nil
}

// bulgeAbout is the bulge of the arc from a to b about c, of less than half a turn:
// the tangent of a quarter of its angle.
func bulgeAbout(a, b, c plane.Point, ccw bool) float64 {
	u, v := a.Sub(c), b.Sub(c)
	half := math.Abs(u.Cross(v)) / (float64(u.Len()*v.Len()) + u.Dot(v)) // tan of half the angle
	q := half / (1 + math.Sqrt(1+float64(half*half)))
	if !ccw {
		return -q
	}
	return q
}
