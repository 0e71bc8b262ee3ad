package cutplan_test

import (
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"io"
	"strconv"
	"strings"
	"testing"

	"perch/parts/cutplan"
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
	if err := cutplan.Labels(&b, p); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(rows) != 10 {
		t.Errorf("%d rows for 9 blanks: %v", len(rows), err)
	}
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
