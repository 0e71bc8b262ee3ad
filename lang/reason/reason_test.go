package reason_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/lang/reason"
	"perch/parts/shop"
)

const stool = "../../examples/stool/stool.perch"

func open(t testing.TB, name string) (*check.Program, *shop.Shop) {
	t.Helper()
	shop := shop.Default()
	p, diags, err := load.Design(name, shop)
	if err != nil || diag.HasErrors(diags) {
		t.Fatal(err, diags)
	}
	return p, shop
}

func Example() {
	text := `design "Step"
param rise: length in 100mm..300mm = 200mm
param lean: angle in 0deg..20deg about 10deg
param foot: length in 0mm..100mm
rule foot = rise * tan(lean)
size steep: foot = 50mm
`
	shop := shop.Default()
	p, _, _ := load.Source(diag.NewSource("step.perch", text), load.Library(), shop)
	r, _ := build.Solve(p, "steep", shop, nil)
	if why, ok := reason.Why(r, "lean"); ok {
		why.Write(os.Stdout, p.Shown)
	}
	// Output:
	// lean = 14.0362deg   rule foot = rise * tan(lean)   step.perch:5
	//   gives way         default: lean about 10deg      step.perch:3
	//   foot = 50mm       size steep: foot = 50mm        step.perch:6
	//   rise = 200mm      default: rise = 200mm          step.perch:2
}

// TestEveryChainEndsAtStatements follows every value of every example down.
func TestEveryChainEndsAtStatements(t *testing.T) {
	for _, name := range []string{stool, "../../examples/inch_stool/inch_stool.perch", "../../examples/bench/bench.perch"} {
		p, shop := open(t, name)
		for _, size := range build.Sizes(p) {
			r, diags := build.Solve(p, size, shop, nil)
			if !r.Stands() {
				t.Fatal(diags)
			}
			for _, n := range reason.Names(p) {
				l, ok := reason.Why(r, n)
				if !ok {
					t.Errorf("%s %s: no reason for %s", name, size, n)
					continue
				}
				ends(t, l, 0)
			}
		}
	}
}

func ends(t *testing.T, l *reason.Link, depth int) {
	if depth > 50 {
		t.Fatalf("%s: the chain does not end", l.Name)
	}
	if l.By.At.IsZero() || l.By.Text == "" {
		t.Errorf("%s has no statement", l.Name)
	}
	if len(l.From) == 0 && !l.Seen && l.By.Kind == "rule" && len(l.By.Names) > 1 {
		t.Errorf("%s comes from a rule and from no name", l.Name)
	}
	for _, f := range l.From {
		ends(t, f, depth+1)
	}
}

// TestSlopesByHand compares sensitivities with derivatives taken by hand of
// foot = seat + 2·height·tan(splay), and the measured mass with plain differences.
func TestSlopesByHand(t *testing.T) {
	p, shop := open(t, stool)
	wanted, diags := reason.Want(p, []string{"mass()", "flat_wide(cap)", "2 * foot"})
	if diag.HasErrors(diags) {
		t.Fatal(diags)
	}
	s, diags := reason.Sensitivities(p, "mid", shop, nil, wanted)
	if diag.HasErrors(diags) {
		t.Fatal(diags)
	}
	at := map[string]reason.Slope{}
	for _, row := range s.At {
		for _, x := range row {
			at[x.Of+" "+x.By] = x
		}
	}
	deg := math.Pi / 180
	tan := math.Tan(6 * deg)
	wants := map[string]float64{
		"foot seat":           1,
		"foot height":         2 * tan,
		"foot splay":          2 * 610 * (1 + tan*tan) * deg,
		"foot flap":           0,
		"flat_wide(cap) flap": 2, // a flap on either side
		"2 * foot height":     4 * tan,
	}
	for k, want := range wants {
		x, ok := at[k]
		if !ok || !(math.Abs(x.Value-want) <= 1e-6+x.Error) {
			t.Errorf("d %s is %g ± %g, by hand %g", k, x.Value, x.Error, want)
		}
		if x.Exact != strings.HasPrefix(k, "foot") {
			t.Errorf("d %s: exact is %v", k, x.Exact)
		}
	}
	if m := at["mass() height"]; !(m.Value > 0.004 && m.Value < 0.005 && m.Error < 1e-5) || m.Unit != "kg/mm" {
		t.Errorf("d mass / d height is %+v", m)
	}
}

