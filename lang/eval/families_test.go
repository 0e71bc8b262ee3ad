package eval_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/lettering"
	"perch/parts/panel"
	"perch/parts/shop"
)

// TestLetsAreFamilies builds a wheel whose spokes are a family of points: as an outline,
// behind at, through its members, by its index and in a rule.
func TestLetsAreFamilies(t *testing.T) {
	r := sizeOf(t, `design "Wheel"
stock steel = sheet(mild_steel, 1mm)
let spoke[i in 3..8] = (50mm * cos(60deg * i), 50mm * sin(60deg * i))
let step[i in 0..2] = 10mm * i
body tier[i in 1..3] = box(100mm, 100mm, 50mm * i)
param w: length
rule w = step[2] + tier[3].height
let twice(ps: [point]) = ps[1]
panel wheel(holes: [point]) {
  face web on level(0mm) {
    outline spoke.rounded(5mm)
    cut hole = circle(14mm) at spoke & circle(90mm)
    cut one = circle(4mm) at holes[2]
    cut far = circle(3mm) at (spoke[3] / 2)
  }
}
panel plate() { face web on level(20mm) { outline spoke } }
part wheel of steel = wheel([(0mm, 0mm), (10mm, 0mm)]) loose
part plate of steel = plate() loose
let hexagon = area(spoke)
let first = twice(spoke)
`)
	hexagon := 3 * math.Sqrt(3) / 2 * 2500 // of radius 50 mm
	for text, want := range map[string]float64{
		"w": 170, "hexagon": hexagon, "area(plate)": hexagon, "count(spoke)": 6, "tier[2].height": 100,
		"area(wheel.web.outline)": hexagon - 25*(2*math.Sqrt(3)-math.Pi), // six corners of 120° made round
		"count(tier.sides)":       12,
	} {
		if got := asked(t, r, text); math.Abs(got-want) > 1e-6*want {
			t.Errorf("%s is %g, not %g", text, got, want)
		}
	}
	var at []string
	for _, c := range r.Flats[0].Panel.Faces[0].Cuts {
		b := c.Region.Bounds()
		at = append(at, fmt.Sprintf("%s %.1f,%.1f", c.Name, (b.Min.X+b.Max.X)/2, (b.Min.Y+b.Max.Y)/2))
	}
	if want := []string{"one 10.0,0.0", "far -25.0,0.0"}; !slices.Equal(at[len(at)-2:], want) {
		t.Errorf("holes at %v, want %v", at, want)
	}
}

// TestListsHaveTheirItemsMembers reads members of lists and of lists of families.
func TestListsHaveTheirItemsMembers(t *testing.T) {
	r := sizeOf(t, `design "Lists"
stock steel = sheet(mild_steel, 1mm)
body b = frustum(sides: 6, top: 100mm, bottom: 200mm, height: 90mm)
body c = box(100mm, 100mm, 50mm)
panel plate(s: side) {
  face web on s { outline s.band(5mm, 30mm) }
  face lip[e in [web.top, web.bottom]] off e down 90deg { outline strip(10mm, ends: 5mm) }
}
part front of steel = plate(c.front) loose
part back of steel = plate(c.back) loose
part rest[s in [c.left, c.right]] of steel = plate(s) loose
let heights = count(b.corners.height)
let deep = [b, c].height[2]
let all = count([b, c].corners.sides)
let ups = b.sides.up(30mm)[3]
let webs = count([front, back].web)
let lips = count([front, back].lip)
let more = count([rest, rest].web)
let small = [circle(20mm), circle(30mm)].inset(5mm)
panel grate() { face web on level(0mm) { outline rect(200mm, 200mm) cut small = small[1] cut large = small[2] at (50mm, 0mm) } }
part grate of steel = grate() loose
`)
	for text, want := range map[string]float64{"heights": 6, "deep": 50, "all": 20, "webs": 2, "lips": 4, "more": 4, "ups": asked(t, r, "b.sides[3].up(30mm)"),
		"area(grate)": 40000 - math.Pi*(25+100)} {
		if got := asked(t, r, text); math.Abs(got-want) > 1e-6*want {
			t.Errorf("%s is %g, not %g", text, got, want)
		}
	}
}

