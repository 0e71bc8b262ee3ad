package record_test

import (
	"bytes"
	"encoding/json"
	"math"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"perch/parts/foldmark"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/record"
	"perch/parts/record/stool"
	"perch/parts/shop"
)

// However a shop tells its folds, the record lists each mark, by its schema, and outline,
// faces, folds, size, area and mass are the same to the last figure.
func TestNicksChangeNoMeasure(t *testing.T) {
	plain := stoolRecord(t, func(b *shop.Brake) { b.Marks = shop.MarksNone })
	kinds := map[string]int{}
	for _, marks := range []string{shop.MarksNicks, shop.MarksPunch, shop.MarksScribe} {
		got := stoolRecord(t, func(b *shop.Brake) { b.Marks = marks })
		for i := range got.Blanks {
			b := &got.Blanks[i]
			for _, n := range b.Nicks {
				kinds[n.Kind]++
				if (n.Kind == "nick") != (n.Depth > 0 && len(n.Vee) == 3) || (n.Kind == "scribe") != (n.To != nil) {
					t.Errorf("%s: %+v", b.Name, n)
				}
			}
			b.Nicks = nil
		}
		for i := range plain.Blanks {
			plain.Blanks[i].Nicks = nil
		}
		was, err := json.Marshal(plain)
		is, err2 := json.Marshal(got)
		if err != nil || err2 != nil || !bytes.Equal(was, is) {
			t.Errorf("%s: the record differs beside its nicks", marks)
		}
	}
	if kinds["nick"] == 0 || kinds["punch"] != kinds["nick"] || kinds["scribe"] == 0 {
		t.Errorf("marks %v", kinds)
	}
}

// From outline and nicks another program has the outline that is cut: each V is cut off it.
func TestOutlineThatIsCutFollowsFromTheRecord(t *testing.T) {
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	rec := stoolRecord(t, func(*shop.Brake) {})
	for i, b := range a.Blanks {
		foldmark.Mark(b, shop.Default(), nil)
		outer := plane.Loop{}
		for _, v := range rec.Blanks[i].Outer {
			outer = append(outer, plane.Vertex{P: plane.Point{X: v[0], Y: v[1]}, Bulge: v[2]})
		}
		want := plane.Region{outer}
		for _, n := range rec.Blanks[i].Nicks {
			if n.Kind != "nick" {
				continue
			}
			var l plane.Loop
			for _, p := range n.Vee {
				l = append(l, plane.Vertex{P: plane.Point{X: p[0], Y: p[1]}})
			}
			// What lies beyond the straight line between its mouths goes too, where the edge bends there.
			mid := l[0].P.Lerp(l[2].P, 0.5)
			out := mid.Add(mid.Sub(l[1].P).Unit())
			l = plane.Loop{l[1], l[0], {P: out}, l[2]}
			want = plane.Subtract(want, plane.Region{l})
		}
		if off := math.Abs(want.Area() - b.Contour().Area()); off > 1e-3 {
			t.Errorf("%s: %.6f mm² between the record's outline and the one that is cut", b.Name, off)
		}
	}
}

// stoolRecord is the record of a stool whose folds are marked in a shop with another brake,
// read back, which meets its schema.
func stoolRecord(t *testing.T, change func(b *shop.Brake)) *record.File {
	t.Helper()
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	s := shop.Default()
	change(&s.Brake)
	for _, b := range a.Blanks {
		foldmark.Mark(b, s, nil)
		if len(b.Flat.Folds) > 0 {
			b.FoldMarks = append(b.FoldMarks, panel.FoldMark{Kind: panel.Unmarked, At: b.Flat.Folds[0].From})
		}
	}
	text := write(t, a)
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	if err := schema(t).Validate(doc); err != nil {
		t.Fatal(err)
	}
	var f record.File
	if err := json.Unmarshal(text, &f); err != nil {
		t.Fatal(err)
	}
	return &f
}
