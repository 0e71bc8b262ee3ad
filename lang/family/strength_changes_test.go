package family_test

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"perch/examples"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/strength"
)

// changed is a change of the stool by hand, in its text: pairs of what stands there and what
// is put in its place.
type changed struct {
	what   string
	edits  []string
	always bool // asked each time that referees are; the rest where PERCH_PIECES is set
}

var (
	noGusset = []string{
		"part gusset[r in rung, c in r.ends] of plate = corner_gusset(c, base: r.tread, reach: 46mm)\n", "",
		"join sit = rung.tread to gusset.plate by rivet(4.8mm, count: 1)\n", "",
		"join brace = gusset.tab to leg.cheek by rivet(4.8mm, count: 2)\n", "",
	}
	noRung = []string{
		"part rung[s in core.sides, i in 1..rungs] of shell = cross_rung(s, rise: tread(s, i))\n", "",
		"join bear = rung.web to leg.cheek by rivet(4.8mm, count: 2)\n", "",
		"join turn = rung.tab to leg.cheek by rivet(4.8mm, count: 2)\n", "",
	}
	allChanged = []changed{
		{what: "without rung and gusset", edits: slices.Concat(noGusset, noRung), always: true},
		{what: "shell of 2mm", edits: []string{"sheet(mild_steel, 1.5mm, radius: 1.5mm)", "sheet(mild_steel, 2mm, radius: 2mm)"}},
		{what: "without gusset", edits: noGusset},
		{what: "plate of 3mm", edits: []string{"sheet(mild_steel, 2mm, radius: 2mm)", "sheet(mild_steel, 3mm, radius: 3mm)"}},
		{what: "rungs 2", edits: []string{"count in 0..2 = 1", "count in 0..2 = 2"}},
		{what: "head pitch 20mm", edits: []string{"rivet(4.8mm, pitch: 40mm)", "rivet(4.8mm, pitch: 20mm)"}},
	}
)

// stool is the stool's middle size with edits of its text.
func stool(t *testing.T, edits []string) (*panel.Assembly, *shop.Shop) {
	t.Helper()
	text, ok := examples.Text("stool")
	if !ok {
		t.Fatal("there is no stool")
	}
	for i := 0; i < len(edits); i += 2 {
		if strings.Count(text, edits[i]) != 1 {
			t.Fatalf("the stool does not say %q once", edits[i])
		}
		text = strings.Replace(text, edits[i], edits[i+1], 1)
	}
	sh := shop.Default()
	program, told, err := load.Source(diag.NewSource("stool.perch", text), load.Library(), sh)
	if err != nil || diag.HasErrors(told) {
		t.Fatal(err, told)
	}
	job := family.Job{Program: program, File: "stool.perch", Shop: sh}
	results, told := job.Results()
	for _, r := range results {
		if r.Size == "mid" && r.Assembly != nil {
			return r.Assembly, sh
		}
	}
	t.Fatal("nothing of size mid", told)
	return nil, nil
}

// TestChangedReferee holds what changes of the stool are worth to CalculiX, joints and feet
// modelled alike as in TestCarriedReferee: the sag and the push's movement of the changed
// stool over those of the unchanged one are within 15 % of the referee's ratio; where that is
// more than 3 % from one, ours lies on the same side of it, and where it is more than 10 %
// from one, the change itself is within 15 % of the referee's.
func TestChangedReferee(t *testing.T) {
	const python = "/usr/bin/python3"
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("outside referees, python3-gmsh and calculix-ccx: PERCH_REFEREES=require asks for them")
	}
	c := allCarried[0]
	if c.example != "stool" || c.size != "mid" {
		t.Fatal("the first piece that is carried is not the stool's middle size")
	}
	both := func(t *testing.T, edits []string) (ours, theirs [2]float64) {
		a, sh := stool(t, edits)
		l := c.load(t, a)
		o := strength.Options{Side: 11, Model: strength.Solid, Friction: 1e6, Weightful: true, Through: true, Metal: strength.MetalOf(sh)}
		sag, _, pushed := solved(t, a, o, l, c.push)
		metal, _ := o.Metal(a.Blanks[a.Copies[l.Copy].Blank].Flat.Panel.Stock)
		want := c.calculix(t, python, a, l, metal)
		t.Logf("sag %.3f mm, CalculiX %.3f; pushed %.5f, %.5f", sag, want.Sag, pushed, want.Pushed)
		return [2]float64{sag, pushed}, [2]float64{want.Sag, want.Pushed}
	}
	ours, theirs := both(t, nil)
	for _, v := range allChanged {
		if !v.always && os.Getenv("PERCH_PIECES") == "" {
			continue
		}
		t.Run(v.what, func(t *testing.T) {
			is, want := both(t, v.edits)
			for k, what := range []string{"the sag", "the push's movement"} {
				got, want := is[k]/ours[k], want[k]/theirs[k]
				t.Logf("%s is %.3f of what it was, CalculiX %.3f", what, got, want)
				if math.Abs(got-want) > 0.15*want {
					t.Errorf("%s is %.3f of what it was, CalculiX says %.3f", what, got, want)
				}
				if math.Abs(want-1) > 0.03 && (got > 1) != (want > 1) {
					t.Errorf("%s is %.3f of what it was, CalculiX says %.3f: the other way", what, got, want)
				}
				if change := math.Abs(want - 1); change > 0.10 && math.Abs(got-want) > 0.15*change {
					t.Errorf("%s changes by %.3f of what it was, CalculiX says by %.3f", what, got-1, want-1)
				}
			}
		})
	}
}
