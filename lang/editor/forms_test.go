package editor

import (
	"strings"
	"testing"

	"perch/lang/quantity"
)

// What completion proposes is written in the design's units, in round numbers of either.
func TestFormsInUnits(t *testing.T) {
	seen := 0
	for _, f := range forms {
		if got := f.written(quantity.Millimetres); got != f.snippet {
			t.Errorf("%s: %s in millimetres", f.word, got)
		}
		got := f.written(quantity.Inches)
		if strings.Contains(got, "mm") {
			t.Errorf("%s: %s", f.word, got)
		}
		if got != f.snippet {
			seen++
		}
		switch f.word {
		case "param":
			if !strings.Contains(got, "${3:4in}..${4:35-1/2in} = ${5:12in}") {
				t.Error(got)
			}
		case "join":
			if !strings.Contains(got, "rivet(3/16in, count: 2)") {
				t.Error(got)
			}
		}
	}
	if seen < 5 {
		t.Errorf("only %d forms propose lengths", seen)
	}
}
