package joining_test

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"perch/parts/joining"
	"perch/parts/panel"
	"perch/parts/shop"
)

// Nothing to join is no plan, and one part has no steps.
func TestNothingToJoin(t *testing.T) {
	if p := joining.New(&panel.Assembly{}, shop.Default()); len(p.Steps)+len(p.Flat)+len(p.Unreached) > 0 {
		t.Errorf("of nothing: %+v", p)
	}
	s := shop.Default()
	a := built(t, "kit.perch", kit+"part only of steel = plate(level(0mm))\n", s)
	if p := joining.New(a, s); len(p.Steps) > 0 || len(p.Flat) != 1 {
		t.Errorf("of one part: %+v", p)
	}
}

// Tacks round a plate: opposite ends first, and never one beside the one before it.
func TestHeatIsSpread(t *testing.T) {
	s := shop.Default()
	a := built(t, "kit.perch", kit+`
part base of steel = plate(level(0mm), 200mm, 200mm)
part pad of steel = plate(base.flat.over, 120mm, 120mm)
join round = [pad.flat] to base.flat by tack(5mm, count: 8)
`, s)
	p := joining.New(a, s)
	var order []int
	for _, step := range p.Steps {
		order = append(order, step.Tacks...)
	}
	if len(order) != 8 {
		t.Fatalf("%d tacks", len(order))
	}
	least := math.Inf(1)
	for k := 1; k < len(order)/2; k++ {
		least = min(least, a.Joins[order[k]].At.Sub(a.Joins[order[k-1]].At).Len())
	}
	pitch := a.Joins[1].At.Sub(a.Joins[0].At).Len()
	if least < 1.9*pitch {
		t.Errorf("of the first half of the tacks two that follow each other lie %.1f apart, at a pitch of %.1f", least, pitch)
	}
	if got, far := a.Joins[order[0]].At.Sub(a.Joins[order[1]].At).Len(), 7*pitch; math.Abs(got-far) > 1e-6 {
		t.Errorf("the first two lie %.1f apart, the ends %.1f", got, far)
	}
}

// Parts that tacks are to locate are tacked beside the ends of their row, and nothing is pinned.
func TestTacksLocate(t *testing.T) {
	s := shop.Default()
	a := built(t, "kit.perch", kit+`
part base of steel = plate(level(0mm), 200mm, 60mm)
part strap of steel = plate(base.flat.over, 180mm, 40mm)
join hold = strap.flat to base.flat by rivet(4.8mm, count: 5, located: tacks)
`, s)
	p := joining.New(a, s)
	if len(p.Steps) != 1 {
		t.Fatalf("%d steps", len(p.Steps))
	}
	var names []string
	for _, i := range p.Steps[0].TackAt {
		names = append(names, a.Joins[i].Name)
	}
	slices.Sort(names)
	if !slices.Equal(names, []string{"hold.1", "hold.5"}) || len(p.Steps[0].Holds) != 1 || len(p.Steps[0].Holds[0].Pins) != 0 || p.Steps[0].Holds[0].Clamps != 2 {
		t.Errorf("tacked beside %v, held %+v", names, p.Steps[0].Holds)
	}
	said := false
	for _, l := range p.Words(a) {
		said = said || strings.Contains(l.Text.String(), "Tack at the nearest edge beside these")
	}
	if !said {
		t.Error("nothing is said of tacks")
	}
}

// An ear is riveted to a channel from outside, and a pad onto the ear where that comes to
// lie: the pad is in the riveter's way, and a hammer on the pad's rivets needs the channel
// away. Either could come first, but not both.
func TestKnotIsTold(t *testing.T) {
	s := shop.Default()
	a := built(t, "kit.perch", kit+`
part base of steel = channel(level(0mm), 40mm, 60mm)
part ear of steel = plate(base.left.under, 80mm, 30mm, 35mm)
part pad of steel = plate(ear.flat.under, 80mm, 30mm, 35mm)
join side = ear.flat to base.left by rivet(4.8mm, count: 2, drilled: all)
join on = pad.flat to ear.flat at [(-20mm, 35mm), (20mm, 35mm)] by rivet(4mm, set: cold, drilled: all)
`, s)
	p := joining.New(a, s)
	got := unreached(p, a)
	if len(got) != 2 {
		t.Fatalf("out of reach: %v", got)
	}
	for _, u := range p.Unreached {
		if text := u.Text(a).String(); !u.Knot || !strings.Contains(text, "and what has to come before them is in the way of others") {
			t.Errorf("%+v: %s", u, text)
		}
	}
	followed(t, a, s, p)
}

