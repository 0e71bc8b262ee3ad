package cutplan_test

import (
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"perch/parts/cutplan"
	"perch/parts/measure"
)

func TestPictureLabelsAndEstimate(t *testing.T) {
	s := nested(t)
	p, err := cutplan.New(s, options)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := cutplan.Picture(p, cutplan.Caption{Title: "sheet"}).SVG(&b); err != nil {
		t.Fatal(err)
	}
	texts := map[string]bool{}
	d := xml.NewDecoder(&b)
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if e, ok := tok.(xml.CharData); ok {
			texts[strings.TrimSpace(string(e))] = true
		}
	}
	// 24 pierces and 9 blanks, the sheet's size, the frame in the list.
	for n := range 24 {
		if !texts[strconv.Itoa(n+1)] {
			t.Errorf("no pierce %d on the picture", n+1)
		}
	}
	for _, want := range []string{"1000", "500", "1  frame"} {
		if !texts[want] {
			t.Errorf("the picture says %v, not %s", texts, want)
		}
	}
	b.Reset()
	if err := cutplan.Labels(&b, p, measure.Millimetres); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(rows) != 10 {
		t.Errorf("%d rows for 9 blanks: %v", len(rows), err)
	}
	inInches(t, rows, 4, func(w io.Writer) error { return cutplan.Labels(w, p, measure.Inches) })
	b.Reset()
	if err := cutplan.Pierces(&b, p, measure.Millimetres); err != nil {
		t.Fatal(err)
	}
	if rows, err = csv.NewReader(&b).ReadAll(); err != nil || len(rows) != 25 {
		t.Fatalf("%d rows for 24 pierces: %v", len(rows), err)
	}
	inInches(t, rows, 5, func(w io.Writer) error { return cutplan.Pierces(w, p, measure.Inches) })
	e, err := cutplan.Measure(p, profile(t, profileText))
	if err != nil {
		t.Fatal(err)
	}
	// At least all cuts at full feed and the delays; a third more for slow holes at most.
	least := p.Length/3000*60 + 24*0.4 + p.Travel/6000*60
	if e.Pierces != 24 || e.Seconds < least || e.Seconds > 1.3*least || e.Machine <= 0 {
		t.Errorf("%+v, least %g s", e, least)
	}
	if q := p.Only(1); len(q.Cuts) == 0 || len(q.Cuts) >= len(p.Cuts) {
		t.Errorf("%d cuts for one blank", len(q.Cuts))
	}
	if q := p.Starting(5); len(q.Cuts) != len(p.Cuts)-4 || q.Cuts[0].Start() != p.Cuts[4].Start() {
		t.Error("starting from pierce 5 does not")
	}
}

// inInches holds a list written in inches to the same in mm: its lengths, from a column
// on, say their unit and are 25.4 times smaller, all else is the same.
func inInches(t *testing.T, mm [][]string, from int, write func(io.Writer) error) {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(rows) != len(mm) {
		t.Fatalf("%d rows of %d: %v", len(rows), len(mm), err)
	}
	lengths := 0
	for col, head := range mm[0] {
		name, length := strings.CutSuffix(head, "_mm")
		if !length {
			continue
		}
		lengths++
		if rows[0][col] != name+"_in" || col < from {
			t.Errorf("column %d is %s, in mm %s", col, rows[0][col], head)
		}
		for i := range rows[1:] {
			x, err1 := strconv.ParseFloat(rows[i+1][col], 64)
			y, err2 := strconv.ParseFloat(mm[i+1][col], 64)
			if err1 != nil || err2 != nil || math.Abs(x*25.4-y) > 0.002 || x == y && x != 0 {
				t.Errorf("%s is %s in and %s mm", name, rows[i+1][col], mm[i+1][col])
			}
		}
	}
	if lengths < 2 {
		t.Errorf("%d columns are lengths", lengths)
	}
}
