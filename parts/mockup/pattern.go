package mockup

import (
	"fmt"
	"math"

	"perch/parts/bend"
	"perch/parts/drawing/layout"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// Sizes on paper, mm.
const (
	// rolledFrom is the radius from which a bend is rolled round something, not creased.
	rolledFrom = 3.0
	// twiceFrom is how far apart two creases must lie to be folded both.
	twiceFrom = 2.0
	// curveSag is how far a chord of a strip's curved end may lie off it.
	curveSag = 0.02
)

// hemAngle is the bend angle above which faces' planes meet too far away to be folded
// there; it is where a flat's mold line ends too.
const hemAngle = 150 * bend.Degree

// How is the way that paper is brought round a bend.
type How uint8

const (
	// Crease: one sharp fold where the middles' planes meet.
	Crease How = iota
	// Twice: two sharp folds of half the angle each, of a bend of more than 150°.
	Twice
	// Over: one sharp fold of a bend of more than 150° that is too narrow for two; the
	// faces come to lie nearer to each other than in metal, by up to 2 r + t.
	Over
	// Roll: paper bent round as metal is, its length that of the sheet's middle.
	Roll
)

// Strip is what stands for a bend: paper between two faces, as wide as the way round needs.
type Strip struct {
	Fold   int // index of the flat's folds
	How    How
	Angle  float64 // of the bend, radians
	Down   bool    // away from who sees the printed side
	Wide   float64 // across the strip, mm of metal
	Radius float64 // of the sheet's middle, mm of metal
	// Lines are where it is creased, or where it begins and ends to be rolled; on each
	// from From to To, the first face on the left.
	Lines [][2]plane.Point
	Loop  []plane.Point // the strip's outline
}

// Turn is by how much paper turns at each of the strip's creases; 0 of a rolled one.
func (s *Strip) Turn() float64 {
	switch s.How {
	case Roll:
		return 0
	case Twice:
		return s.Angle / 2
	}
	return s.Angle
}

// Pattern is the paper of one blank, seen from the printed, drawn side, in mm of metal.
// Each face of the flat is in it as it is, moved by Offset.
type Pattern struct {
	Flat    *panel.Flat
	Outline plane.Region // all of the paper, holes taken out
	Faces   []Face
	Strips  []Strip
	Overlap float64 // mm² by which the pattern lies on itself
}

// Face is a flat of a pattern.
type Face struct {
	Offset plane.Point  // from the blank's flat to the pattern
	Metal  plane.Region // the face as in the flat, holes taken out
	Paper  plane.Region // the same with the strips' paper up to their creases
}

// Unfold makes the pattern of a flat, for a scale. The flat is one that panel.Unfold made.
func Unfold(f *panel.Flat, scale Scale) (*Pattern, error) {
	if err := layout.Check(f); err != nil {
		return nil, fmt.Errorf("paper model: %w", err)
	}
	p := &Pattern{Flat: f, Faces: make([]Face, len(f.Faces)), Strips: make([]Strip, len(f.Folds))}
	p.place(scale.Factor())
	p.fillFaces()
	p.unite()
	return p, nil
}

// place finds every face's offset, from the root on, and the strips between.
func (p *Pattern) place(factor float64) {
	done := make([]bool, len(p.Faces))
	done[p.Flat.Root] = true
	for again := true; again; {
		again = false
		for i := range p.Flat.Folds {
			f := &p.Flat.Folds[i]
			if !done[f.A] || done[f.B] {
				continue
			}
			s := newStrip(f, i, factor)
			n := across(f)
			p.Faces[f.B].Offset = p.Faces[f.A].Offset.Add(n.Scale(s.Wide - f.Bend.Allowance()))
			s.draw(f, p.Faces[f.A].Offset)
			p.Strips[i] = s
			done[f.B], again = true, true
		}
	}
}

// across is the unit vector of the flat from a fold's first face to its second, square to
// the fold.
func across(f *panel.FlatFold) plane.Point {
	u := f.To.Sub(f.From).Unit()
	return plane.Point{X: u.Y, Y: -u.X}
}

// newStrip chooses the way round a bend and so its width.
func newStrip(f *panel.FlatFold, i int, factor float64) Strip {
	b := f.Bend
	r := b.Radius + float64(b.Thickness/2)
	s := Strip{Fold: i, Angle: b.Angle, Down: f.Down, Radius: r}
	switch {
	case b.Radius*factor >= rolledFrom:
		s.How, s.Wide = Roll, float64(r*b.Angle)
	case b.Angle <= hemAngle:
		s.How, s.Wide = Crease, float64(2*r*elementary.Tan(b.Angle/2))
	default:
		set := float64(r * elementary.Tan(b.Angle/4))
		s.How, s.Wide = Twice, 4*set
		if 2*set*factor < twiceFrom {
			s.How, s.Wide = Over, 2*r
		}
	}
	return s
}

// shares are the strip's lines as parts of its width.
func (s *Strip) shares() []float64 {
	switch s.How {
	case Twice:
		return []float64{0.25, 0.75}
	case Roll:
		return []float64{0, 1}
	}
	return []float64{0.5}
}

// draw stretches the flat's strip to the width, first face at the offset, and lays the
// lines on it.
func (s *Strip) draw(f *panel.FlatFold, offset plane.Point) {
	n, u := across(f), f.To.Sub(f.From).Unit()
	ba := f.Bend.Allowance()
	base := f.From.Sub(n.Scale(ba / 2)) // on the first face's tangent line
	grow := 0.0
	if ba > 0 {
		grow = s.Wide/ba - 1
	}
	move := func(q plane.Point) plane.Point {
		return q.Add(offset).Add(n.Scale(q.Sub(base).Dot(n) * grow))
	}
	for _, q := range plane.Flatten(f.Loop, curveSag) {
		s.Loop = append(s.Loop, move(q))
	}
	strip := plane.Region{polygon(s.Loop)}
	for _, share := range s.shares() {
		at := base.Add(offset).Add(n.Scale(s.Wide * share))
		// A hair off the strip's own edges, along which a line is no chord of it.
		probe := at.Add(n.Scale((0.5 - share) * 1e-4))
		line := [2]plane.Point{at.Add(u.Scale(f.From.Sub(base).Dot(u))), at.Add(u.Scale(f.To.Sub(base).Dot(u)))}
		if in := plane.Chords(strip, probe, u); len(in) > 0 {
			line = [2]plane.Point{at.Add(u.Scale(in[0].From)), at.Add(u.Scale(in[len(in)-1].To))}
		}
		s.Lines = append(s.Lines, line)
	}
}

func polygon(pts []plane.Point) plane.Loop {
	l := make(plane.Loop, len(pts))
	for i, q := range pts {
		l[i].P = q
	}
	return l
}

// fillFaces finds each face's metal, and its paper up to the creases.
func (p *Pattern) fillFaces() {
	for i := range p.Faces {
		ff, face := &p.Flat.Faces[i], &p.Faces[i]
		move := plane.Translate(face.Offset)
		face.Metal = ff.Trimmed.Transform(ff.ToFlat.Then(move))
		all := []plane.Region{face.Metal}
		for k := range p.Strips {
			s, f := &p.Strips[k], &p.Flat.Folds[k]
			if s.How == Roll || f.A != i && f.B != i {
				continue
			}
			n, line := across(f), s.Lines[0]
			if f.B == i {
				n, line = n.Neg(), s.Lines[len(s.Lines)-1]
			}
			all = append(all, plane.Clip(plane.Region{polygon(s.Loop)}, plane.HalfPlane{N: n, D: n.Dot(line[0])}))
		}
		face.Paper = plane.UnionAll(all...)
	}
}

// unite joins faces and strips, and tells how much of them lies on each other.
func (p *Pattern) unite() {
	var all []plane.Region
	sum := 0.0
	for i := range p.Faces {
		all = append(all, p.Faces[i].Metal)
		sum += p.Faces[i].Metal.Area()
	}
	for i := range p.Strips {
		r := plane.Region{polygon(p.Strips[i].Loop)}
		all = append(all, r)
		sum += r.Area()
	}
	p.Outline = plane.UnionAll(all...)
	p.Overlap = math.Max(0, sum-p.Outline.Area())
}

// Frame is where a face of the pattern stands in part space when all is folded: its plane
// is the middle of the metal.
func (p *Pattern) Frame(face int) solid.Frame {
	f := p.Flat.Faces[face].Frame.Shifted(-p.Flat.Panel.Stock.Thickness / 2)
	f.O = f.At(p.Faces[face].Offset.Neg())
	return f
}
