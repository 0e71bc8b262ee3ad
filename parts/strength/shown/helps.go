package shown

import (
	"fmt"
	"math"
	"strings"

	"perch/parts/measure"
	"perch/parts/strength"
)

// helps are the lines that tell what one change at a time is worth.
func helps(r *strength.Report) (lines []measure.Text) {
	if !r.Tried {
		return nil
	}
	say := func(format string, args ...any) { lines = append(lines, measure.Say(format, args...)) }
	say("what helps, one change at a time: from rigid joints to loose ones, with what the triangles do by themselves on either side")
	wide := 0
	for _, h := range r.Helps {
		if h.Worth != nil {
			wide = max(wide, len(h.Change))
		}
	}
	var none []strength.Help
	for _, h := range r.Helps {
		if h.Worth == nil {
			none = append(none, h)
			continue
		}
		weighs := measure.Say("%s %.2f", sign(h.Mass), measure.Mass(math.Abs(h.Mass)))
		if math.Abs(h.Mass) < 0.005 {
			weighs = measure.Plain("weighs the same")
		}
		for i, w := range h.Worth {
			name := h.Change
			if i > 0 {
				name, weighs = "", measure.Text{}
			}
			label := ""
			if len(r.Estimates) > 1 {
				label = w.Case + ": "
			}
			say("  %-*s  %s%s; %s", wide, name, label, worth(w), weighs)
		}
	}
	for _, h := range none {
		say("  %s comes to nothing: %s", h.Change, h.Why)
	}
	if r.Untried > 0 {
		say("  %d more changes were not tried", r.Untried)
	}
	return lines
}

func sign(v float64) string {
	if v < 0 {
		return "−"
	}
	return "+"
}

func worth(w strength.Worth) string {
	var all []string
	add := func(what string, s strength.Shift) {
		if s.Told() {
			all = append(all, what+" "+part(s))
		}
	}
	switch {
	case w.Folds:
		return "it does not stand: the least push sideways folds it under the load"
	case w.Stands:
		return "it stands, where without the change the least push sideways folds it"
	}
	add("sag", w.Sag)
	if w.Racking.Told() {
		add("stiffness sideways", w.Racking)
	} else {
		add("sway", w.Sway)
	}
	return strings.Join(all, ", ")
}

// part is how far something is moved: nothing where that is not plain.
func part(s strength.Shift) string {
	if !s.Plain() {
		return fmt.Sprintf("no plain change (%s to %s)", percentage(s.Part[0]), percentage(s.Part[1]))
	}
	return fmt.Sprintf("%s to %s", percentage(s.Part[0]), percentage(s.Part[1]))
}

func percentage(part float64) string {
	if part > 2 {
		return fmt.Sprintf("%.1f times as much", 1+part)
	}
	v := math.Round(100 * part)
	if v == 0 {
		return "0 %"
	}
	return fmt.Sprintf("%s%.0f %%", sign(v), math.Abs(v))
}

// fileHelp is a change as the record has it.
type fileHelp struct {
	Change string      `json:"change"`
	Mass   float64     `json:"mass_kg"`
	Loads  []fileWorth `json:"loads,omitempty"`
	Why    string      `json:"problem,omitempty"`
}

type fileWorth struct {
	Name    string     `json:"name"`
	Sag     *fileShift `json:"sag_mm,omitempty"`
	Sway    *fileShift `json:"sway_mm,omitempty"`
	Racking *fileShift `json:"racking_n_per_mm,omitempty"`
	Folds   bool       `json:"folds,omitempty"`
	Stands  bool       `json:"stands,omitempty"`
}

// fileShift is a quantity with rigid and loose joints, as it is and changed, and the part
// of it that the change makes, from and to.
type fileShift struct {
	From [2]float64 `json:"is"`
	To   [2]float64 `json:"with"`
	Part [2]float64 `json:"part"`
}

func fileHelps(r *strength.Report) (all []fileHelp) {
	for _, h := range r.Helps {
		f := fileHelp{Change: h.Change, Mass: cut(h.Mass, 4), Why: h.Why}
		for _, w := range h.Worth {
			f.Loads = append(f.Loads, fileWorth{w.Case, shift(w.Sag), shift(w.Sway), shift(w.Racking), w.Folds, w.Stands})
		}
		all = append(all, f)
	}
	return all
}

func shift(s strength.Shift) *fileShift {
	if !s.Told() {
		return nil
	}
	return &fileShift{[2]float64{cut(s.From[0], 3), cut(s.From[1], 3)}, [2]float64{cut(s.To[0], 3), cut(s.To[1], 3)}, *pair(s.Part)}
}
