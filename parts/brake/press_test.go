package brake

import (
	"math"
	"strings"
	"testing"

	"perch/parts/bend"
	"perch/parts/measure"
	"perch/parts/shop"
)

// press is the shop that perch knows with a press in place of its leaf brake.
func press() *shop.Shop {
	s := shop.Default()
	s.Brake.Kind = shop.BrakeVDie
	return s
}

// A flange lies on the die's shoulder to the end where its outside is 0.7 of the opening deep for a right
// angle (the least flange of press brake charts, which state it for air bending at 90°: 0.7 V to the mold
// line; common practice): V is 8 t, so 5.6 mm for 1 mm sheet and 11.2 for 2.
func TestLeastFlangeOfAPress(t *testing.T) {
	for _, c := range []struct{ thick, deep float64 }{{1, 5.6}, {2, 11.2}} {
		for _, off := range []float64{0.1, -0.1} {
			d := newDrawn(c.thick, 200, 60)
			// The mold line of what is drawn inside lies t under the outside's.
			d.hang(0, 2, 90, false, c.deep+off-c.thick, 0, 0, 0)
			s := press()
			s.Brake.Thickness = 3
			p := Find(d.must(), s, nil)
			if (p.Refused == nil) != (off > 0) {
				t.Errorf("%g mm sheet, a flange %g deep outside: bent %v: %+v", c.thick, c.deep+off, p.Refused == nil, p.Refused)
			}
			if off < 0 && p.Refused != nil && (p.Refused.Next[0].With != Die || p.Refused.Next[0].Number != "openings") {
				t.Errorf("%g mm sheet: refused for %+v", c.thick, p.Refused.Next[0])
			}
		}
	}
}

// The last wall of a box swings both walls beside it up to 45° under the ram: they pass where the punch is
// as high as √2 times the wall and half the ram's width (the rule for the height of punches for boxes:
// common practice, and plain geometry).
func TestBoxUnderTheRam(t *testing.T) {
	for _, c := range []struct{ punch, ram float64 }{{200, 100}, {150, 100}, {200, 60}} {
		s := press()
		s.Brake.PunchHeight, s.Brake.RamWidth = c.punch, c.ram
		most := (c.punch - c.ram/2) / math.Sqrt2
		for _, off := range []float64{-5, 5} {
			d := newDrawn(1, 300, 300)
			for k := range 4 {
				d.hang(0, k, 90, false, most+off, 2, 2, 0)
			}
			p := Find(d.must(), s, nil)
			if (p.Refused == nil) != (off < 0) {
				t.Errorf("a punch of %g under a ram of %g, walls of %.1f: bent %v: %+v", c.punch, c.ram, most+off, p.Refused == nil, p.Refused)
			}
			if off > 0 && p.Refused != nil && (p.Refused.Next[0].With != Ram || p.Refused.Next[0].Number != "punch_height") {
				t.Errorf("walls of %.1f: refused for %+v", most+off, p.Refused.Next[0])
			}
		}
	}
}

// A channel's second flange is bent with the first one up: turned by 45° with the web, it leans over by as much
// as the flange is deeper than the web is wide. A straight punch stops it half its width short of the middle.
func TestChannelBesideAStraightPunch(t *testing.T) {
	s := press()
	s.Brake.Punch = shop.PunchStraight
	for _, c := range []struct {
		web, flange float64
		passes      bool
	}{{60, 60 - 1.5*10*math.Sqrt2, true}, {60, 60 - 0.5*10*math.Sqrt2, false}} {
		p := Find(channelOf(c.web, c.flange).must(), s, nil)
		if (p.Refused == nil) != c.passes {
			t.Errorf("web %g, flange %.1f: bent %v: %+v", c.web, c.flange, p.Refused == nil, p.Refused)
		}
	}
}

// A punch closes a bend to its own angle, and no farther; a hem asks for an acute one to begin with and is
// then pressed between flat tools.
func TestPunchAngle(t *testing.T) {
	for _, c := range []struct {
		punch, turned float64
		passes        bool
	}{{30, 140, true}, {88, 90, true}, {88, 93, false}, {60, 119, true}, {60, 121, false}} {
		s := press()
		s.Brake.Punch, s.Brake.PunchAngle = shop.PunchStraight, c.punch*bend.Degree
		d := newDrawn(1, 200, 60)
		d.hang(0, 2, c.turned, false, 30, 0, 0, 0)
		p := Find(d.must(), s, nil)
		if (p.Refused == nil) != c.passes {
			t.Errorf("a punch of %g°, a bend by %g°: bent %v: %+v", c.punch, c.turned, p.Refused == nil, p.Refused)
		}
		if !c.passes && p.Refused != nil && (p.Refused.Next[0].Reason != TooSteep || p.Refused.Next[0].Number != "punch_angle") {
			t.Errorf("a punch of %g°, a bend by %g°: refused for %+v", c.punch, c.turned, p.Refused.Next[0])
		}
	}
	d := newDrawn(1, 200, 60)
	d.hang(0, 2, 180, false, 12, 0, 0, 0)
	p := Find(d.must(), press(), nil)
	if p.Refused != nil || len(p.Steps) != 2 || p.Steps[1].Op != Flatten {
		t.Fatalf("a hem: %+v %+v", p.Refused, p.Steps)
	}
	told := strings.Join(p.Tell(measure.Millimetres), "\n")
	if !strings.Contains(told, "flat tools in place of punch and die") || strings.Contains(told, "finger") || strings.Contains(told, "clamp") {
		t.Errorf("a press is spoken to as a leaf brake:\n%s", told)
	}
}
