package brake

import (
	"math"
	"slices"
	"testing"

	"perch/parts/bend"
	"perch/parts/shop"
)

// blocks are what stops the first thing on a flat part, by held side; the second is whether it goes.
func trialOf(t *testing.T, d *drawnPart, b shop.Brake, done uint64, fold int, heldA bool) trial {
	t.Helper()
	s := shop.Default()
	s.Brake = b
	flat := d.must()
	f := newFinder(newPart(flat, s, own{flat}))
	for i, h := range f.holds {
		if len(h.folds) == 1 && h.folds[0] == fold && h.heldA == heldA && f.can(h, done) {
			return f.try(i, done)
		}
	}
	t.Fatalf("no hold of fold %d", fold)
	return trial{}
}

// channelOf has a web of so much flat between its tangents and two flanges of so much.
func channelOf(web, flange float64) *drawnPart {
	const t = 1.0
	d := newDrawn(t, 200, web+2*t) // bent up, the drawn side is the inside: a tangent is r from the mold line
	d.hang(0, 0, 90, false, flange+t, 0, 0, 0)
	d.hang(0, 2, 90, false, flange+t, 0, 0, 0)
	return d
}

// Holding a channel's web, the finger stands between the flanges: the flat between the tangents
// must be at least its heel (50). The same channel goes when its flange is held, if that is
// low enough to swing the web up under the beam.
func TestChannelAgainstTheHeel(t *testing.T) {
	b := shop.Default().Brake
	for _, c := range []struct {
		web    float64
		heldA  bool
		passes bool
	}{{51, true, true}, {48.5, true, false}, {30, true, false}, {48.5, false, false}} {
		got := trialOf(t, channelOf(c.web, 40), b, 1, 1, c.heldA)
		if got.ok != c.passes {
			t.Errorf("web %g, web held %v: goes %v, want %v: %+v", c.web, c.heldA, got.ok, c.passes, got.block)
		}
		if !got.ok && c.heldA && (got.block.With != Finger || got.block.Number != "finger_heel" || got.block.Face != 1) {
			t.Errorf("web %g: it is stopped by %+v", c.web, got.block)
		}
	}
	// 30 between flanges of 20: the far flange, swung in over the finger, stays in front of its neck (30)
	// and under the beam.
	if got := trialOf(t, channelOf(30, 20), b, 1, 1, false); !got.ok {
		t.Errorf("holding the flange: %+v", got.block)
	}
}

// A reverse step needs the leaf's width of flat between its tangents: a step of w + t where the
// radius is nothing.
func TestReverseStepAgainstTheLeaf(t *testing.T) {
	const thick = 1.0
	b := shop.Default().Brake
	for _, c := range []struct {
		flat   float64
		passes bool
	}{{b.LeafWidth + 0.3, true}, {b.LeafWidth - 0.6, false}} {
		d := newDrawn(thick, 200, 60)
		// Mold lines: one tangent is r + t from its own, the other r.
		step := d.hang(0, 2, 90, false, c.flat+(thick+thick)+thick, 0, 0, 0)
		d.hang(step, 2, 90, true, 40, 0, 0, 0)
		// The outer fold is done; the base is held and the step swings with the flange hanging in front of the leaf.
		got := trialOf(t, d, b, 2, 0, true)
		if got.ok != c.passes || !c.passes && (got.block.With != Leaf || got.block.Number != "leaf_width") {
			t.Errorf("a step of %g flat: goes %v, want %v: %+v", c.flat, got.ok, c.passes, got.block)
		}
	}
}

// A flange that stands is limited by the finger's height only under the beam (x from 20 to 140):
// behind it there is no limit.
func TestStandingFlangeUnderTheBeam(t *testing.T) {
	b := shop.Default().Brake
	for _, c := range []struct {
		web, high float64
		passes    bool
	}{{100, b.FingerHeight - 4, true}, {100, b.FingerHeight + 4, false}, {150, b.FingerHeight + 60, true}} {
		got := trialOf(t, channelOf(c.web, c.high), b, 1, 1, true)
		if got.ok != c.passes || !c.passes && (got.block.With != Beam || got.block.Number != "finger_height") {
			t.Errorf("web %g, flange %g: goes %v, want %v: %+v", c.web, c.high, got.ok, c.passes, got.block)
		}
	}
}

