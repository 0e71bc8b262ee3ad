package brake

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
)

// The simulator bends a plan step by step on points of the metal, at three depths, and looks
// whether one gets into a tool or into other metal. It has its own way to bend (a point that
// lies past a fold is drawn in by what the arc uses up and turned about the bend's axis), its
// own tools, written from the numbers of the shop file, and takes from the plan only what the
// shop is told: folds, held side, side up, fingers.

type vec [3]float64

func (a vec) plus(k float64, b vec) vec { return vec{a[0] + k*b[0], a[1] + k*b[1], a[2] + k*b[2]} }
func (a vec) dot(b vec) float64         { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vec) cross(b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// about turns p about the line through c along the unit vector u (Rodrigues' formula).
func (p vec) about(c, u vec, a float64) vec {
	d := p.plus(-1, c)
	s, k := math.Sin(a), math.Cos(a)
	return c.plus(k, d).plus(s, u.cross(d)).plus((1-k)*u.dot(d), u)
}

// simFold is a fold seen from one of its sides, in flat space: metal beyond turns.
type simFold struct {
	at, out, axis vec // on the tangent line; away from it; the fold's direction, to turn about
	centre        vec // on the bend's axis
	per           float64
}

func simulated(f *panel.FlatFold, fromA bool) simFold {
	t := f.TangentA
	d := vec{f.To.X - f.From.X, f.To.Y - f.From.Y, 0}
	l := math.Sqrt(d.dot(d))
	d = vec{d[0] / l, d[1] / l, 0}
	out := d.cross(vec{0, 0, 1}) // from A, on the left, to B
	if !fromA {
		t, out = f.TangentB, vec{-out[0], -out[1], 0}
	}
	s := simFold{at: vec{t[0].X, t[0].Y, 0}, out: out, per: f.Bend.Radius + f.Bend.K*f.Bend.Thickness}
	up, h := vec{0, 0, 1}, f.Bend.Radius
	if f.Down {
		up, h = vec{0, 0, -1}, f.Bend.Radius+f.Bend.Thickness
	}
	s.centre = s.at.plus(h, up)
	s.axis = out.cross(up)
	return s
}

// bent is where a point past the fold comes to at an angle.
func (s simFold) bent(p vec, a float64) vec {
	return p.plus(-a*s.per, s.out).about(s.centre, s.axis, a)
}

// flatAgain undoes bent.
func (s simFold) flatAgain(p vec, a float64) vec {
	return p.about(s.centre, s.axis, -a).plus(a*s.per, s.out)
}

type simPoint struct {
	face int
	p    vec // in the flat, z below the drawn side negative
}

// simulator is a part under way.
type simulator struct {
	t        *testing.T
	name     string
	flat     *panel.Flat
	brake    shop.Brake
	angle    []float64 // by fold, as bent so far
	points   []simPoint
	outlines [][]plane.Point
	grids    int // of simGrids, that ways in and out are looked for in; 0: they are not
}

func newSimulator(t *testing.T, name string, f *panel.Flat, b shop.Brake) *simulator {
	s := &simulator{t: t, name: name, flat: f, brake: b, angle: make([]float64, len(f.Folds))}
	thick := f.Panel.Stock.Thickness
	for i := range f.Faces {
		poly := plane.Flatten(f.Faces[i].Loop, 0.05)
		s.outlines = append(s.outlines, poly)
		var on []plane.Point
		box := plane.EmptyBox()
		for k, p := range poly {
			q := poly[(k+1)%len(poly)]
			n := int(p.Dist(q)/14) + 1
			for j := range n {
				on = append(on, p.Lerp(q, float64(j)/float64(n)))
			}
			box = box.With(p)
		}
		for x := box.Min.X + 3; x < box.Max.X; x += 27 {
			for y := box.Min.Y + 3; y < box.Max.Y; y += 27 {
				if p := (plane.Point{X: x, Y: y}); inPolygon(poly, p) {
					on = append(on, p)
				}
			}
		}
		for _, p := range on {
			for _, z := range [3]float64{0, -thick / 2, -thick} {
				s.points = append(s.points, simPoint{i, vec{p.X, p.Y, z}})
			}
		}
	}
	return s
}

func inPolygon(poly []plane.Point, p plane.Point) bool {
	in := false
	for i, a := range poly {
		b := poly[(i+1)%len(poly)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

// way is the folds from a face to another, each seen from the near side; nil, false where the
// given folds part them.
func (s *simulator) way(from, to int, without []int) ([]int, []simFold, bool) {
	type at struct {
		face  int
		folds []int
		seen  []simFold
	}
	visited := map[int]bool{from: true}
	for queue := []at{{face: from}}; len(queue) > 0; queue = queue[1:] {
		x := queue[0]
		if x.face == to {
			return x.folds, x.seen, true
		}
		for i := range s.flat.Folds {
			f := &s.flat.Folds[i]
			next := -1
			if f.A == x.face {
				next = f.B
			} else if f.B == x.face {
				next = f.A
			}
			if next < 0 || visited[next] || slices.Contains(without, i) {
				continue
			}
			visited[next] = true
			queue = append(queue, at{next, append(slices.Clone(x.folds), i), append(slices.Clone(x.seen), simulated(f, f.A == x.face))})
		}
	}
	return nil, nil, false
}

// simMachine is the machine about one step: where flat space lies in it.
type simMachine struct {
	origin, back, along, up vec // of flat space
	t, r                    float64
	punch                   string
	per, all                float64 // flat length used up by a radian, and by the whole bend
}

// in is a point's place: x to the back, y along, z up from the sheet's lower face.
func (m simMachine) in(p vec) vec {
	d := p.plus(-1, m.origin)
	return vec{d.dot(m.back), d.dot(m.along), d.dot(m.up)}
}

const looks = 20 // at a step

const simDepth = 0.4 // mm that a point may be in a tool: half of what a bend lies off its line

// leafTools tells which tool of a leaf brake a point is in, the leaf at an angle.
func (s *simulator) leafTool(m simMachine, p vec, a float64, fingers []Span, deep float64) string {
	b := s.brake
	x, y, z := p[0], p[1], p[2]
	top := m.t + b.FingerHeight
	switch {
	case x > deep && x < b.BedDepth-deep && z < -deep:
		return "bed"
	case x > b.Beam[0]+deep && x < b.Beam[1]-deep && z > top+deep:
		return "beam"
	}
	// the leaf, turned back to rest
	q := (vec{x, 0, z}).about(vec{0, 0, m.t + m.r}, vec{0, 1, 0}, -a)
	if q[0] < -deep && q[0] > -b.LeafWidth+deep && q[2] < -deep && q[2] > -b.LeafHeight+deep {
		return "leaf"
	}
	for _, f := range fingers {
		if y < f.From+deep || y > f.To-deep {
			continue
		}
		// in front of the straight front, which touches the nose's round, above its own foot
		s, c := math.Sin(b.FrontAngle), math.Cos(b.FrontAngle)
		n := vec{-s, 0, -c} // out of the front's underside is up and forward: its normal
		if n.dot(vec{x, 0, z - m.t - m.r}) > m.r-deep || x < -m.r {
			continue
		}
		if z > m.t+deep && z < top-deep && x < b.FingerHeel-deep && (x > b.FingerNeck+deep || n.dot(vec{x, 0, z - m.t - m.r}) < m.r-deep && x < b.FingerNeck+1) {
			if x < b.FingerNeck+deep && (x < 0 && math.Hypot(x, z-m.t-m.r) > m.r-deep) {
				continue
			}
			return "finger"
		}
	}
	return ""
}

// run bends a whole plan and reports the first thing that goes wrong.
func (s *simulator) run(p *Plan) error {
	for i := range p.Steps {
		st := &p.Steps[i]
		if err := s.step(st); err != nil {
			return fmt.Errorf("step %d, %s %s holding %s: %w", i+1, st.Op, s.flat.Folds[st.Folds[0]].Name, s.flat.Faces[st.Held].Name, err)
		}
	}
	for i, a := range s.angle {
		if math.Abs(a-s.flat.Folds[i].Bend.Angle) > 1e-9 {
			return fmt.Errorf("fold %d ends at %.2f°, not %.2f°", i, a*180/math.Pi, s.flat.Folds[i].Bend.Angle*180/math.Pi)
		}
	}
	return nil
}

func (s *simulator) step(st *Step) error {
	if err := s.told(st); err != nil {
		return err
	}
	first := &s.flat.Folds[st.Folds[0]]
	seen := simulated(first, st.HeldA)
	m := simMachine{t: s.flat.Panel.Stock.Thickness, r: first.Bend.Radius, up: vec{0, 0, -1}, back: vec{-seen.out[0], -seen.out[1], 0}}
	lower := 0.0 // of the sheet in flat space
	if st.DrawnUp {
		m.up, lower = vec{0, 0, 1}, -m.t
	}
	m.along = m.up.cross(m.back)
	m.punch = st.Punch
	m.per, m.all = seen.per, first.Bend.Angle*seen.per
	mid := vec{(st.Sight[0].X + st.Sight[1].X) / 2, (st.Sight[0].Y + st.Sight[1].Y) / 2, lower}
	m.origin = mid.plus(-(mid.plus(-1, seen.at).dot(seen.out)), seen.out)
	m.origin[2] = lower
	if d := m.in(vec{st.Sight[1].X, st.Sight[1].Y, 0})[1] - m.in(vec{st.Sight[0].X, st.Sight[0].Y, 0})[1]; d < 0 {
		return fmt.Errorf("the sight line runs against the machine")
	}
	held, moving := s.sides(st)
	begin := s.angle[st.Folds[0]]
	end := begin + st.Turned
	if st.Op == Flatten {
		begin = end // what presses it only meets it closed
	}
	if s.grids > 0 && st.Op != Flatten {
		if err := s.ways(st, m, begin, end); err != nil {
			return err
		}
	}
	for k := 0; k <= looks; k++ {
		a := begin + (end-begin)*float64(k)/looks
		if err := s.look(st, m, a, held, moving); err != nil {
			return fmt.Errorf("at %.1f°: %w", a*180/math.Pi, err)
		}
		if begin == end {
			break
		}
	}
	for _, f := range st.Folds {
		s.angle[f] = end
	}
	return nil
}

// told holds a step to what the shop file says: angle, rating, fingers.
func (s *simulator) told(st *Step) error {
	b := s.brake
	length := 0.0
	for _, f := range st.Folds {
		length += s.flat.Folds[f].From.Dist(s.flat.Folds[f].To)
	}
	t := s.flat.Panel.Stock.Thickness
	most := b.FrontAngle
	if b.Kind == shop.BrakeVDie {
		most = math.Pi - b.PunchAngle
	}
	switch {
	case st.Op != Flatten && st.Turned > most+1e-9, st.Stop > math.Pi+1e-9:
		return fmt.Errorf("it turns by %.1f°", st.Turned*180/math.Pi)
	case t*math.Sqrt(length/b.Length) > b.Thickness*1.01:
		return fmt.Errorf("it asks for more than the brake's rating")
	}
	left := slices.Clone(b.Fingers)
	bare := []float64{}
	at := math.Inf(-1)
	lo, hi := -st.Sight[0].Dist(st.Sight[1])/2, st.Sight[0].Dist(st.Sight[1])/2
	for _, f := range st.Fingers {
		w := f.To - f.From
		i := slices.IndexFunc(left, func(x float64) bool { return math.Abs(x-w) < 0.06 })
		if i < 0 {
			return fmt.Errorf("there is no finger of %.1f left", w)
		}
		left = slices.Delete(left, i, i+1)
		if f.From < at-1e-6 {
			return fmt.Errorf("fingers overlap at %.1f", at)
		}
		if len(st.Folds) == 1 {
			bare = append(bare, f.From-max(at, lo))
		}
		at = f.To
	}
	if bare = append(bare, hi-at); len(st.Folds) == 1 && slices.Max(bare) > 25*t+1e-6 {
		return fmt.Errorf("%.1f of the fold stay bare", slices.Max(bare))
	}
	return nil
}

// sides are the faces of the two sides, with their folds from the stroke on.
func (s *simulator) sides(st *Step) (held, moving map[int]simWay) {
	held, moving = map[int]simWay{}, map[int]simWay{}
	for _, fold := range st.Folds {
		f := &s.flat.Folds[fold]
		// which of the two is on the held side: the one that has the held face, or lies in one line with it
		heldA := st.HeldA
		if _, _, ok := s.way(st.Held, f.A, st.Folds); ok {
			heldA = true
		} else if _, _, ok := s.way(st.Held, f.B, st.Folds); ok {
			heldA = false
		} else {
			heldA = !s.shares(st, f.A)
		}
		near, far := f.A, f.B
		if !heldA {
			near, far = far, near
		}
		for face := range s.flat.Faces {
			if folds, seen, ok := s.way(near, face, st.Folds); ok {
				held[face] = simWay{folds: folds, seen: seen}
			}
			if folds, seen, ok := s.way(far, face, st.Folds); ok {
				moving[face] = simWay{folds: folds, seen: seen, stroke: simulated(f, heldA), moves: true}
			}
		}
	}
	return held, moving
}

// shares tells whether a face is the one that all folds of a stroke lie on.
func (s *simulator) shares(st *Step, face int) bool {
	for _, i := range st.Folds {
		if f := &s.flat.Folds[i]; f.A != face && f.B != face {
			return false
		}
	}
	return true
}

type simWay struct {
	folds  []int
	seen   []simFold
	stroke simFold
	moves  bool
}

func (w simWay) place(p vec, angle []float64, a float64) vec {
	for i := len(w.folds) - 1; i >= 0; i-- {
		p = w.seen[i].bent(p, angle[w.folds[i]])
	}
	if w.moves {
		p = w.stroke.bent(p, a)
	}
	return p
}

func (w simWay) undo(p vec, angle []float64, a float64) vec {
	if w.moves {
		p = w.stroke.flatAgain(p, a)
	}
	for i := range w.folds {
		p = w.seen[i].flatAgain(p, angle[w.folds[i]])
	}
	return p
}

func (w simWay) straight(angle []float64) bool {
	for _, f := range w.folds {
		if angle[f] != 0 {
			return false
		}
	}
	return true
}

// look is one moment of a step.
func (s *simulator) look(st *Step, m simMachine, a float64, held, moving map[int]simWay) error {
	for _, q := range s.points {
		w, ok := held[q.face]
		if !ok {
			w = moving[q.face]
		}
		p := w.place(q.p, s.angle, a)
		if st.Op != Flatten {
			at := m.in(p)
			tool := ""
			if s.brake.Kind == shop.BrakeVDie {
				at = m.swung(at, a, w.moves)
				tool = s.pressTool(m, at, a, st.Fingers, simDepth)
			} else {
				tool = s.leafTool(m, at, a, st.Fingers, simDepth)
			}
			// flat metal that is held may lie over the leaf a little; it gives way
			if tool == "leaf" && !w.moves && w.straight(s.angle) {
				tool = ""
			}
			if tool != "" {
				return fmt.Errorf("%s is in the %s at %.1f", s.flat.Faces[q.face].Name, tool, at)
			}
		}
		if !w.moves {
			continue
		}
		for face, h := range held {
			back := h.undo(p, s.angle, a)
			if back[2] < -0.35 && back[2] > 0.35-m.t && deepIn(s.outlines[face], plane.Point{X: back[0], Y: back[1]}, 0.7) {
				return fmt.Errorf("%s is in %s", s.flat.Faces[q.face].Name, s.flat.Faces[face].Name)
			}
		}
	}
	return nil
}

// deepIn tells whether a point lies in a polygon, and so far from its edges.
func deepIn(poly []plane.Point, p plane.Point, by float64) bool {
	if !inPolygon(poly, p) {
		return false
	}
	for i, a := range poly {
		if (plane.Edge{From: a, To: poly[(i+1)%len(poly)]}).Nearest(p).Dist(p) < by {
			return false
		}
	}
	return true
}
