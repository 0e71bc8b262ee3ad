package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"text/tabwriter"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/quantity"
	"perch/lang/reason"
	"perch/parts/measure"
)

// sensitivity shows how everything moves with every stated value, size by size.
func (c *showCmd) sensitivity(s *session, job family.Job, diags []diag.Diagnostic) error {
	sizes, err := sizesOf(job.Program, c.Size)
	if err != nil {
		return err
	}
	wanted, more := reason.Want(job.Program, reason.Measured(job.Program))
	diags = append(diags, more...)
	answer := slopesAnswer{Sizes: []slopesSize{}}
	for _, size := range sizes {
		t, more := reason.Sensitivities(job.Program, size, job.Shop, job.Settings, wanted)
		diags = append(diags, more...)
		if diag.HasErrors(more) {
			continue
		}
		if c.JSON {
			answer.add(t)
		} else {
			printSlopes(s.out, t, job.Program.Shown)
		}
	}
	if c.JSON {
		enc := json.NewEncoder(s.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		if err := enc.Encode(answer); err != nil {
			return err
		}
	}
	return s.tell(diags, false)
}

type slopesAnswer struct {
	Sizes []slopesSize `json:"sizes"`
}

type slopesSize struct {
	Size   string      `json:"size"`
	Slopes []slopeView `json:"slopes"`
}

type slopeView struct {
	Of    string   `json:"of"`
	By    string   `json:"by"`
	Value *float64 `json:"value"` // null where there is none
	Error float64  `json:"error"`
	Exact bool     `json:"exact"`
	Unit  string   `json:"unit"`
}

func (a *slopesAnswer) add(t reason.Slopes) {
	out := slopesSize{Size: t.Size, Slopes: []slopeView{}}
	for _, row := range t.At {
		for _, x := range row {
			v := slopeView{Of: x.Of, By: x.By, Exact: x.Exact, Unit: x.Unit}
			if !math.IsNaN(x.Value) {
				v.Value, v.Error = &x.Value, x.Error
			}
			out.Slopes = append(out.Slopes, v)
		}
	}
	a.Sizes = append(a.Sizes, out)
}

// printSlopes prints one size: a line for each value, a column for each stated
// name.
func printSlopes(w io.Writer, t reason.Slopes, in measure.System) {
	fmt.Fprintf(w, "size %s: change of each line's value for a change of each column's\n", t.Size)
	tab := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, by := range t.By {
		fmt.Fprintf(tab, "\t%s", by)
	}
	fmt.Fprintln(tab)
	for i, of := range t.Of {
		fmt.Fprint(tab, of)
		for _, x := range t.At[i] {
			fmt.Fprintf(tab, "\t%s", slopeCell(x, in))
		}
		fmt.Fprintln(tab)
	}
	tab.Flush()
	fmt.Fprintln(w)
}

// slopeCell writes a slope, with its error where that can be seen.
func slopeCell(x reason.Slope, in measure.System) string {
	if math.IsNaN(x.Value) {
		return "–"
	}
	x.Error, _ = quantity.FromRecord(x.Error, x.Unit, in)
	x.Value, x.Unit = quantity.FromRecord(x.Value, x.Unit, in)
	text := fmt.Sprintf("%.4g", x.Value)
	if math.Abs(x.Value) < 1e-9 || math.Abs(x.Value) < 2*x.Error {
		text = "0"
	}
	if x.Error > 1e-4*math.Max(math.Abs(x.Value), 1e-6) {
		text += fmt.Sprintf(" ±%.1g", x.Error)
	}
	if text == "0" || x.Unit == "" {
		return text
	}
	return text + " " + x.Unit
}
