package shown

import (
	"encoding/json"
	"io"
	"math"

	"perch/parts/panel"
	"perch/parts/strength"
)

// fileLoad is a case as the record has it.
type fileLoad struct {
	Name     string      `json:"name"`
	Assumed  bool        `json:"assumed,omitempty"`
	Line     string      `json:"line,omitempty"` // by which the design could state it
	Sag      *[2]float64 `json:"sag_mm,omitempty"`
	Sway     *[2]float64 `json:"sway_mm,omitempty"`
	Racking  *[2]float64 `json:"racking_n_per_mm,omitempty"`
	Folds    bool        `json:"folds,omitempty"`
	Used     *float64    `json:"used,omitempty"`
	UsedAt   *[3]float64 `json:"used_at,omitempty"`
	UsedBy   string      `json:"used_on,omitempty"`
	Dented   float64     `json:"dented,omitempty"`
	Fastener *float64    `json:"rivet_used,omitempty"`
	Weakest  string      `json:"rivet,omitempty"`
	Tips     *float64    `json:"tips"`               // null for never
	Buckling *float64    `json:"buckling,omitempty"` // left out for never
	Rough    *float64    `json:"rough,omitempty"`
	Feet     []fileFoot  `json:"feet,omitempty"`
	Held     bool        `json:"feet_held,omitempty"`
	Hangs    []fileHold  `json:"hangs,omitempty"`
	Problem  string      `json:"problem,omitempty"`
}

type fileFoot struct {
	Copy  string  `json:"copy"`
	Force float64 `json:"n"`
}

// WriteJSON writes a size's estimates for programs, in millimetres, newtons and parts of one.
func WriteJSON(w io.Writer, a *panel.Assembly, r *strength.Report) error {
	f := struct {
		Format   string     `json:"format"`
		Version  int        `json:"version"`
		Design   string     `json:"design"`
		Size     string     `json:"size"`
		Estimate string     `json:"estimate"`
		Side     float64    `json:"side_mm"`
		Nodes    int        `json:"nodes"`
		Loads    []fileLoad `json:"loads"`
		Helps    []fileHelp `json:"helps,omitempty"`
	}{"perch-strength", 1, a.Design, a.Size, Estimate, cut(r.Side, 3), r.Nodes, []fileLoad{}, fileHelps(r)}
	for i := range r.Estimates {
		f.Loads = append(f.Loads, load(&r.Estimates[i]))
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(f)
}

func load(e *strength.Estimate) (l fileLoad) {
	l.Name, l.Assumed, l.Line = e.Case.Name, e.Case.Assumed, e.Case.Line
	l.Tips = finite(e.Tips)
	if e.Problem != nil {
		l.Problem = Problem(e.Problem)
		return l
	}
	l.Sag, l.Sway = pair(e.Sag), pair(e.Sway)
	if e.Racking[1] > 0 {
		l.Racking = pair(e.Racking)
	}
	l.Folds = e.Folds
	l.Used, l.UsedBy = finite(e.Used), e.UsedBy
	l.UsedAt = &[3]float64{cut(e.UsedAt.X, 3), cut(e.UsedAt.Y, 3), cut(e.UsedAt.Z, 3)}
	l.Dented, l.Held = cut(e.Dented, 4), e.Stuck
	if e.Weakest != "" {
		l.Fastener, l.Weakest = finite(e.Fastener), e.Weakest
	}
	l.Buckling, l.Rough = finite(e.Buckling), finite(e.Rough)
	l.Hangs = holds(e.Held)
	for _, foot := range e.Feet {
		l.Feet = append(l.Feet, fileFoot{foot.Copy, cut(foot.Force, 1)})
	}
	return l
}

func pair(b strength.Band) *[2]float64 { return &[2]float64{cut(b[0], 4), cut(b[1], 4)} }

func finite(v float64) *float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return nil
	}
	v = cut(v, 4)
	return &v
}

// cut keeps so many decimals: what is beyond is no part of an estimate.
func cut(v float64, digits int) float64 {
	k := 1.0
	for range digits {
		k *= 10
	}
	return math.Round(v*k) / k
}
