package join

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"testing"

	"perch/parts/bend"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.9f, want %.9f", what, got, want)
	}
}

func pt(x, y float64) plane.Point { return plane.Point{X: x, Y: y} }

// The rivets of the worked stool (testdata/worked-stool.json: derived from intersecting
// planes, independent of this code), set at the places it names.
func TestWorkedRivets(t *testing.T) {
	text, err := os.ReadFile("../../testdata/worked-stool.json")
	if err != nil {
		t.Fatal(err)
	}
	var w struct {
		Stated struct{ Seat, Height, Splay, Thickness, Radius, K, Flap, Toe, Head, Gap float64 }
		Leg    struct {
			MoldHead [3]float64 `json:"mold_head"`
		}
		Rivets []struct {
			World    [3]float64
			Cap, Leg [2]float64
		}
	}
	if err := json.Unmarshal(text, &w); err != nil {
		t.Fatal(err)
	}
	s := w.Stated
	p := piece{
		stock: shop.Stock{Name: "shell", Thickness: s.Thickness, Radius: s.Radius}, k: s.K, flap: s.Flap, gap: s.Gap,
		toe: s.Toe, head: s.Head, clear: s.Height - s.Thickness - w.Leg.MoldHead[2],
	}
	if p.body, err = solid.Frustum(4, s.Seat, s.Seat+2*s.Height*math.Tan(s.Splay*bend.Degree), s.Height); err != nil {
		t.Fatal(err)
	}
	if p.inner, err = p.body.Inset(s.Thickness, s.Thickness, 0); err != nil {
		t.Fatal(err)
	}
	c, err := panel.Unfold(p.cap(), panel.Options{})
	if err != nil {
		t.Fatal(err)
	}
	l, err := panel.Unfold(p.leg(p.inner.Corners()[1]), panel.Options{})
	if err != nil {
		t.Fatal(err)
	}
	patch, err := Contact([]Member{{c, 2}, {l, 0}}, 0) // side 2 faces +x, as side 0 of the worked stool
	if err != nil {
		t.Fatal(err)
	}
	if patch.Order[0] != 0 || patch.Inward != -1 {
		t.Errorf("outermost is %d", patch.Order[0])
	}
	near(t, "grip", patch.Grip, 3, 1e-9)
	var at []plane.Point
	for _, r := range w.Rivets {
		at = append(at, patch.Frame.Local(solid.Vec{X: r.World[0], Y: r.World[1], Z: r.World[2]}))
	}
	f := Fastener{Kind: Rivet, Diameter: 4.8, Hole: 4.9, Round: func(t float64) float64 { return 6 }}
	places, err := Stated(patch, f, at)
	if err != nil {
		t.Fatal(err)
	}
	fixings, err := Fix("head", 1, patch, f, places)
	if err != nil {
		t.Fatal(err)
	}
	fold := l.Folds[0]
	y := fold.To.Sub(fold.From).Unit()
	mold := l.Faces[0].ToFlat.Apply(l.Panel.Faces[0].Outline[0][1].P)
	for i, r := range w.Rivets {
		fix := fixings[i]
		mates(t, patch, fix)
		near(t, "world", fix.At.Sub(solid.Vec{X: r.World[0], Y: r.World[1], Z: r.World[2]}).Len(), 0, 2e-6)
		near(t, "cap x", fix.Members[0].Point.At.X, r.Cap[0], 1e-6)
		near(t, "cap y", fix.Members[0].Point.At.Y, r.Cap[1], 1e-6)
		q := fix.Members[1].Point.At
		near(t, "leg x", -q.Sub(fold.From).Dot(y.Perp()), r.Leg[0], 1e-6)
		near(t, "leg y", q.Sub(mold).Dot(y), r.Leg[1], 1e-6)
		if k := fix.Members[1].Point.Kind; k != panel.Drill {
			t.Errorf("a 4.9 hole under a 6 mm cutter is %q, want drill", k)
		}
	}
	// the rule's own pattern: level, centred, as many as the pitch allows
	f.Pitch = 20
	places, err = Pattern(patch, f)
	if err != nil {
		t.Fatal(err)
	}
	for i := 1; i < len(places); i++ {
		near(t, "pitch", places[i].At.Sub(places[i-1].At).X, 20, 1e-9)
		near(t, "level", places[i].At.Y, places[0].At.Y, 1e-12)
	}
}

