package brake

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"testing"

	"perch/parts/shop"
)

// A piece's way in and out is looked for on points as well, step by step from pose to pose: the clamp goes
// up, the piece is drawn to the front or pushed back, turned on the table, tipped with its front up while it
// rests on the bed, or slid off the fingers along the machine. Nothing is known here of silhouettes or of stretches
// that are free: a pose is free when no point of the metal is in a tool.

const (
	simYaw   = 7.5 * math.Pi / 180
	simRaise = 8      // poses while the clamp opens
	simPoses = 20_000 // looked at before it counts as stuck
	simRough = 1.0    // mm that a point may be in a tool on its way
)

// simGrids are the steps from one pose to the next, mm to the front and rad of tipping: wide ones, and where
// they do not lead out near ones.
var simGrids = [2][2]float64{{5, 3 * math.Pi / 180}, {2, math.Pi / 180}}

// pose is how a piece lies on its way: how far the clamp is open, how far it is to the front, tipped, turned.
type pose struct{ raise, front, tilt, yaw int }

// placed are the points of the metal's middle in the machine, at an angle of a step.
func (s *simulator) placed(st *Step, m simMachine, a float64) []vec {
	held, moving := s.sides(st)
	var out []vec
	for _, q := range s.points {
		if q.p[2] == 0 || q.p[2] == -m.t {
			continue // the middle alone
		}
		w, ok := held[q.face]
		if !ok {
			w = moving[q.face]
		}
		p := m.in(w.place(q.p, s.angle, a))
		if s.brake.Kind == shop.BrakeVDie {
			p = m.swung(p, a, w.moves)
		}
		out = append(out, p)
	}
	return out
}

// comesOut tells whether the piece finds a way to the front.
func (s *simulator) comesOut(m simMachine, points []vec, fingers []Span) bool {
	for _, grid := range simGrids[:s.grids] {
		if s.walk(m, points, fingers, grid) {
			return true
		}
	}
	for _, side := range [2]float64{-1, 1} {
		if s.slides(m, points, fingers, side) && s.walk(m, points, nil, simGrids[0]) {
			return true
		}
	}
	return false
}

// slides tells whether the piece goes off the fingers along the machine, to one side.
func (s *simulator) slides(m simMachine, points []vec, fingers []Span, side float64) bool {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range points {
		lo, hi = min(lo, p[1]), max(hi, p[1])
	}
	first, last := math.Inf(1), math.Inf(-1)
	for _, f := range fingers {
		first, last = min(first, f.From), max(last, f.To)
	}
	far := hi - first
	if side > 0 {
		far = last - lo
	}
	for d := 0.0; d <= far; d += 5 {
		for _, p := range points {
			if s.onTheWay(m, vec{p[0], p[1] + side*d, p[2]}, 1, fingers) {
				return false
			}
		}
	}
	return true
}

// walk looks for a row of free poses that ends in front of the machine.
func (s *simulator) walk(m simMachine, points []vec, fingers []Span, grid [2]float64) bool {
	w := walk{s: s, m: m, points: points, fingers: fingers, step: grid[0], tilt: grid[1], turned: map[[2]int]*tipped{}}
	seen := map[pose]bool{{}: true}
	stack := []pose{{}}
	for n := 0; len(stack) > 0 && n < simPoses; n++ {
		at := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		free, out := w.free(at)
		if !free {
			continue
		}
		if out {
			return true
		}
		next := []pose{{at.raise, at.front - 1, at.tilt, at.yaw}}
		if at.raise == simRaise {
			if at.tilt == 0 {
				next = append(next, pose{at.raise, at.front, 0, at.yaw - 1}, pose{at.raise, at.front, 0, at.yaw + 1})
			}
			// While it is tipped about where it lies on the bed it is shifted too.
			for d := -3; d <= 3; d++ {
				next = append(next, pose{at.raise, at.front + d, at.tilt - 1, at.yaw}, pose{at.raise, at.front + d, at.tilt + 1, at.yaw})
			}
		} else {
			next = append(next, pose{at.raise + 1, at.front, at.tilt, at.yaw})
		}
		next = append(next, pose{at.raise, at.front + 1, at.tilt, at.yaw})
		for _, p := range next {
			if p.tilt >= 0 && float64(p.tilt)*w.tilt <= math.Pi/2+1e-9 && p.yaw >= -6 && p.yaw <= 6 && float64(p.front)*w.step > -300 && !seen[p] {
				seen[p] = true
				stack = append(stack, p)
			}
		}
	}
	return false
}

// walk is what a way is looked for with.
type walk struct {
	s       *simulator
	m       simMachine
	points  []vec
	fingers []Span
	step    float64
	tilt    float64
	turned  map[[2]int]*tipped
}

// tipped are the points turned and tipped, from the rearmost, and how low those lie down to each.
type tipped struct {
	points []vec
	lowest []float64
	first  int // that was in a tool the last time
}

func (w *walk) tipped(tilt, yaw int) *tipped {
	if t := w.turned[[2]int{tilt, yaw}]; t != nil {
		return t
	}
	sy, cy := math.Sincos(float64(yaw) * simYaw)
	st, ct := math.Sincos(float64(tilt) * w.tilt)
	t := &tipped{}
	for _, p := range w.points {
		x, y := cy*p[0]-sy*p[1], sy*p[0]+cy*p[1]
		t.points = append(t.points, vec{ct*x + st*p[2], y, -st*x + ct*p[2]})
	}
	slices.SortFunc(t.points, func(a, b vec) int { return cmp.Compare(b[0], a[0]) })
	low := math.Inf(1)
	for _, p := range t.points {
		low = min(low, p[2])
		t.lowest = append(t.lowest, low)
	}
	w.turned[[2]int{tilt, yaw}] = t
	return t
}