// More than the front angle is refused, and the over-bend never goes past it.
func TestFrontAngle(t *testing.T) {
	for _, c := range []struct {
		degrees float64
		passes  bool
	}{{134, true}, {135, true}, {136, false}} {
		d := newDrawn(1, 200, 60)
		d.hang(0, 2, c.degrees, false, 45, 0, 0, 0)
		p := Find(d.must(), shop.Default(), nil)
		if (p.Refused == nil) != c.passes {
			t.Errorf("%g°: bent %v", c.degrees, p.Refused == nil)
			continue
		}
		if p.Refused == nil && p.Steps[0].Stop > 135*bend.Degree+1e-9 {
			t.Errorf("%g°: pulled to %.2f°", c.degrees, p.Steps[0].Stop/bend.Degree)
		}
		if p.Refused != nil {
			if b := p.Refused.Next[0]; b.Reason != TooSteep || b.Number != "front_angle" || math.Abs(b.Got-136*bend.Degree) > 1e-9 {
				t.Errorf("refused for %+v", b)
			}
		}
	}
}

// A profile that closes on itself is refused.
func TestClosedProfile(t *testing.T) {
	d := newDrawn(1, 200, 60)
	up := d.hang(0, 2, 90, false, 60, 0, 0, 0)
	top := d.hang(up, 2, 90, false, 60, 0, 0, 0)
	d.hang(top, 2, 90, false, 57, 0, 0, 0)
	p := Find(d.must(), shop.Default(), nil)
	if p.Refused == nil || p.Refused.Bound || len(p.Refused.Next) == 0 {
		t.Errorf("a square tube is bent: %+v", p.Steps)
	}
}

// Where the blank is wider than what passes the side frames the flaps at its ends come first.
func TestShortFlapsFirst(t *testing.T) {
	b := shop.Default()
	d := newDrawn(1, 1190, 120) // 1190 and two flaps of 30: 1247 flat, 1190 bent; 1230 pass
	long := []int{d.hang(0, 0, 90, false, 30, 3, 3, 0), d.hang(0, 2, 90, false, 30, 3, 3, 0)}
	ends := []int{d.hang(0, 1, 90, false, 30, 3, 3, 0), d.hang(0, 3, 90, false, 30, 3, 3, 0)}
	p := Find(d.must(), b, nil)
	if p.Refused != nil {
		t.Fatalf("refused: %v", p.Refused.Next)
	}
	at := func(face int) int {
		return slices.IndexFunc(p.Steps, func(s Step) bool { return s.Folds[0] == face-1 })
	}
	for _, l := range long {
		n := 0
		for _, e := range ends {
			if at(e) < at(l) {
				n++
			}
		}
		if n == 0 {
			t.Errorf("fold %d comes before both ends", l-1)
		}
	}
	if got := trialOf(t, d, b.Brake, 0, long[0]-1, true); got.ok || got.block.Reason != TooWide || got.block.Number != "between_frames" {
		t.Errorf("flat, it passes between the frames: %+v", got.block)
	}
}

// A hem is two strokes: as far as 135° and then flat.
func TestHemIsTwoStrokes(t *testing.T) {
	d := newDrawn(1, 200, 60)
	d.hang(0, 2, 180, false, 10, 0, 0, 0)
	p := Find(d.must(), shop.Default(), nil)
	if p.Refused != nil || len(p.Steps) != 2 {
		t.Fatalf("%+v %+v", p.Refused, p.Steps)
	}
	if a, b := p.Steps[0], p.Steps[1]; a.Op != StartHem || b.Op != Flatten || math.Abs(a.Turned-135*bend.Degree) > 1e-9 || math.Abs(a.Turned+b.Turned-math.Pi) > 1e-9 {
		t.Errorf("%+v", p.Steps)
	}
	thick := newDrawn(1.6, 200, 60)
	thick.hang(0, 2, 180, false, 12, 0, 0, 0)
	if p := Find(thick.must(), shop.Default(), nil); p.Refused == nil || p.Refused.Next[0].Reason != ThickHem {
		t.Errorf("a hem in 1.6 mm: %+v", p.Refused)
	}
}

// Flaps on one line of one face go in one stroke; one alone would have the others over the leaf.
func TestOneStroke(t *testing.T) {
	d := newDrawn(1, 300, 80)
	d.hang(0, 2, 90, false, 30, 0, 170, 0)
	d.hang(0, 2, 90, false, 30, 170, 0, 0)
	p := Find(d.must(), shop.Default(), nil)
	if p.Refused != nil || len(p.Steps) != 1 || len(p.Steps[0].Folds) != 2 {
		t.Errorf("%+v %+v", p.Refused, p.Steps)
	}
	if got := trialOf(t, d, shop.Default().Brake, 0, 0, true); got.ok || got.block.With != Leaf || got.block.Face != 2 {
		t.Errorf("one alone: %+v", got)
	}
}

