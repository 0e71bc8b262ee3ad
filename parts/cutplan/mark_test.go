package cutplan_test

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"perch/parts/cutplan"
	"perch/parts/measure"
	"perch/parts/plane"
)

// A table that can mark does so before it cuts: every scribed line, the strokes of text
// and the crosses of what is to be drilled, fold lines only where the profile asks for
// them. What is marked is proved like what is cut, and not marked again when cutting
// goes on behind a pierce.
func TestTableMarks(t *testing.T) {
	s := &cutplan.Sheet{Name: "s", Material: "m", Thickness: 2, Metal: plane.Region{rect(200, 200)},
		Parts: []cutplan.Part{{Number: 1, Name: "p", Region: plane.Region{plane.RectAt(pt(20, 20), pt(120, 120)), hole(1.2, 60, 60)},
			Marks: []cutplan.Mark{
				{Kind: cutplan.FoldUp, Path: plane.Loop{{P: pt(20, 50)}, {P: pt(120, 50)}}},
				{Path: plane.Loop{{P: pt(30, 100), Bulge: 0.3}, {P: pt(90, 100)}, {P: pt(90, 110)}}},
				{Path: plane.RectAt(pt(80, 60), pt(110, 80)), Closed: true},
				{Kind: cutplan.Lettered, Text: "L1", Height: 6, At: pt(40, 90), Dir: pt(1, 0)},
			}}}}
	p, err := cutplan.New(s, cutplan.Options{Kerf: 1.5, LeadIn: 3, Drill: 3})
	if err != nil {
		t.Fatal(err)
	}
	var page bytes.Buffer
	if err := cutplan.Picture(p, cutplan.Caption{}).SVG(&page); err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]bool{">marked<": true, ">bend up<": true, ">bend down<": false} {
		if strings.Contains(page.String(), text) != want {
			t.Errorf("the picture's key has %s: %v, want %v", text, !want, want)
		}
	}
	bare := *s
	bare.Parts = []cutplan.Part{{Number: 1, Name: "p", Region: s.Parts[0].Region}}
	plain, err := cutplan.New(&bare, cutplan.Options{Kerf: 1.5, LeadIn: 3, Drill: 3})
	if err != nil {
		t.Fatal(err)
	}
	marked := strings.Count(page.String(), "<path")
	page.Reset()
	if err := cutplan.Picture(plain, cutplan.Caption{}).SVG(&page); err != nil {
		t.Fatal(err)
	}
	// A fold, a line, a bead, three strokes of text, and two samples in the key.
	if more := marked - strings.Count(page.String(), "<path"); more != 1+1+1+3+2 {
		t.Errorf("marks are %d paths of the picture", more)
	}
	const mark = "mark_on = \"M64 P1\"\nmark_off = \"M65 P1\"\nmark_feed = 6000\n"
	for _, c := range []struct {
		text  string
		lines int // L takes one stroke, 1 two, a cross two
	}{
		{profileText, 0}, {mark + profileText, 1 + 1 + 3 + 2}, {mark + "mark_folds = true\n" + profileText, 1 + 1 + 1 + 3 + 2},
		{"unit = \"in\"\n" + mark + profileText, 7},
	} {
		prof := profile(t, c.text)
		program := func(p *cutplan.Plan) string {
			var b bytes.Buffer
			if err := cutplan.Program(&b, p, prof); err != nil {
				t.Fatal(err)
			}
			if _, err := cutplan.ProveProgram(b.String(), p, prof); err != nil {
				t.Fatal(err)
			}
			return b.String()
		}
		text := program(p)
		if n := strings.Count(text, "M64 P1"); n != c.lines || strings.Count(text, "M65 P1") != n {
			t.Errorf("%d lines are marked, not %d", n, c.lines)
		}
		if strings.Contains(program(p.Starting(2)), "M64") {
			t.Error("what is marked already is marked again")
		}
		if c.lines == 0 {
			continue
		}
		if strings.Index(text, "M3\n") < strings.LastIndex(text, "M65 P1") {
			t.Error("it cuts before it has marked")
		}
		at := strings.LastIndex(text[:strings.Index(text, "M65")], "G1") // the first mark's last move
		for name, wrong := range map[string]string{
			"lost":  strings.Replace(text, "M64 P1", "", 1),
			"moved": text[:at] + strings.Replace(text[at:], " X", " X1", 1),
		} {
			var e *cutplan.ProofError
			if _, err := cutplan.ProveProgram(wrong, p, prof); !errors.As(err, &e) {
				t.Errorf("%s: the proof passes: %v", name, err)
			}
		}
		without, _ := cutplan.Measure(p, profile(t, profileText))
		with, err := cutplan.Measure(p, prof)
		if least := 60.0 / 6000 * (2*30 + 2*20 + 60 + 10); err != nil || with.Seconds < without.Seconds+least || with.Seconds > without.Seconds+least+3 {
			t.Errorf("marking takes %.2f s, its lines alone %.2f", with.Seconds-without.Seconds, least)
		}
	}
	for _, wrong := range []string{"mark_on = \"M64 P1\"\n", "mark_feed = 5\n", strings.Replace(mark, "M64 P1", "M3", 1)} {
		if _, err := cutplan.ReadProfile(wrong + profileText); err == nil {
			t.Errorf("%q is taken", wrong)
		}
	}
}