// TestMarksAtPlaces puts marks of every kind at lists of points.
func TestMarksAtPlaces(t *testing.T) {
	r := sizeOf(t, `design "Marks"
stock steel = sheet(mild_steel, 1mm)
let rows[i in 1..2] = (0mm, 30mm * i)
panel plate() {
  face web on level(0mm) {
    outline rect(200mm, 200mm)
    mark l = line([(-5mm, 0mm), (5mm, 0mm)]) at [(10mm, 20mm), (-30mm, 40mm)]
    mark b = bead(rect(40mm, 20mm).rounded(8mm), width: 6mm) at rows
    mark name = text("AB", height: 10mm, anchor: middle) at [(0mm, -50mm), (60mm, -50mm)]
    mark plain = text("AB", height: 10mm) at (0mm, 0mm)
  }
}
part plate of steel = plate()
`)
	var got []string
	for _, m := range r.Flats[0].Panel.Faces[0].Marks {
		at := m.At
		if m.Kind != panel.MarkText {
			b := middleOfMark(m)
			at.X, at.Y = b[0], b[1]
		}
		got = append(got, fmt.Sprintf("%s %.2f,%.2f", m.Name, at.X, at.Y))
	}
	half := lettering.Width("AB", 10) / 2
	want := []string{"l.1 10.00,20.00", "l.2 -30.00,40.00", "b.1 0.00,30.00", "b.2 0.00,60.00",
		fmt.Sprintf("name.1 %.2f,-55.00", -half), fmt.Sprintf("name.2 %.2f,-55.00", 60-half), "plain 0.00,0.00"}
	if !slices.Equal(got, want) {
		t.Errorf("marks at\n%v, want\n%v", got, want)
	}
}

// middleOfMark is the middle of a mark's line.
func middleOfMark(m panel.Mark) [2]float64 {
	b := m.Path.Bounds()
	return [2]float64{(b.Min.X + b.Max.X) / 2, (b.Min.Y + b.Max.Y) / 2}
}

// TestFoldsAreFamilies folds a ring of walls one to the next, with the index declared
// left and used right.
func TestFoldsAreFamilies(t *testing.T) {
	r := sizeOf(t, `design "Ring"
stock steel = sheet(mild_steel, 1mm)
body b = box(200mm, 100mm, 60mm)
param n: count in 2..4 = 4
panel ring(n: count) {
  face wall[i in 1..n] on b.sides[i] { outline b.sides[i].band(0mm, 60mm) }
  fold wall[i in 1..n - 1] to wall[i + 1] by bend(radius: 1mm * i)
  fold wall[1] to wall[2] if n > 9
  seam wall[i in [n]] to wall[1] by open(1mm) if n = 4
}
part ring of steel = ring(n) loose
part half of steel = ring(2) loose
rule n > 5 if n < 2  "never asked"
`)
	var got []string
	for _, f := range r.Flats {
		for _, x := range f.Panel.Folds {
			got = append(got, fmt.Sprintf("%s %g", x.Name, x.Radius))
		}
		got = append(got, fmt.Sprint(len(f.Panel.Seams)))
	}
	if want := []string{"wall.1/wall.2 1", "wall.2/wall.3 2", "wall.3/wall.4 3", "1", "wall.1/wall.2 1", "0"}; !slices.Equal(got, want) {
		t.Errorf("folds are %v, want %v", got, want)
	}
}

// TestGuardsNeedParams solves for what a rule says only where its guard, which needs
// params itself, holds.
func TestGuardsNeedParams(t *testing.T) {
	r := sizeOf(t, `design "Guards"
stock steel = sheet(mild_steel, 1mm)
param n: count in 1..9 = 4
param w: length in 10mm..90mm
param h: length in 10mm..90mm
rule w = n * 10mm if n > 3
rule w = 15mm if n <= 3
rule h = 20mm if n > 3 and w > 30mm
rule h = 30mm "the others" if w <= 30mm or n <= 3
panel plate() { face web on level(0mm) { outline rect(w, h) } }
part plate of steel = plate()
`)
	for text, want := range map[string]float64{"w": 40, "h": 20} {
		if got := asked(t, r, text); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s is %g, not %g", text, got, want)
		}
	}
}

// TestGuardedRules holds a size to a rule only where its guard does.
func TestGuardedRules(t *testing.T) {
	const text = `design "Guards"
stock steel = sheet(mild_steel, 1mm)
param w: length = 100mm
param wide: flag = %s
rule w >= 200mm if wide  "wide ones are wide"
panel plate(w: length) {
  rule w < 150mm if not wide  "narrow ones are narrow"
  face web on level(0mm) { outline rect(w, 20mm) }
}
part plate of steel = plate(%s)
`
	for _, c := range []struct {
		wide, of string
		code     string
	}{{"false", "w", ""}, {"true", "w", "P3001"}, {"false", "2 * w", "P3006"}} {
		facts := shop.Default()
		prog, diags, err := load.Source(diag.NewSource("guards.perch", fmt.Sprintf(text, c.wide, c.of)), load.Library(), facts)
		if err != nil || len(diags) > 0 {
			t.Fatal(err, diags)
		}
		_, diags = build.Size(prog, "only", facts, nil)
		code := ""
		if len(diags) > 0 {
			code = diags[0].Code
		}
		if code != c.code {
			t.Errorf("wide = %s, of %s: %v", c.wide, c.of, diags)
		}
	}
}

