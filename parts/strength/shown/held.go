package shown

import (
	"perch/parts/measure"
	"perch/parts/strength"
)

// held are the lines that tell what a piece hangs by, and how much each place carries.
func held(all []strength.Hold) (lines []measure.Text) {
	if len(all) == 0 {
		return nil
	}
	if all[0].Leans {
		lines = append(lines, measure.Plain("it hangs, and leans on a flat wall that presses and never pulls; what its screws hold in there is not told"))
	} else {
		lines = append(lines, measure.Plain("it hangs by its rims alone: metal lies on both sides of what is held, so no wall is taken"))
	}
	for i, h := range all {
		name := h.Name
		if len(all) > 1 {
			name = measure.Say("%s, hole %d", name, i+1).String()
		}
		way, out := "out of the wall", h.Out
		if !h.Leans {
			way = "along the hole"
		}
		if out < 0 {
			way, out = "inward", -out
		}
		lines = append(lines, measure.Say("%s carries %.3g %s and %.3g across", name, measure.Force(out), way, measure.Force(h.Across)))
	}
	return lines
}

// fileHold is a place that a piece hangs by as the record has it.
type fileHold struct {
	By     string  `json:"by"`
	Out    float64 `json:"out_n"`
	Across float64 `json:"across_n"`
}

func holds(all []strength.Hold) (out []fileHold) {
	for _, h := range all {
		out = append(out, fileHold{h.Name, cut(h.Out, 1), cut(h.Across, 1)})
	}
	return out
}
