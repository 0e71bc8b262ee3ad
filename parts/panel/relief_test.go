package panel

import (
	"fmt"
	"math"
	"testing"

	"perch/parts/plane"
)

// rung is a channel whose ends turn a corner: flanges above and below, short by clear
// at each end, and a tab at each end.
func rung(clear float64, relief Relief) *Panel {
	b := base(rectAt(-100, 0, 100, 40))
	l := 100 - clear
	b.hang(0, "tread", pt(100, 40), pt(-100, 40), 90, true, rectAt(-l, 0, l, 32))
	b.hang(0, "lip", pt(-100, 0), pt(100, 0), 90, true, rectAt(-l, 0, l, 32))
	b.hang(0, "tab.r", pt(100, 0), pt(100, 40), 90, true, rectAt(-20, 0, 20, 30))
	b.hang(0, "tab.l", pt(-100, 40), pt(-100, 0), 90, true, rectAt(-20, 0, 20, 30))
	for i := range b.Folds {
		b.Folds[i].Relief = relief
	}
	return b.Panel
}

// horns is the largest piece, in mm², that vanishes when the blank is opened by a disc of
// diameter w: metal narrower than that. A square corner loses (1 − π/4)·w²/4.
func horns(f *Flat, w float64) (worst float64, at plane.Point) {
	blank := append(plane.Region{f.Outer}, f.Inner...)
	opened := plane.Offset(plane.Offset(blank, -w/2), w/2)
	for _, c := range plane.Subtract(blank, opened).Components() {
		if a := c.Area(); a > worst {
			worst, at = a, c.Centroid()
		}
	}
	return worst, at
}

func TestNoHorns(t *testing.T) {
	for _, relief := range []Relief{ReliefAuto, ReliefRound, ReliefSquare} {
		for _, clear := range []float64{0, 0.5, 1, 2, 3, 3.2, 4, 5, 6, 8, 12} {
			p := rung(clear, relief)
			p.Name = fmt.Sprintf("rung clear %g relief %d", clear, relief)
			f := unfold(t, p)
			if h, at := horns(f, 1.4); h > 0.35 {
				t.Errorf("%s: a horn of %.3f mm² at %.2f", p.Name, h, at)
			}
			for _, s := range f.Folds {
				// a strip's ends stand clear of other strips' metal by a relief
				if l := s.From.Dist(s.To); !(l > 20) {
					t.Errorf("%s: strip %s is %.3f long", p.Name, s.Name, l)
				}
			}
		}
	}
}

// The measure finds a prong a millimetre wide.
func TestHornsAreFound(t *testing.T) {
	prong := loopOf(pt(0, 0), pt(100, 0), pt(100, 50), pt(51, 50), pt(51, 55), pt(50, 55), pt(50, 50), pt(0, 50))
	f := unfold(t, base(plane.Region{prong}).Panel)
	if h, _ := horns(f, 1.4); math.Abs(h-5) > 0.2 {
		t.Errorf("found %.3f mm² of 5", h)
	}
}

// Corner circles: where the strips' middle lines cross, BA/min(sin γ/2, cos γ/2) + t
// across (metal.md), not under 3; and reliefs reach both strips' ends whole.
func TestCornerCircle(t *testing.T) {
	w := readWorked(t)
	f := unfold(t, w.cap(ReliefAuto))
	want := w.FlapBend.Allowance/math.Sin(math.Pi/4) + 1.5
	c := (w.Cap.Top + w.Cap.StripTo) / 2
	found := 0
	for i, e := range f.Outer.Edges() {
		if e.Straight() {
			continue
		}
		found++
		near(t, fmt.Sprint("diameter at ", i), 2*e.Radius(), want, 1e-6)
		near(t, "centre x", math.Abs(e.Center().X), c, 1e-6)
		near(t, "centre y", math.Abs(e.Center().Y), c, 1e-6)
	}
	if found != 8 { // two arcs a corner
		t.Errorf("%d arcs", found)
	}
}

// A stated size decides.
func TestReliefSize(t *testing.T) {
	w := readWorked(t)
	p := w.cap(ReliefRound)
	for i := range p.Folds {
		p.Folds[i].ReliefSize = 9
	}
	for _, e := range unfold(t, p).Outer.Edges() {
		if !e.Straight() {
			near(t, "diameter", 2*e.Radius(), 9, 1e-6)
		}
	}
}
