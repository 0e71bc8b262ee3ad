package shop

import (
	"fmt"

	"perch/parts/bend"
)

// Table is what a cutting table's controller wants to read and what its time costs:
// the [table] of a shop file, or a file of its own. Lengths are mm, feeds mm a
// minute, whatever unit the program is in.
type Table struct {
	Name        string
	Unit        string   // of the program: mm or in
	Header      []string // lines ahead of the first cut
	Footer      []string
	On          string  // lights the torch
	Off         string  // puts it out
	Arcs        bool    // the controller reads G2 and G3; else segments
	Chord       float64 // how far a segment may leave its arc; 0: 0.005
	Blend       float64 // how far corners may be rounded, where the controller takes a P behind G64; 0: no P
	LineNumbers int     // step; 0 none
	Slow        float64 // feed of small holes, as a fraction; 0: 0.6
	Rapid       float64 // speed with the torch out
	Hour        float64 // price of an hour
	Pierce      float64 // price of what a pierce wears
	Metre       float64 // price of what a metre of cut wears
	Feeds       []Feed

	MarkOn, MarkOff string  // start and end a marked line; "" where the table cannot mark
	MarkFeed        float64 // how fast it marks
	MarkFolds       bool    // the middles of bends are marked too
}

// Feed is how fast a sheet is cut.
type Feed struct {
	Material  string // "" any
	Thickness float64
	Feed      float64 // mm/min
	Delay     float64 // from torch on until the cut moves, s
}

// LoadTable reads a table profile in a file of its own: the words of a shop file's
// [table] at the top, its feeds as [[feed]], lengths in mm. Errors are FileErrors.
func LoadTable(text string) (*Table, error) {
	r, top, err := openFile(text)
	if err != nil {
		return nil, err
	}
	out := readProfile(top)
	top.done()
	if err := r.sorted(); err != nil {
		return nil, err
	}
	return out, nil
}

func readProfile(t *fileTable) *Table {
	out := &Table{Unit: "mm", Arcs: true}
	t.need("torch_on", "torch_off")
	t.text("name", &out.Name)
	t.choice("unit", &out.Unit, "mm", "in")
	t.lines("header", &out.Header)
	t.lines("footer", &out.Footer)
	t.text("torch_on", &out.On)
	t.text("torch_off", &out.Off)
	t.flag("arcs", &out.Arcs)
	t.length("chord", &out.Chord, 0, 1)
	t.length("blend", &out.Blend, 0, 10)
	var step float64
	t.number("line_numbers", &step, 0, 1000)
	out.LineNumbers = int(step)
	t.number("slow", &out.Slow, 0, 1)
	t.length("rapid", &out.Rapid, 0, 1e6)
	t.number("hour", &out.Hour, 0, 1e6)
	t.number("pierce", &out.Pierce, 0, 1e6)
	t.number("metre", &out.Metre, 0, 1e6)
	out.readMarking(t)
	t.each("feed", func(t *fileTable) {
		var f Feed
		t.need("thickness", "feed")
		t.text("material", &f.Material)
		t.length("thickness", &f.Thickness, 0.1, bend.MaxThickness)
		t.length("feed", &f.Feed, 1, 1e6)
		t.number("delay", &f.Delay, 0, 60)
		out.Feeds = append(out.Feeds, f)
	})
	return out
}

// readMarking reads what a table marks with: its words go together.
func (out *Table) readMarking(t *fileTable) {
	t.text("mark_on", &out.MarkOn)
	t.text("mark_off", &out.MarkOff)
	t.length("mark_feed", &out.MarkFeed, 1, 1e6)
	t.flag("mark_folds", &out.MarkFolds)
	if t.has("mark_on") || t.has("mark_off") || t.has("mark_feed") || t.has("mark_folds") {
		t.need("mark_on", "mark_off", "mark_feed")
	}
	if out.MarkOn != "" && (out.MarkOn == out.On || out.MarkOn == out.Off) {
		t.fail(t.pathOf("mark_on"), "must not be what the torch is told: what is marked would be cut")
	}
}

// lines reads a list of texts, each one line.
func (t *fileTable) lines(key string, to *[]string) {
	v, ok := t.take(key)
	if !ok {
		return
	}
	list, ok := v.([]any)
	if !ok || len(list) > maxList {
		t.fail(t.pathOf(key), "must be a list of up to %d texts", maxList)
		return
	}
	for i, item := range list {
		path := fmt.Sprintf("%s[%d]", t.pathOf(key), i+1)
		if s, ok := t.line(path, item); ok {
			*to = append(*to, s)
		}
	}
}