// TestCopiesHaveNamesOfTheirOwn indexes families by faces of one name, by planes, by
// lengths and by sides of one number, and finds each copy by the very value.
func TestCopiesHaveNamesOfTheirOwn(t *testing.T) {
	r := sizeOf(t, `design "Names"
stock steel = sheet(mild_steel, 1mm)
body a = box(200mm, 100mm, 60mm)
body b = box(80mm, 40mm, 30mm)
panel rail(s: side) { face web on s { outline s.band(0mm, 30mm) } }
part rail[s in [a.left, a.right]] of steel = rail(s) loose
panel bar(fs: [face]) {
  face root on level(0mm) { outline rect(150mm, 20mm) }
  face end[f in fs] off root.left up 90deg if f = fs[1] { outline strip(10mm) }
  face far[f in fs] off root.right up 90deg if f = fs[2] { outline strip(10mm) }
}
part bar of steel = bar([rail[a.left].web, rail[a.right].web]) loose
panel plate(p: plane) { face web on p { outline rect(20mm, 20mm) cut hole[l in [2mm, 4mm]] = circle(l) at (2 * l, 0mm) } }
part shelf[p in [level(200mm), level(300mm)]] of steel = plate(p) loose
part both[s in [a.front, b.front]] of steel = rail(s) loose
part late[i in 3..4] of steel = plate(level(100mm * i)) loose
let large = flat_long(both[a.front])
let small = flat_long(both[b.front])
`)
	var got []string
	seen := map[string]bool{}
	for _, f := range r.Flats {
		got = append(got, f.Panel.Name)
		for _, x := range f.Panel.Faces {
			if name := f.Panel.Name + "." + x.Name; seen[name] {
				t.Errorf("two faces are called %s", name)
			} else {
				seen[name] = true
			}
		}
	}
	want := []string{"rail.4", "rail.2", "bar", "shelf.1", "shelf.2", "both.1", "both.2", "late.3", "late.4"}
	if !slices.Equal(got, want) {
		t.Errorf("parts are called %v, want %v", got, want)
	}
	for _, name := range []string{"bar.end.1", "bar.far.2"} {
		if !seen[name] {
			t.Errorf("no face is called %s: %v", name, seen)
		}
	}
	for text, want := range map[string]float64{"large": 200, "small": 80} {
		if got := asked(t, r, text); math.Abs(got-want) > 1e-6 {
			t.Errorf("%s is %g, not %g", text, got, want)
		}
	}
}

// TestShapesByTheirPlace draws bands and strips and asks faces for their middles and for
// where another part's holes lie on them.
func TestShapesByTheirPlace(t *testing.T) {
	r := sizeOf(t, `design "Places"
stock steel = sheet(mild_steel, 1mm)
body b = frustum(top: 200mm, bottom: 300mm, height: 100mm)
panel plate() {
  face web on level(0mm) { outline band(-10mm, 30mm) & band(u: -20mm, 60mm) }
  face lip off web.right up 90deg { outline strip(10mm, ends: (5mm, 12mm)) }
  face tab off web.top up 90deg { outline strip(10mm, ends: 5mm) }
}
panel slope(s: side) {
  face web on s from s.left { outline band(10mm, 60mm) & behind(s.neighbours) }
}
panel lid(of: face) {
  face top on of.over {
    outline rect(100mm, 60mm)
    cut hole[i in 1..2] = circle(6mm) at [(20mm * i, 5mm), (-20mm * i, 5mm)]
  }
}
panel base() {
  face top on level(50mm) { outline rect(120mm, 80mm) at (10mm, 0mm) }
}
part plate of steel = plate()
part slope of steel = slope(b.front)
part base of steel = base()
part lid of steel = lid(base.top)
let m = base.top.middle
let at = base.top.places(lid.top.hole)
let one = base.top.places(lid.top.hole[2])
panel copy() { face web on level(80mm) { outline rect(200mm, 100mm) cut hole = circle(2mm) at at cut middle = circle(4mm) at m } }
part copy of steel = copy()
`)
	for text, want := range map[string]float64{
		"area(plate.web.outline)": 80 * 40, "plate.lip.bottom.length": 40 - 17, "plate.tab.bottom.length": 70,
		"plate.web.left.length": 40, "slope.web.bottom.length": 300 - 10*2*50/math.Hypot(50, 100), "count(at)": 4, "count(one)": 2,
	} {
		if got := asked(t, r, text); math.Abs(got-want) > 1e-6 {
			t.Errorf("%s is %g, not %g", text, got, want)
		}
	}
	var at []string
	for _, c := range r.Flats[len(r.Flats)-1].Panel.Faces[0].Cuts {
		for _, l := range c.Region {
			p := l.Centroid()
			at = append(at, fmt.Sprintf("%.1f,%.1f", p.X, p.Y))
		}
	}
	slices.Sort(at)
	if want := []string{"-20.0,5.0", "-40.0,5.0", "10.0,0.0", "20.0,5.0", "40.0,5.0"}; !slices.Equal(at, want) {
		t.Errorf("holes at %v, want %v", at, want)
	}
}