// What is said at the bench, of every kind of fastener.
func TestWords(t *testing.T) {
	s := shop.Default()
	s.Rivets = slices.DeleteFunc(s.Rivets, func(r shop.Rivet) bool { return r.Diameter == 6.4 })
	a := built(t, "kit.perch", kit+`
part base of steel = plate(level(0mm), 300mm, 700mm)
part cold of steel = plate(base.flat.over, 60mm, 60mm, 100mm)
part hot of steel = plate(base.flat.over, 60mm, 60mm, 30mm)
part held of steel = plate(base.flat.over, 60mm, 60mm, -40mm)
part bolted of steel = plate(base.flat.over, 60mm, 60mm, -110mm)
part under of steel = plate(base.flat.under, 60mm, 60mm, 200mm)
part odd of steel = plate(base.flat.under, 60mm, 60mm, 270mm)
part spot of steel = plate(base.flat.under, 60mm, 60mm, -200mm)
part lid of steel = plate(level(200mm)) loose
join a = cold.flat to base.flat by rivet(4mm, count: 2, set: cold, drilled: all)
join b = hot.flat to base.flat by rivet(4mm, count: 2, set: hot, tail: countersunk, drilled: all)
join c = held.flat to base.flat by rivet(4mm, count: 1, set: welded, drilled: all)
join d = bolted.flat to base.flat by bolt(5mm, count: 1, drilled: all)
join e = under.flat to base.flat by rivet(4.8mm, count: 1, drilled: all)
join f = odd.flat to base.flat by rivet(6.4mm, count: 1, drilled: all)
join g = spot.flat to base.flat by plug(12mm, count: 1)
`, s)
	said := map[string]bool{}
	for _, l := range joining.New(a, s).Words(a) {
		said[l.Text.String()] = true
	}
	for _, want := range []string{
		"Hammer cold over a dolly, tails round: 2 solid rivets 4 mm × 10 mm; heads on cold.",
		"Hammer red hot over a dolly, tails flush: 2 solid rivets 4 mm × 8 mm; countersink the holes where the tails lie first, with tongs and nothing that burns below; heads on hot.",
		"Put in and hold with a bead of weld round the tail: 1 solid rivet 4 mm × 8 mm, cut to 6 mm; heads on held.",
		"Bolt: 1 bolt 5 mm × 12 mm, a washer under head and nut; heads on bolted.",
		"Pull: 1 blind rivet 4.8 mm × 8 mm; heads on base.",
		"Pull: 1 blind rivet 6.4 mm, at least 12 mm long; heads on base.",
		"Weld in this order, so that heat spreads: g.1.",
		"Lay lid in place: nothing fastens it.",
	} {
		if !said[want] {
			t.Errorf("nothing says %q in:\n%v", want, said)
		}
	}
}

// The tutorial's stool: four legs alike come to the cap at one step, sixteen rivets; what is
// counted is what the parts have.
func TestStoolIsCounted(t *testing.T) {
	s := shop.Default()
	text, err := os.ReadFile("../../examples/tutorial/5_stool.perch")
	if err != nil {
		t.Fatal(err)
	}
	a := built(t, "5_stool.perch", string(text), s)
	p := joining.New(a, s)
	if got := steps(p, a); len(got) != 1 || !strings.HasSuffix(got[0], "onto cap: 16") || strings.Count(got[0], "leg.") != 4 {
		t.Fatalf("steps %q", got)
	}
	step := p.Steps[0]
	inPlace, holes := 0, 0
	for _, c := range a.Copies {
		for _, x := range a.Blanks[c.Blank].Flat.Points {
			holes++
			if x.Made() == panel.InPlace {
				inPlace++
			}
		}
	}
	drilled := 0
	for _, d := range step.Drills {
		drilled += d.Count
		for k, i := range d.Joins {
			if k > 0 && d.Joins[k-1] >= i {
				t.Errorf("joins %v are listed twice or out of order", d.Joins)
			}
		}
	}
	if drilled != inPlace || inPlace == 0 {
		t.Errorf("%d holes are drilled in place, of %d", drilled, inPlace)
	}
	bores := 0
	for _, d := range p.Bores(a) {
		bores += d.Count
	}
	if holes != 32 || bores != holes { // 4.9 mm: all too small for the cutter
		t.Errorf("%d holes are drilled in all, of %d", bores, holes)
	}
	if len(step.Holds) != 4 || len(step.Onto) != 1 || len(step.Together) != 5 || step.Sets != 1 || step.Loose {
		t.Errorf("%+v", step)
	}
	text, err = os.ReadFile("../../examples/stool/stool.perch")
	if err != nil {
		t.Fatal(err)
	}
	a = built(t, "stool.perch", string(text), s)
	for _, f := range joining.New(a, s).Flat {
		b := a.Blanks[f.Blank]
		beads := 0
		for _, m := range b.Flat.Marks {
			if m.Kind == panel.MarkBead {
				beads++
			}
		}
		if f.Beads != beads || f.Bends != len(b.Flat.Folds) || b.Name == "cap" && beads != 1 {
			t.Errorf("%s: %+v, %d beads", b.Name, f, beads)
		}
	}
}
