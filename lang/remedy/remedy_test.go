package remedy

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"testing"

	"perch/examples"
	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/shop"
	"perch/parts/strength"
)

func program(t testing.TB, text string) (*check.Program, *shop.Shop) {
	t.Helper()
	sh := shop.Default()
	p, told, err := load.Source(diag.NewSource("piece.perch", text), load.Library(), sh)
	if err != nil || diag.HasErrors(told) {
		t.Fatal(err, told)
	}
	return p, sh
}

func size(t testing.TB, text, name string) (*build.Result, *shop.Shop) {
	t.Helper()
	p, sh := program(t, text)
	r, told := build.Size(p, name, sh, nil)
	if r.Assembly == nil {
		t.Fatal(told)
	}
	return r, sh
}

// TestChanges: what is tried of the stool, by hand from its text; every change of parts and
// stock checks again.
func TestChanges(t *testing.T) {
	text, ok := examples.Text("stool")
	if !ok {
		t.Fatal("there is no stool")
	}
	r, sh := size(t, text, "mid")
	var got []string
	for _, c := range changes(r, sh, nil) {
		got = append(got, c.text)
		p, told, err := again(r.Program(), c.edits, sh)
		if err != nil || diag.HasErrors(told) {
			t.Errorf("%s: %v %v", c.text, err, told)
			continue
		}
		with, _ := build.Size(p, "mid", sh, c.settings)
		switch c.text {
		case "without gusset":
			if was, is := len(r.Assembly.Copies), len(with.Assembly.Copies); is != was-8 || len(with.Assembly.Joins) >= len(r.Assembly.Joins) {
				t.Errorf("without gussets there are %d parts of %d", is, was)
			}
		case "rungs 2 for 1":
			if is, was := mass(with.Assembly), mass(r.Assembly); is <= was {
				t.Errorf("with twice the rungs it weighs %g kg, %g without", is, was)
			}
		}
	}
	want := []string{"without cap", "without leg", "without rung and gusset", "without gusset", "shell of 2mm for 1.5mm", "plate of 3mm for 2mm", "rungs 2 for 1",
		"head pitch: 13mm for 40mm", "bear count: 4 for 2", "turn count: 4 for 2", "sit count: 3 for 1", "brace count: 4 for 2"}
	if !slices.Equal(got, want) {
		t.Errorf("tried are %q", got)
	}
}

// bridge is a plate on two flanges, 200 mm long and 60 wide, with a patch
// riveted under its middle.
const bridge = `design "Bridge"

stock tin = sheet(mild_steel, 2mm, radius: 2mm)
stock thin = sheet(mild_steel, 1mm)

param ribs: count in 0..1 = 1

panel span() {
  face top on level(40mm) { outline rect(200mm, 60mm) }
  face near off top.left down 90deg { outline strip(40mm) }
  face far off top.right down 90deg { outline strip(40mm) }
}

panel rib(top: length) {
  face web on level(top) { outline rect(30mm, 30mm) }
}

part span of tin = span()
part rib[i in 1..ribs] of thin = rib(40mm - tin.thickness)

join under = span.top to rib.web by rivet(3.2mm, count: 1)

let goods = load(5kg, on: span.top, spread: 20mm)
`

// TestWorth: sheet of 3 mm for 2 mm: a plate's stiffness in bending goes by the third power,
// so that it sags (2/3)³ of what it did, 70 % less. A patch of 1 mm in the middle, with one
// rivet, changes little and weighs what it weighs.
func TestWorth(t *testing.T) {
	all, err := tried()
	if err != nil {
		t.Fatal(err)
	}
	by := map[string]strength.Help{}
	for _, h := range all {
		by[h.Change] = h
	}
	thick := by["tin of 3mm for 2mm"]
	if len(thick.Worth) != 1 || thick.Worth[0].Case != "goods" {
		t.Fatalf("%+v", all)
	}
	if p := thick.Worth[0].Sag.Part; p[0] > -0.66 || p[1] < -0.74 || p[0] < -0.8 {
		t.Errorf("3 mm for 2 mm change the sag by %v, 70 %% less by plate theory", p)
	}
	if all[0].Change != thick.Change {
		t.Errorf("%s stiffens more than %s", all[0].Change, thick.Change)
	}
	without := by["without rib"]
	if want := -0.03 * 0.03 * 0.001 * 7850; len(without.Worth) != 1 || without.Mass < 1.02*want || without.Mass > 0.98*want {
		t.Errorf("without the rib it weighs %g kg more, want %g", without.Mass, want)
	}
	if more := by["ribs 2 for 1"]; more.Worth != nil || more.Why == "" {
		t.Errorf("two ribs are more than the design has: %+v", more)
	}
	if _, tried := by["without span"]; tried {
		t.Error("a piece without what it carries its load on is held to the one with it")
	}
}

// TestStopped: who wants no more is not kept.
func TestStopped(t *testing.T) {
	r, sh := size(t, bridge, "only")
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, _, err := Of(ctx, r, sh, nil, strength.Options{Side: 12, Friction: 0.8, Metal: strength.MetalOf(sh)}); err == nil {
		t.Error("it goes on when it is stopped")
	}
}

// tried is what every change of the bridge is worth; they are tried once.
var tried = sync.OnceValues(func() ([]strength.Help, error) {
	sh := shop.Default()
	p, _, err := load.Source(diag.NewSource("piece.perch", bridge), load.Library(), sh)
	if err != nil {
		return nil, err
	}
	r, _ := build.Size(p, "only", sh, nil)
	all, _, err := Of(context.Background(), r, sh, nil, strength.Options{Side: 12, Friction: 0.8, Metal: strength.MetalOf(sh)})
	return all, err
})

func Example() {
	all, err := tried()
	if err != nil {
		panic(err)
	}
	fmt.Println("what stiffens most:", all[0].Change)
	// Output: what stiffens most: tin of 3mm for 2mm
}