func axis(t *testing.T, p *check.Program, text string) reason.Axis {
	t.Helper()
	a, err := reason.ParseAxis(p, text)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// TestSweep runs a grid, marks what is broken, and draws it both ways.
func TestSweep(t *testing.T) {
	p, shop := open(t, stool)
	axes := []reason.Axis{axis(t, p, "height=400mm..800mm:100mm"), axis(t, p, "splay=4deg..14deg:5deg")}
	of, diags := reason.Want(p, []string{"foot", "mass()"})
	if diag.HasErrors(diags) {
		t.Fatal(diags)
	}
	told := 0
	points, err := reason.Sweep(context.Background(), p, "mid", shop, nil, axes, of, func(done, total int) { told = total })
	if err != nil || len(points) != 15 || told != 15 {
		t.Fatal(err, len(points), told)
	}
	for _, pt := range points {
		foot := 320 + 2*pt.At[0]*math.Tan(pt.At[1])
		inside := foot <= 650
		if inside != (pt.Broken == nil) {
			t.Errorf("height %g splay %g: %v", pt.At[0], pt.At[1], pt.Broken)
		}
		if inside && math.Abs(pt.Of[0].V-foot) > 1e-6 {
			t.Errorf("foot is %g, by hand %g", pt.Of[0].V, foot)
		}
		if !inside && pt.Broken.String() != "P3001 rule foot = seat + 2 * height * tan(splay), foot in 240mm..650mm at stool.perch:15" {
			t.Errorf("broken is %q", pt.Broken)
		}
	}
	s := reason.Study{Size: "mid", Axes: axes, Of: of, Points: points}
	var csv, svg, png bytes.Buffer
	for _, err := range []error{s.WriteCSV(&csv), s.WritePlot(&svg, false), s.WritePlot(&png, true)} {
		if err != nil {
			t.Error(err)
		}
	}
	if head, _, _ := strings.Cut(csv.String(), "\n"); head != "height [mm],splay [deg],foot [mm],mass() [kg],breaks" {
		t.Errorf("the table's head is %q", head)
	}
	if strings.Count(csv.String(), "\n") != 16 {
		t.Errorf("the table is\n%s", csv.String())
	}
	if !strings.HasPrefix(svg.String(), "<svg") || !bytes.HasPrefix(png.Bytes(), []byte("\x89PNG")) {
		t.Error("the plots are no SVG and PNG")
	}
}

func TestSweepIsCancelled(t *testing.T) {
	p, shop := open(t, stool)
	ctx, cancel := context.WithCancel(context.Background())
	axes := []reason.Axis{axis(t, p, "height=400mm..800mm:1mm")}
	of, _ := reason.Want(p, []string{"foot"})
	_, err := reason.Sweep(ctx, p, "mid", shop, nil, axes, of, func(done, total int) {
		if done == 3 {
			cancel()
		}
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("the error is %v", err)
	}
}

func TestAxes(t *testing.T) {
	p, _ := open(t, stool)
	for text, want := range map[string]string{
		"height":                       "no range with a step",
		"height=400mm..800mm":          "no range with a step",
		"hieght=400mm..800mm:50mm":     "did you mean height?",
		"height=400..800:50":           "height is a length, 400 is not",
		"height=800mm..400mm:50mm":     "from the smaller value to the larger",
		"height=400mm..800mm:0mm":      "the step is more than nothing",
		"height=400mm..800mm:1e-300mm": "more than the 10000",
		"height=400mm..800mm:-5mm":     "the step is more than nothing",
		"height=4oomm..800mm:5mm":      "is no unit",
	} {
		if _, err := reason.ParseAxis(p, text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", text, err)
		}
	}
	a := axis(t, p, "height=16in..18in:1/2in")
	if got := fmt.Sprintf("%d %s %g", len(a.Values), a.Unit.Name, a.Show(a.Values[1])); got != "5 in 16.5" {
		t.Errorf("inches: %s", got)
	}
}
