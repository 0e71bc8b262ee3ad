package cutplan_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"perch/parts/cutplan"
	"perch/parts/measure"
	"perch/parts/plane"
)

// nicked are plates of 300 × 200 mm beside each other, each with nicks 2 mm wide in the
// middle of its two long edges, drawn so deep.
func nicked(plates int, deep float64) *cutplan.Sheet {
	s := &cutplan.Sheet{Name: "s", Material: "mild_steel", Thickness: 2, Metal: plane.Region{rect(400*float64(plates), 300)}}
	for i := range plates {
		l := plane.Loop{{P: pt(0, 0)}, {P: pt(149, 0)}, {P: pt(150, deep)}, {P: pt(151, 0)}, {P: pt(300, 0)},
			{P: pt(300, 200)}, {P: pt(151, 200)}, {P: pt(150, 200-deep)}, {P: pt(149, 200)}, {P: pt(0, 200)}}
		to := plane.Translate(pt(50+400*float64(i), 50))
		s.Parts = append(s.Parts, cutplan.Part{Number: i + 1, Name: "plate", Region: plane.Region{l.Transform(to), hole(30, 80, 100).Transform(to)},
			Nicks: []cutplan.Nick{{At: to.Apply(pt(150, 0)), In: pt(0, 1), Depth: 1.5}, {At: to.Apply(pt(150, 200)), In: pt(0, -1), Depth: 1.5}}})
	}
	return s
}

// A kerf of 1.5 mm leaves a V that is 2 mm wide and 24/7 mm deep 1.5 mm deep: its flanks are
// the long sides of triangles of 7, 24 and 25, and 24/7 − 0.75·(25/7 − 1) is 1.5. The
// program and the drawing, read back, have each nick once, with tabs and without, whole
// or in part.
func TestNicksAreProved(t *testing.T) {
	s := nicked(2, 24.0/7)
	prof := profile(t, profileText)
	for name, c := range map[string]struct {
		opt  func(o *cutplan.Options)
		of   func(p *cutplan.Plan) *cutplan.Plan
		want string
	}{
		"whole": {func(*cutplan.Options) {}, func(p *cutplan.Plan) *cutplan.Plan { return p }, "4 of 4 nicks"},
		"line":  {func(o *cutplan.Options) { o.Line, o.LeadOut = true, 0 }, func(p *cutplan.Plan) *cutplan.Plan { return p }, "4 of 4 nicks"},
		"tabs":  {func(o *cutplan.Options) { o.Tab, o.Tabs = 0.8, 4 }, func(p *cutplan.Plan) *cutplan.Plan { return p }, "4 of 4 nicks"},
		"tab":   {func(o *cutplan.Options) { o.Tab = 6 }, func(p *cutplan.Plan) *cutplan.Plan { return p }, "4 of 4 nicks"},
		"one":   {func(*cutplan.Options) {}, func(p *cutplan.Plan) *cutplan.Plan { return p.Only(2) }, "2 of 2 nicks"},
		"last":  {func(*cutplan.Options) {}, func(p *cutplan.Plan) *cutplan.Plan { return p.Starting(p.Pierces) }, "2 of 2 nicks"},
	} {
		opt := options
		c.opt(&opt)
		p, err := cutplan.New(s, opt)
		if err != nil {
			t.Fatal(name, err)
		}
		p = c.of(p)
		var b, d bytes.Buffer
		if err := errors.Join(cutplan.Program(&b, p, prof), cutplan.Drawing(&d, p, measure.Millimetres)); err != nil {
			t.Fatal(name, err)
		}
		read, err := cutplan.ProveProgram(b.String(), p, prof)
		if err != nil || !strings.Contains(read.String(), c.want) {
			t.Errorf("%s: the program has %s: %v", name, read, err)
		}
		if read, err = cutplan.ProveDrawing(d.String(), p, measure.Millimetres); err != nil || !strings.Contains(read.String(), c.want) {
			t.Errorf("%s: the drawing has %s: %v", name, read, err)
		}
	}
}

// Nicks that were not drawn deeper than they are to be, or not at all, are refused, and so
// is a drawing without one.
func TestNicksThatAreNotCut(t *testing.T) {
	for deep, want := range map[float64]float64{
		1.5: 1.5 - 0.75*(math.Sqrt(1+1.5*1.5)-1), // what the kerf rounds off
		4.5: 4.5 - 0.75*(math.Sqrt(1+4.5*4.5)-1),
	} {
		_, err := cutplan.New(nicked(1, deep), options)
		var e *cutplan.NickError
		if !errors.As(err, &e) || math.Abs(e.Depth-want) > 0.01 || e.Want != 1.5 {
			t.Errorf("drawn %g deep: %v, %+v; want %g", deep, err, e, want)
		}
	}
	p, err := cutplan.New(nicked(1, 24.0/7), options)
	if err != nil {
		t.Fatal(err)
	}
	var d bytes.Buffer
	if err := cutplan.Drawing(&d, p, measure.Millimetres); err != nil {
		t.Fatal(err)
	}
	tip := fmt.Sprintf("20\n%.6f\n", 50+24.0/7)
	if strings.Count(d.String(), tip) != 1 {
		t.Fatalf("no tip at %q", tip)
	}
	var e *cutplan.ProofError
	if _, err := cutplan.ProveDrawing(strings.Replace(d.String(), tip, "20\n50.0\n", 1), p, measure.Millimetres); !errors.As(err, &e) {
		t.Errorf("a drawing without a nick passes: %v", err)
	}
}
