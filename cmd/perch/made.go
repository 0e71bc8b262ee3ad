package main

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/reason"
	"perch/parts/measure"
)

// made tells what a part, a blank or a join came to at every size asked for: how many,
// how large, how heavy; what the length of a blank is made of, and what it moves with.
func (c *whyCmd) made(s *session, job family.Job, diags []diag.Diagnostic) error {
	if _, err := sizesOf(job.Program, c.Size); err != nil {
		return err
	}
	results, more := job.Results()
	for _, d := range append(diags, more...) {
		if d.Severity == diag.Error {
			return s.tell(append(diags, more...), c.JSON)
		}
	}
	answer := madeAnswer{Name: c.Name, Sizes: []madeSize{}}
	in := job.Program.Shown
	if !slices.ContainsFunc(results, func(r *build.Result) bool { return len(reason.Lines(r, c.Name)) > 0 }) {
		return fmt.Errorf("no size makes anything called %s", c.Name)
	}
	for _, r := range results {
		lines := reason.Lines(r, c.Name)
		if c.JSON {
			answer.add(r, c.Name)
			continue
		}
		if len(results) > 1 {
			fmt.Fprintf(s.out, "size %s\n", r.Size)
		}
		for _, l := range lines {
			fmt.Fprintln(s.out, l.In(in))
		}
		if len(lines) == 0 {
			fmt.Fprintln(s.out, "nothing of it is made")
		} else {
			c.moves(s, job, r)
		}
		if len(results) > 1 && r != results[len(results)-1] {
			fmt.Fprintln(s.out)
		}
	}
	if c.JSON {
		enc := json.NewEncoder(s.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		return enc.Encode(answer)
	}
	return nil
}

// moves prints what the flat size of a part moves with, where all its copies are alike.
func (c *whyCmd) moves(s *session, job family.Job, r *build.Result) {
	if d := job.Program.Root.Find(check.Values, c.Name); d == nil || d.Kind != check.Part || len(reason.Pieces(r.Assembly, c.Name)) != 1 {
		return
	}
	wanted, diags := reason.Want(job.Program, []string{"flat_long(" + c.Name + ")", "flat_wide(" + c.Name + ")"})
	if diag.HasErrors(diags) {
		return
	}
	t, diags := reason.Sensitivities(job.Program, r.Size, job.Shop, job.Settings, wanted)
	if diag.HasErrors(diags) {
		return
	}
	for i, what := range []string{"length", "width"} {
		var by []string
		for _, x := range t.At[len(t.At)-2+i] {
			if cell := slopeCell(x, job.Program.Shown); !strings.HasPrefix(cell, "0 ") && cell != "0" && cell != "–" {
				by = append(by, x.By+" "+cell)
			}
		}
		if by != nil {
			fmt.Fprintf(s.out, "its %s moves with %s\n", what, strings.Join(by, ", "))
		}
	}
}

type madeAnswer struct {
	Name  string     `json:"name"`
	Sizes []madeSize `json:"sizes"`
}

type madeSize struct {
	Size   string      `json:"size"`
	Pieces []pieceView `json:"pieces"`
	Rows   []rowView   `json:"rows"`
}

type pieceView struct {
	Blank    string     `json:"blank"`
	Copies   []string   `json:"copies"`
	Mirrored int        `json:"mirrored"`
	Mass     float64    `json:"mass_kg"` // of each
	Long     extentView `json:"long"`
	Wide     extentView `json:"wide"`
}

type extentView struct {
	Length float64       `json:"length_mm"`
	From   string        `json:"from"`
	To     string        `json:"to"`
	Row    []stretchView `json:"row"` // what adds up to it; empty where that does not lie in a row
}

type stretchView struct {
	Name   string  `json:"name"`
	Bend   bool    `json:"bend"`
	Length float64 `json:"length_mm"`
}

type rowView struct {
	Kind     string         `json:"kind"`
	Diameter float64        `json:"diameter_mm"`
	Grip     float64        `json:"grip_mm"`
	Count    int            `json:"count"`
	In       map[string]int `json:"in"` // by copy
}

func (a *madeAnswer) add(r *build.Result, name string) {
	out := madeSize{Size: r.Size, Pieces: []pieceView{}, Rows: []rowView{}}
	if r.Assembly != nil {
		for _, p := range reason.Pieces(r.Assembly, name) {
			out.Pieces = append(out.Pieces, pieceView{
				Blank: p.Blank.Name, Copies: p.Copies, Mirrored: p.Mirrored, Mass: p.Blank.Flat.Mass(),
				Long: extentOf(reason.ExtentOf(p.Blank.Flat, true)), Wide: extentOf(reason.ExtentOf(p.Blank.Flat, false))})
		}
		for _, row := range reason.Rows(r.Assembly, name) {
			v := rowView{Kind: row.Kind, Diameter: row.Diameter, Grip: row.Grip, Count: row.Count, In: map[string]int{}}
			for _, in := range row.In {
				v.In[in.Copy] = in.Count
			}
			out.Rows = append(out.Rows, v)
		}
	}
	a.Sizes = append(a.Sizes, out)
}

func extentOf(e reason.Extent) extentView {
	out := extentView{Length: e.Length, From: e.From, To: e.To, Row: []stretchView{}}
	for _, x := range e.Row {
		out.Row = append(out.Row, stretchView{x.Name, x.Bend, x.Length})
	}
	return out
}

// pieceNote tells on a line of a part how many of its copies a blank is for, where that
// is not all that is cut of it.
func pieceNote(p reason.Piece) string {
	if len(p.Copies) == p.Blank.Count {
		return ""
	}
	return measure.Say(", %d of them for %s", len(p.Copies), strings.Join(p.Copies, ", ")).String()
}
