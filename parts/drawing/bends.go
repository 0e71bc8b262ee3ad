package drawing

import (
	"math"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// arcOf carries the strip of a fold to part space. At an angle θ past face A's
// tangent line, a surface of radius ρ lies at start + ρ·sin θ·n ± (R − ρ·cos θ)·z,
// R the drawn surface's radius, n away from face A, z its normal, + for up.
type arcOf struct {
	frame         solid.Frame
	n, z          solid.Vec
	drawn, behind float64 // radii of the two surfaces
	side          float64 // +1 up, −1 down
}

func (s *sheet) arc(f *panel.FlatFold) arcOf {
	frame := s.flat.Faces[f.A].Frame
	u, _ := unit(f.From, f.To)
	a := arcOf{frame: frame, n: frame.Dir(plane.Point{X: u.Y, Y: -u.X}), z: frame.Normal(),
		drawn: f.Bend.Radius, behind: f.Bend.Radius + s.thickness, side: 1}
	if f.Down {
		a.drawn, a.behind, a.side = a.behind, a.drawn, -1
	}
	return a
}

func (a arcOf) at(start solid.Vec, radius, sin, cos float64) solid.Vec {
	return start.Add(a.n.Scale(radius * sin)).Add(a.z.Scale(a.side * (a.drawn - float64(radius*cos))))
}

// bend makes a fold's strip: both surfaces and its two ends, in flats of at most
// maxStep each.
func (s *sheet) bend(f *panel.FlatFold) {
	if f.A < 0 || f.A >= len(s.flat.Faces) || !(f.Bend.Angle > 0) {
		return
	}
	a := s.arc(f)
	u, _ := unit(f.From, f.To)
	near, far := ordered(f.TangentA, u), ordered(f.TangentB, u)
	ends := func(part float64) (p [2]solid.Vec) { // on face A's tangent line, unbent
		for i := range p {
			along := float64(dot(near[i], u)*(1-part)) + float64(dot(far[i], u)*part) - dot(near[0], u)
			p[i] = a.frame.At(plane.Point{X: near[0].X + float64(u.X*along), Y: near[0].Y + float64(u.Y*along)})
		}
		return p
	}
	steps := s.steps(f)
	for k := range steps {
		lo, hi := float64(k)/float64(steps), float64(k+1)/float64(steps)
		sin0, cos0 := elementary.Sincos(f.Bend.Angle * lo)
		sin1, cos1 := elementary.Sincos(f.Bend.Angle * hi)
		sinM, cosM := elementary.Sincos(f.Bend.Angle * (lo + hi) / 2)
		p, q := ends(lo), ends(hi)
		quad := func(radius float64) [4]solid.Vec {
			return [4]solid.Vec{a.at(p[0], radius, sin0, cos0), a.at(p[1], radius, sin0, cos0), a.at(q[1], radius, sin1, cos1), a.at(q[0], radius, sin1, cos1)}
		}
		drawn, behind := quad(a.drawn), quad(a.behind)
		normal := a.z.Scale(cosM).Add(a.n.Scale(-a.side * sinM))
		soft := []bool{true, false, true, false}
		along := [2][2]float64{spanOn(near, far, u, lo), spanOn(near, far, u, hi)}
		s.facets = append(s.facets,
			Facet{Outer: drawn[:], Normal: normal, Tint: s.tint, Soft: soft, Bend: true, Marks: s.nicksOn(f, u, lo, hi, along, drawn)},
			Facet{Outer: behind[:], Normal: normal.Neg(), Tint: s.tint, Soft: soft, Bend: true, Marks: s.nicksOn(f, u, lo, hi, along, behind)})
		axis := a.frame.Dir(u)
		for i, end := range [2][2]int{{0, 3}, {1, 2}} {
			s.facets = append(s.facets, Facet{
				Outer:  []solid.Vec{drawn[end[0]], drawn[end[1]], behind[end[1]], behind[end[0]]},
				Normal: axis.Scale(float64(2*i - 1)), Tint: s.tint, Thin: true})
		}
	}
}

// ordered puts a tangent line's ends in the direction u.
func ordered(t [2]plane.Point, u plane.Point) [2]plane.Point {
	if dot(t[0], u) > dot(t[1], u) {
		return [2]plane.Point{t[1], t[0]}
	}
	return t
}

// steps is how many flats a bend is drawn by: so many that none lies farther off the round
// than is seen.
func (s *sheet) steps(f *panel.FlatFold) int {
	radius := f.Bend.Radius + s.thickness
	step := maxStep
	if k := s.sag / radius; k < 1 {
		step = min(step, 2*math.Sqrt(2*k))
	}
	return max(1, int(math.Ceil(f.Bend.Angle/step)))
}

// spanOn is where a strip begins and ends along its fold, at a part of its width.
func spanOn(near, far [2]plane.Point, u plane.Point, part float64) (span [2]float64) {
	for i := range span {
		span[i] = float64(near[i].Dot(u)*(1-part)) + float64(far[i].Dot(u)*part)
	}
	return span
}

// nicksOn are the nicks' edges on one flat of a bend, which goes from the parts lo to hi of
// the strip's width and whose corners are given.
func (s *sheet) nicksOn(f *panel.FlatFold, u plane.Point, lo, hi float64, along [2][2]float64, quad [4]solid.Vec) [][]solid.Vec {
	var out [][]solid.Vec
	n := plane.Point{X: u.Y, Y: -u.X} // from the first face to the second
	ba := f.Bend.Allowance()
	base := f.From.Dot(n) - float64(ba/2)
	for _, v := range s.nicks {
		for i := range 2 {
			a, b := v[i], v[i+1]
			pa, pb := (a.Dot(n)-base)/ba, (b.Dot(n)-base)/ba
			if pa == pb {
				continue
			}
			from, to := (lo-pa)/(pb-pa), (hi-pa)/(pb-pa)
			from, to = max(0, min(from, to)), min(1, max(from, to))
			if from >= to {
				continue
			}
			var line []solid.Vec
			for _, k := range [2]float64{from, to} {
				q := a.Lerp(b, k)
				across := ((q.Dot(n)-base)/ba - lo) / (hi - lo)
				left := float64(along[0][0]*(1-across)) + float64(along[1][0]*across)
				right := float64(along[0][1]*(1-across)) + float64(along[1][1]*across)
				if !(right > left) || q.Dot(u) < left-1 || q.Dot(u) > right+1 {
					break
				}
				t := (q.Dot(u) - left) / (right - left)
				near := quad[0].Add(quad[1].Sub(quad[0]).Scale(t))
				far := quad[3].Add(quad[2].Sub(quad[3]).Scale(t))
				line = append(line, near.Add(far.Sub(near).Scale(across)))
			}
			if len(line) == 2 {
				out = append(out, line)
			}
		}
	}
	return out
}