// Limits of the shop file, each just inside and just outside.
func TestLimits(t *testing.T) {
	d := newDrawn(1.2, 600, 60)
	d.hang(0, 2, 90, false, 40, 0, 0, 0)
	base := shop.Default().Brake
	rating := 1.2 * math.Sqrt(600/base.Length)
	for _, c := range []struct {
		what   string
		set    func(*shop.Brake, float64)
		in     float64
		out    float64
		reason Reason
	}{
		{"thickness", func(b *shop.Brake, x float64) { b.Thickness, b.Over = x, 3 }, rating + 0.01, rating - 0.01, TooStrong},
		{"length", func(b *shop.Brake, x float64) { b.Length, b.BetweenFrames = x, 1230 }, 601, 599, TooLong},
		{"between_frames", func(b *shop.Brake, x float64) { b.BetweenFrames = x }, 601, 599, TooWide},
		{"hold_min", func(b *shop.Brake, x float64) { b.HoldMin = x }, 55, 90, ShortHold},
		{"move_min", func(b *shop.Brake, x float64) { b.MoveMin = x }, 35, 60, ShortMove},
	} {
		for k, x := range []float64{c.in, c.out} {
			s := shop.Default()
			s.Brake = base
			c.set(&s.Brake, x)
			p := Find(d.must(), s, nil)
			if (p.Refused == nil) != (k == 0) {
				t.Errorf("%s %g: refused %+v", c.what, x, p.Refused)
			} else if k == 1 && (p.Refused.Next[0].Reason != c.reason || p.Refused.Next[0].Number != c.what) {
				t.Errorf("%s %g: refused for %+v", c.what, x, p.Refused.Next[0])
			}
		}
	}
}

// A bar has no gaps: three walls are bent, each with the one before beyond the bar's end; between
// two that stand no bar fits, and fingers do.
func TestStraightBar(t *testing.T) {
	d := newDrawn(1, 200, 160)
	for k := range 4 {
		d.hang(0, k, 90, false, 30, 2, 2, 0)
	}
	s := shop.Default()
	if p := Find(d.must(), s, nil); p.Refused != nil {
		t.Fatalf("on fingers: %+v", p.Refused.Next)
	}
	s.Brake.Fingers = nil
	p := Find(d.must(), s, nil)
	if p.Refused == nil || len(p.Steps) != 3 || p.Refused.Next[0].Reason != BareEnd {
		t.Errorf("on a bar the fourth wall is no matter of what fits: %d steps", len(p.Steps))
	}
}

// In a V die a channel's lips turn in under a gooseneck farther than under a straight punch.
func TestGooseneck(t *testing.T) {
	bent := func(punch string, lip float64) bool {
		s := shop.Default()
		s.Brake.Kind, s.Brake.Punch = shop.BrakeVDie, punch
		d := newDrawn(1, 200, 60)
		f := d.hang(0, 2, 90, false, 30, 0, 0, 0)
		d.hang(f, 2, 90, false, lip, 0, 0, 0)
		return Find(d.must(), s, nil).Refused == nil
	}
	straight, goose := 0.0, 0.0
	for lip := 8.0; lip < 40; lip++ {
		if bent(shop.PunchStraight, lip) {
			straight = lip
		}
		if bent(shop.PunchGooseneck, lip) {
			goose = lip
		}
	}
	if straight == 0 || goose <= straight {
		t.Errorf("lips up to %g under a straight punch, up to %g under a gooseneck", straight, goose)
	}
}

// The mirrored blank's plan goes through on the simulator for the mirrored part.
func TestMirroredPlan(t *testing.T) {
	for n := range 12 {
		flat, _ := drawnFlat(n)
		p := Find(flat, shop.Default(), nil)
		if p.Refused != nil {
			continue
		}
		m := *flat
		m.Folds = slices.Clone(flat.Folds)
		for i := range m.Folds {
			m.Folds[i].Down = !m.Folds[i].Down
		}
		q := p.Mirror()
		q.Flat = &m
		if err := newSimulator(t, "mirrored", &m, shop.Default().Brake).run(q); err != nil {
			t.Errorf("part %d: %v", n, err)
		}
		if again := q.Mirror(); again.Mirrored || again.Steps[0].DrawnUp != p.Steps[0].DrawnUp || again.Steps[0].Fingers[0] != p.Steps[0].Fingers[0] {
			t.Errorf("part %d: twice mirrored is not the same", n)
		}
	}
}
