package sheet

import (
	"fmt"
	"strconv"
	"strings"

	"perch/lang/diag"
	"perch/parts/nest"
)

// Lay is how the blanks of one name may lie on a sheet, whatever the job says of all.
type Lay struct {
	Blank  string
	Steps  float64 // rotation step in degrees; 0: not turned, below 0: the job's
	Grain  bool    // they keep their direction along the sheet
	Mirror bool    // they may be turned over
}

// ParseLays reads BLANK=HOW, each HOW a step in degrees and the words grain and mirror,
// with commas between.
func ParseLays(texts []string) ([]Lay, []diag.Diagnostic) {
	var out []Lay
	var diags []diag.Diagnostic
	for _, text := range texts {
		name, how, ok := cutLast(text, "=")
		l := Lay{Blank: name, Steps: -1}
		ok = ok && name != "" && how != ""
		for word := range strings.SplitSeq(how, ",") {
			switch word = strings.TrimSpace(word); word {
			case "grain":
				l.Grain = true
			case "mirror":
				l.Mirror = true
			default:
				step, err := strconv.ParseFloat(word, 64)
				ok = ok && err == nil && (step == 0 || step >= leastStep && step <= 360)
				l.Steps = step
			}
		}
		if !ok {
			diags = append(diags, mistake("P8001", fmt.Sprintf("--lay %s: it is no blank and how it may lie", text),
				"write BLANK=HOW: a step in degrees, 0 or from 1 to 360, and the words grain and mirror, as in cap=180,grain"))
			continue
		}
		out = append(out, l)
	}
	return out, diags
}

// lay lets the blanks lie as they are told one by one; a name that no blank has is a
// mistake.
func (n Nesting) lay(w *worklist) *diag.Diagnostic {
	for _, l := range n.Lays {
		found := false
		for i := range w.Blanks {
			b := &w.Blanks[i]
			if b.Name != l.Blank {
				continue
			}
			found = true
			b.Grain, b.Mirror = l.Grain, l.Mirror
			if l.Steps >= 0 {
				b.Rotations = nest.Steps(l.Steps)
			}
		}
		if !found {
			d := mistake("P8001", fmt.Sprintf("there is no blank %s to lay", l.Blank), orElse(l.Blank, w.names(), "the job's blanks are "+diag.List(w.names()))...)
			return &d
		}
	}
	return nil
}