// plate is a flat sheet at height z.
func plate(t *testing.T, name string, z, thick float64, outline plane.Loop, back bool, cuts ...plane.Region) *panel.Flat {
	t.Helper()
	frame := solid.LevelFrame(z)
	if back {
		frame = frame.Back()
		outline = outline.Transform(plane.MirrorX())
	}
	face := panel.Face{Name: "face", Frame: frame, Outline: plane.Region{outline}}
	for i, c := range cuts {
		face.Cuts = append(face.Cuts, panel.Cut{Name: fmt.Sprint("cut", i), Region: c})
	}
	f, err := panel.Unfold(&panel.Panel{Name: name, Stock: shop.Stock{Name: name, Thickness: thick}, Faces: []panel.Face{face}}, panel.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func box(x0, y0, x1, y1 float64) plane.Loop { return plane.RectAt(pt(x0, y0), pt(x1, y1)) }

func TestContact(t *testing.T) {
	a := Member{plate(t, "a", 0, 1.5, box(0, 0, 100, 50), false), 0}
	at := func(z float64) Member { return Member{plate(t, "b", z, 3, box(60, 10, 160, 40), false), 0} }
	for _, c := range []struct {
		m      Member
		reason Reason
		got    float64
	}{
		{at(-1.5), "", 0}, {at(-1.549), "", 0}, {at(3), "", 0},
		{at(-3.8), Apart, 2.3}, {at(5), Apart, 2}, {at(-1), Inside, 0.5},
		{Member{plate(t, "c", -1.5, 3, box(104, 0, 110, 50), false), 0}, Beside, 4},
	} {
		p, err := Contact([]Member{a, c.m}, 0)
		var e *ContactError
		switch {
		case c.reason == "" && err != nil:
			t.Errorf("%v", err)
		case c.reason == "":
			near(t, "area", p.Region.Area(), 40*30, 1e-6)
		case !errors.As(err, &e) || e.Reason != c.reason || math.Abs(e.Got-c.got) > 1e-6:
			t.Errorf("got %v, want %s %g", err, c.reason, c.got)
		}
	}
	// holes are no contact
	holed := Member{plate(t, "h", -1.5, 3, box(60, 10, 160, 40), false, plane.Region{plane.Circle(4).Transform(plane.Translate(pt(80, 25)))}), 0}
	p, err := Contact([]Member{a, holed}, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "area less the hole", p.Region.Area(), 40*30-4*math.Pi, 1e-6)
	places, err := Pattern(p, Fastener{Kind: Rivet, Diameter: 3.2, Count: 2}) // the middle line is taken by the hole
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range places {
		if d, _ := p.Region.DistanceTo(c.At); d < 6.4-1e-6 {
			t.Errorf("a rivet %g from an edge", d)
		}
	}
}

func TestStack(t *testing.T) {
	top := plate(t, "top", 0, 1.5, box(0, 0, 100, 50), false)
	middle := plate(t, "middle", -1.5, 3, box(0, 0, 100, 50), false)
	bottom := plate(t, "bottom", -4.5, 2, box(0, 0, 100, 50), false)
	p, err := Contact([]Member{{middle, 0}, {bottom, 0}, {top, 0}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "grip", p.Grip, 6.5, 1e-12)
	if fmt.Sprint(p.Order) != "[2 0 1]" {
		t.Errorf("order %v", p.Order)
	}
	f := Fastener{Kind: Bolt, Diameter: 6}
	places, err := Pattern(p, f)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "count", float64(len(places)), math.Floor((100-24)/36.0)+1, 0)
	fix, err := Fix("pin", 4, p, f, places)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "outside", fix[0].At.Z, 0, 1e-12)
	near(t, "axis", fix[0].Axis.Z, -1, 1e-12)
	if fix[1].Name != "pin.5" {
		t.Errorf("named %s", fix[1].Name)
	}
	// drawn on opposite sides: the first named is outermost
	lid := plate(t, "lid", -3, 1.5, box(0, 0, 100, 50), true) // metal above z = −3
	p, err = Contact([]Member{{lid, 0}, {top, 0}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	fix, err = Fix("pin", 1, p, f, []Place{{At: pt(-50, 25)}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "outside", fix[0].At.Z, -3, 1e-12)
	near(t, "axis", fix[0].Axis.Z, 1, 1e-12)
	mates(t, p, fix[0])
	for _, s := range fix[0].Members {
		near(t, "x in the world", p.Members[s.Member].Flat.World(0).At(s.Point.At).X, 50, 1e-9)
	}
}

func TestPatternShortages(t *testing.T) {
	a := plate(t, "a", 0, 1.5, box(0, 0, 100, 50), false)
	strip := plate(t, "s", -1.5, 1.5, box(0, 0, 60, 15), false)
	p, err := Contact([]Member{{a, 0}, {strip, 0}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		f         Fastener
		short     Short
		got, need float64
	}{
		{Fastener{Kind: Rivet, Diameter: 4.8}, NoRoom, 15, 19.2},
		{Fastener{Kind: Rivet, Diameter: 3.2, Count: 10}, TooTight, (60 - 12.8) / 9, 9.6},
		{Fastener{Kind: Rivet}, BadSize, 0, 0},
		{Fastener{Kind: "glue", Diameter: 3}, BadKind, 0, 0},
	} {
		_, err := Pattern(p, c.f)
		var e *PatternError
		if !errors.As(err, &e) || e.Short != c.short || math.Abs(e.Got-c.got) > 0.02 || math.Abs(e.Need-c.need) > 1e-9 {
			t.Errorf("got %v, want %s %g %g", err, c.short, c.got, c.need)
		}
	}
	_, err = Stated(p, Fastener{Kind: Rivet, Diameter: 3.2}, []plane.Point{pt(30, 11)})
	var e *PatternError
	if !errors.As(err, &e) || e.Short != NearEdge || math.Abs(e.Got-4) > 1e-9 {
		t.Errorf("got %v, want 4 mm from the edge", err)
	}
	if _, err = Stated(p, Fastener{Kind: Rivet, Diameter: 3.2}, []plane.Point{pt(30, 18)}); !errors.As(err, &e) || e.Short != OffPatch || math.Abs(e.Got-3) > 1e-9 {
		t.Errorf("got %v, want 3 mm off", err)
	}
	// rows along y, and a row of a stated count over the usable length
	places, err := Pattern(p, Fastener{Kind: Rivet, Diameter: 2.4, Along: AlongV, Pitch: 7.2})
	if err != nil || len(places) != 1 || !places[0].At.Near(pt(30, 7.5), 1e-6) {
		t.Errorf("along v: %v %v", places, err)
	}
	places, err = Pattern(p, Fastener{Kind: Rivet, Diameter: 3.2, Count: 3})
	if err != nil || len(places) != 3 || !places[0].At.Near(pt(6.4, 7.5), 1e-6) || !places[1].At.Near(pt(30, 7.5), 1e-6) {
		t.Errorf("three: %v %v", places, err)
	}
}

func TestWelds(t *testing.T) {
	thin := plate(t, "thin", 0, 1.2, box(0, 0, 100, 50), false)
	thick := plate(t, "thick", -1.2, 3, box(-20, -20, 120, 80), false)
	p, err := Contact([]Member{{thick, 0}, {thin, 0}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	plug := Fastener{Kind: Plug}
	places, err := Pattern(p, plug)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "plugs", float64(len(places)), math.Floor(70/40.0)+1, 0)
	fix, err := Fix("w", 1, p, plug, places)
	if err != nil {
		t.Fatal(err)
	}
	out, in := fix[0].Members[0], fix[0].Members[1]
	if out.Member != 1 || out.Point.Kind != panel.Plug || out.Point.Diameter != 10 || in.Point.Kind != panel.Tack {
		t.Errorf("plug makes %+v and %+v", out, in)
	}
	// turned over, it still goes through the thin one
	under := plate(t, "under", -1.2-3, 1.2, box(0, 0, 100, 50), false)
	p2, err := Contact([]Member{{thick, 0}, {under, 0}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	fix, err = Fix("w", 1, p2, plug, places)
	if err != nil {
		t.Fatal(err)
	}
	if p2.Order[0] != 0 || fix[0].Members[0].Member != 1 || fix[0].Axis.Z < 0.5 {
		t.Errorf("a plug from below: %+v", fix[0])
	}
	mates(t, p2, fix[0])
	near(t, "from below", fix[0].At.Z, -5.4, 1e-9)
	tacks, err := Pattern(p, Fastener{Kind: Tack})
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range tacks {
		if math.Abs(k.Dir.Y) > 1e-12 || k.At.Y != 0 && k.At.Y != 50 {
			t.Errorf("a tack off the long edge: %+v", k)
		}
		near(t, "from the end", math.Mod(k.At.X, 100), k.At.X, 0)
	}
	first := min(tacks[0].At.X, tacks[len(tacks)-1].At.X)
	near(t, "first tack", first, 12, 1e-9)
}

func ExampleContact() {
	sheet := shop.Stock{Name: "shell", Thickness: 1.5}
	flat := func(name string, z float64) *panel.Flat {
		f, _ := panel.Unfold(&panel.Panel{Name: name, Stock: sheet, Faces: []panel.Face{{
			Name: "face", Frame: solid.LevelFrame(z), Outline: plane.Region{plane.Rect(80, 40)}}}}, panel.Options{})
		return f
	}
	patch, err := Contact([]Member{{flat("lid", 0), 0}, {flat("rail", -1.5), 0}}, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	rivet := Fastener{Kind: Rivet, Diameter: 4.8, Hole: 4.9, Pitch: 30}
	places, err := Pattern(patch, rivet)
	fmt.Println(len(places), "rivets, grip", patch.Grip, err)
	_, err = Contact([]Member{{flat("lid", 0), 0}, {flat("rail", -3.8), 0}}, 0)
	fmt.Println(err)
	// Output:
	// 3 rivets, grip 3 <nil>
	// lid.face and rail.face don't touch: a gap of 2.3 mm
}

// A strip that lies aslant has its row along itself; one of a few degrees keeps to the
// first member's axes, and so does one that is told to.
func TestRowsLieAlongAStripAslant(t *testing.T) {
	base := plate(t, "base", 0, 1.5, box(-200, -200, 200, 200), false)
	for _, c := range []struct {
		turn  float64
		along Along
		count int
		dir   float64 // of the row, in degrees
	}{
		{30, AlongLonger, 5, 30},
		{120, AlongLonger, 5, 120},
		{30, AlongU, 2, 0},
		{2, AlongLonger, 5, 0},
	} {
		strip := box(-50, -10, 50, 10).Transform(plane.Rotate(c.turn * math.Pi / 180))
		p, err := Contact([]Member{{base, 0}, {plate(t, "strip", -1.5, 1.5, strip, false), 0}}, 0)
		if err != nil {
			t.Fatal(err)
		}
		places, err := Pattern(p, Fastener{Kind: Rivet, Diameter: 2.4, Pitch: 20, Along: c.along})
		if err != nil || len(places) != c.count {
			t.Errorf("%g° %s: %d places, %v; want %d", c.turn, c.along, len(places), err, c.count)
			continue
		}
		row := places[len(places)-1].At.Sub(places[0].At)
		if got := math.Abs(row.Unit().Cross(plane.Rotate(c.dir * math.Pi / 180).Vec(plane.Point{X: 1}))); got > 1e-9 {
			t.Errorf("%g° %s: the row is off %g° by a sine of %g", c.turn, c.along, c.dir, got)
		}
		if mid := places[0].At.Add(places[len(places)-1].At).Scale(0.5); mid.Len() > 1e-6 {
			t.Errorf("%g° %s: the row's middle is %v", c.turn, c.along, mid)
		}
	}
}

// A row lies along the longer side of its patch, whichever of the first member's axes that
// is, unless it is told its way; across, the patch has room for one.
func TestRowsLieAlongTheLongerSide(t *testing.T) {
	long := plate(t, "long", 0, 1.5, box(0, 0, 120, 30), false)
	for _, c := range []struct {
		strip plane.Loop
		along Along
		from  plane.Point
		count int
	}{
		{box(10, 0, 110, 20), "", pt(20, 10), 5},
		{box(10, 0, 110, 20), AlongV, pt(60, 10), 1},
		{box(50, 0, 65, 30), "", pt(57.5, 5), 2},
		{box(0, 0, 20, 30), AlongLonger, pt(10, 5), 2},
		{box(0, 0, 20, 30), AlongU, pt(10, 15), 1},
	} {
		p, err := Contact([]Member{{long, 0}, {plate(t, "strip", -1.5, 1.5, c.strip, false), 0}}, 0)
		if err != nil {
			t.Fatal(err)
		}
		places, err := Pattern(p, Fastener{Kind: Rivet, Diameter: 2.4, Pitch: 20, Along: c.along})
		if err != nil || len(places) != c.count || !places[0].At.Near(c.from, 1e-6) {
			t.Errorf("%v %q: %d places from %v, %v; want %d from %v", c.strip.Bounds(), c.along, len(places), places, err, c.count, c.from)
		}
	}
}