// A drill mark that is lost, or scribed lines that are, fail the proof as well.
func TestMarksAreProved(t *testing.T) {
	s := &cutplan.Sheet{Name: "s", Material: "m", Thickness: 3, Metal: plane.Region{rect(200, 200)},
		Parts: []cutplan.Part{{Number: 1, Name: "p", Region: plane.Region{plane.RectAt(pt(20, 20), pt(120, 120)), hole(1.2, 60, 60)},
			Marks: []cutplan.Mark{
				{Path: plane.Loop{{P: pt(30, 30)}, {P: pt(40, 30)}}},
				{Kind: cutplan.FoldUp, Path: plane.Loop{{P: pt(20, 50)}, {P: pt(120, 50)}}},
				{Path: plane.Loop{{P: pt(30, 100), Bulge: 0.3}, {P: pt(90, 100)}, {P: pt(90, 110)}}},
				{Path: plane.RectAt(pt(80, 60), pt(110, 80)), Closed: true},
				{Kind: cutplan.Lettered, Text: "grün", Height: 6, At: pt(40, 90), Dir: pt(0.6, -0.8)},
				{Kind: cutplan.Lettered, Text: "over", Height: 6, At: pt(80, 90), Dir: pt(1, 0), AtEnd: true},
			}}}}
	p, err := cutplan.New(s, cutplan.Options{Kerf: 1.5, LeadIn: 3, Drill: 3})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := cutplan.Drawing(&b, p, measure.Millimetres); err != nil {
		t.Fatal(err)
	}
	tally, err := cutplan.ProveDrawing(b.String(), p, measure.Millimetres)
	if err != nil || tally.Drills != 1 {
		t.Fatal(tally, err)
	}
	var inches bytes.Buffer
	if err := cutplan.Drawing(&inches, p, measure.Inches); err != nil {
		t.Fatal(err)
	}
	if _, err := cutplan.ProveDrawing(inches.String(), p, measure.Inches); err != nil {
		t.Errorf("in inches: %v", err)
	}
	// The plate's corner at (120, 20), from which a table that takes inches goes.
	if want := "10\n4.724409449\n20\n0.787401575\n"; !strings.Contains(inches.String(), want) || !strings.Contains(inches.String(), "$INSUNITS\n70\n1\n") {
		t.Errorf("the drawing in inches lacks %q", want)
	}
	if _, err := cutplan.ProveDrawing(inches.String(), p, measure.Millimetres); err == nil {
		t.Error("a drawing in inches passes for one in mm")
	}
	for name, text := range map[string]string{
		"drill mark":  strings.Replace(b.String(), "CIRCLE\n8\nMARK", "CIRCLE\n8\nLABEL", 1),
		"scribed":     strings.Replace(b.String(), "LINE\n8\nMARK", "LINE\n8\nLABEL", 1),
		"moved":       strings.Replace(b.String(), "11\n40.0\n21\n30.0", "11\n41.0\n21\n30.0", 1),
		"fold":        strings.Replace(b.String(), "8\nFOLD_UP\n10", "8\nFOLD_DOWN\n10", 1),
		"bow":         strings.Replace(b.String(), "42\n0.3\n", "42\n0.31\n", 1),
		"bead":        strings.Replace(b.String(), "10\n110.0\n20\n80.0", "10\n110.0\n20\n79.0", 1),
		"letters":     strings.Replace(b.String(), "gr\\U+00FCn", "grun", 1),
		"turned":      strings.Replace(b.String(), "50\n-53.130102", "50\n-53.0", 1),
		"end":         strings.Replace(b.String(), "11\n80.0\n21\n90.0", "11\n80.0\n21\n91.0", 1),
		"other place": strings.Replace(b.String(), "10\n60.0\n20\n60.0", "10\n61.0\n20\n60.0", 1),
	} {
		var e *cutplan.ProofError
		if _, err := cutplan.ProveDrawing(text, p, measure.Millimetres); text == b.String() || !errors.As(err, &e) {
			t.Errorf("%s: the proof passes: %v", name, err)
		}
	}
}
