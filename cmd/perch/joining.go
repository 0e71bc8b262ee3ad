package main

import (
	"encoding/json"
	"fmt"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/parts/joining"
	"perch/parts/measure"
	"perch/parts/record"
)

// joiningView is how one size is put together.
type joiningView struct {
	Size  string               `json:"size"`
	Lines []joiningLine        `json:"lines"`
	Fetch []record.HardwareRow `json:"fetch"`  // lengths in mm
	Bores []boreView           `json:"drills"` // as well
}

// boreView is a drill to fetch.
type boreView struct {
	Hole  float64 `json:"hole"`  // diameter
	Drill float64 `json:"drill"` // of the shop's the nearest
	Count int     `json:"count"` // holes of a whole piece
}

type joiningLine struct {
	Step int    `json:"step"` // 0 before and behind the steps
	Text string `json:"text"`
}

// joining prints how every size is put together.
func (c *showCmd) joining(s *session, job family.Job, results []*build.Result, errs []diag.Diagnostic) error {
	var views []joiningView
	for _, r := range results {
		if r == nil || r.Assembly == nil {
			continue
		}
		in := r.Program().Shown
		v := joiningView{Size: r.Size, Fetch: record.Hardware(r.Assembly), Lines: []joiningLine{}, Bores: []boreView{}}
		plan := joining.New(r.Assembly, job.Shop)
		for _, b := range plan.Bores(r.Assembly) {
			drill, _ := job.Shop.Drill.Nearest(b.Diameter)
			v.Bores = append(v.Bores, boreView{b.Diameter, drill, b.Count})
		}
		for _, l := range plan.Words(r.Assembly) {
			v.Lines = append(v.Lines, joiningLine{l.Step, l.Text.In(in)})
		}
		views = append(views, v)
		if !c.JSON {
			v.print(s, in)
		}
	}
	if c.JSON {
		enc := json.NewEncoder(s.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		if err := enc.Encode(views); err != nil {
			return err
		}
	}
	return s.tell(errs, false)
}

func (v joiningView) print(s *session, in measure.System) {
	fmt.Fprintf(s.out, "size %s\n", v.Size)
	for _, f := range v.Fetch {
		fmt.Fprintf(s.out, "  fetch: %s\n", f.Text().In(in))
	}
	for _, b := range v.Bores {
		fmt.Fprintf(s.out, "  fetch: %s\n", measure.Say("a drill of %.3g for %s of %.3g", measure.Nominal(b.Drill), measure.Counted(b.Count, "hole"), measure.Nominal(b.Hole)).In(in))
	}
	last := 0
	for _, l := range v.Lines {
		switch {
		case l.Step == 0:
			fmt.Fprintf(s.out, "  %s\n", l.Text)
		case l.Step != last:
			fmt.Fprintf(s.out, "%3d. %s\n", l.Step, l.Text)
		default:
			fmt.Fprintf(s.out, "     %s\n", l.Text)
		}
		last = l.Step
	}
	fmt.Fprintln(s.out)
}