// free tells whether no point is in a tool in a pose, and whether the whole piece is in front of the machine.
func (w *walk) free(at pose) (free, out bool) {
	opens := w.s.brake.Lift
	if w.s.brake.Kind == shop.BrakeVDie {
		opens = w.s.brake.Stroke
	}
	raise := 0.5 + (opens-0.5)*float64(at.raise)/simRaise
	d := -w.step * float64(at.front)
	t := w.tipped(at.tilt, at.yaw)
	// It rests on the bed with what of it lies over that, or is held up as high as the bed with all of it.
	ups := []float64{0}
	if over := sort.Search(len(t.points), func(i int) bool { return t.points[i][0]+d < 0 }); at.tilt > 0 {
		ups[0] = w.m.t/2 - t.lowest[len(t.points)-1]
		if over > 0 && t.lowest[over-1] > t.lowest[len(t.points)-1] {
			ups = append(ups, w.m.t/2-t.lowest[over-1])
		}
	}
	for _, up := range ups {
		if w.clear(t, vec{d, 0, up}, raise) {
			return true, t.points[0][0]+d < -w.step-w.s.deepest()
		}
	}
	return false, false
}

// clear tells whether no point, shifted, is in a tool.
func (w *walk) clear(t *tipped, by vec, raise float64) bool {
	for i := range t.points {
		k := (t.first + i) % len(t.points)
		if w.s.onTheWay(w.m, t.points[k].plus(1, by), raise, w.fingers) {
			t.first = k
			return false
		}
	}
	return true
}

// deepest is how far the tools reach to the front.
func (s *simulator) deepest() float64 {
	if s.brake.Kind == shop.BrakeVDie {
		return s.brake.RamWidth / 2
	}
	return 0
}

// onTheWay tells whether a point is in a tool while the clamp or the ram is raised.
func (s *simulator) onTheWay(m simMachine, p vec, raise float64, fingers []Span) bool {
	low := vec{p[0], p[1], p[2] - raise}
	if s.brake.Kind == shop.BrakeVDie {
		return s.dieTool(m, p, 0, simRough) != "" || s.punchTool(m, low, fingers, simRough) != ""
	}
	still, lifted := s.leafTool(m, p, 0, nil, simRough), s.leafTool(m, low, 0, fingers, simRough)
	return still == "bed" || still == "leaf" || lifted == "beam" || lifted == "finger"
}

// ways holds a step to its way in and out.
func (s *simulator) ways(st *Step, m simMachine, begin, end float64) error {
	if !s.comesOut(m, s.placed(st, m, begin), st.Fingers) {
		return fmt.Errorf("it does not come in")
	}
	if !s.comesOut(m, s.placed(st, m, end), st.Fingers) {
		return fmt.Errorf("it does not come out")
	}
	return nil
}

// Plans' pieces come in and out on points, on a leaf brake and on a press; where the clamp hardly
// opens those that are closed behind do not.
func TestWaysOnPoints(t *testing.T) {
	parts := 48
	if testing.Short() {
		parts = 6
	}
	tight := shop.Default().Brake
	tight.Lift = 1
	steps, stuck := 0, 0
	for n := range parts {
		f, kind := drawnFlat(n)
		p := Find(f, shop.Default(), nil)
		if p.Refused != nil {
			continue
		}
		sim := newSimulator(t, kind, f, shop.Default().Brake)
		sim.grids = len(simGrids)
		if err := sim.run(p); err != nil {
			t.Errorf("part %d, a %s: %v", n, kind, err)
		}
		steps += len(p.Steps)
		if n >= 12 && stuck > 0 {
			continue
		}
		sim = newSimulator(t, kind, f, tight)
		sim.grids = 1
		if sim.run(p) != nil {
			stuck++
		}
	}
	if steps < parts || stuck == 0 {
		t.Errorf("%d steps were looked at, %d parts stay under a clamp that opens by 1 mm", steps, stuck)
	}
}

// Plans for a press go through on points, ways in and out with them.
func TestPressPlansOnPoints(t *testing.T) {
	parts := 60
	if testing.Short() {
		parts = 12
	}
	s := press()
	low := press().Brake
	low.PunchHeight = 40
	found, wrong, back := map[string]int{}, 0, 0
	for n := range parts {
		f, kind := drawnFlat(n)
		p := Find(f, s, nil)
		if p.Refused != nil {
			continue
		}
		found[kind]++
		sim := newSimulator(t, kind, f, s.Brake)
		sim.grids = len(simGrids)
		if err := sim.run(p); err != nil {
			t.Errorf("part %d, a %s of %d folds: %v", n, kind, len(f.Folds), err)
		}
		if newSimulator(t, kind, f, low).run(p) != nil {
			wrong++
		}
		q := *p
		q.Steps = slices.Clone(p.Steps)
		slices.Reverse(q.Steps)
		if newSimulator(t, kind, f, s.Brake).run(&q) != nil {
			back++
		}
	}
	if len(found) < 4 || wrong < parts/6 || back < parts/10 {
		t.Errorf("%v found; %d are stopped under a ram at 40 mm, %d backwards: the test looks at too little", found, wrong, back)
	}
}
