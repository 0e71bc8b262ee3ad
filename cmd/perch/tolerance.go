package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/parts/measure"
	"perch/parts/shop"
	"perch/parts/tolerance"
)

// tolerance prints, size by size, which hole is made when and what real metal is off.
func (c *checkCmd) tolerance(s *session, job family.Job, diags []diag.Diagnostic) error {
	results, more := job.Results()
	diags = append(append(noted(job, diags), job.Program.Unused()...), more...)
	answer := toleranceAnswer{Sizes: []tolerance.View{}}
	for _, r := range results {
		if r != nil && r.Assembly != nil {
			answer.Sizes = append(answer.Sizes, tolerance.NewView(r.Assembly, job.Shop))
		}
	}
	if diag.HasErrors(diags) {
		return s.tell(diags, false)
	}
	if c.JSON {
		enc := json.NewEncoder(s.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		if err := enc.Encode(answer); err != nil {
			return err
		}
		return s.tell(diags, false)
	}
	if err := s.tell(diags, false); err != nil {
		return err
	}
	for i, v := range answer.Sizes {
		if i > 0 {
			fmt.Fprintln(s.out)
		}
		printTolerance(s.out, v, job.Program.Shown, job.Shop.Tolerance)
	}
	return nil
}

type toleranceAnswer struct {
	Sizes []tolerance.View `json:"sizes"`
}

// printTolerance writes one size for a person who reads a system of units.
func printTolerance(w io.Writer, v tolerance.View, in measure.System, by shop.Tolerance) {
	length := func(mm float64) string { return measure.Say("%.2f", measure.Length(mm)).In(in) }
	or := func(is bool, text string) string {
		if is {
			return text
		}
		return "–"
	}
	p := v.PlusMinus
	fmt.Fprintf(w, "size %s: bends are off by ±%.3g°, their lines by ±%s, drilled holes by ±%s, cut ones by ±%s (95 of 100)\n", v.Size, p.Angle, length(p.Line), length(p.Drilled), length(p.Cut))
	switch {
	case v.Unknown != "":
		fmt.Fprintf(w, "what that comes to is not worked out: %s\n", v.Unknown)
		return
	case p.None():
		fmt.Fprintln(w, "this shop's metal is never off, so that any hole may be made at any time: no real shop's is; leave [tolerance] and the cutter's tolerance out, or measure yours")
	}
	if len(v.Joins) == 0 {
		fmt.Fprintln(w, "no fastener goes through two holes")
		printFeet(w, v, length)
		return
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "join\tby\tinner holes\tin the flat\tlocate\tin place\toff by\troom\tpin\tland off by")
	for _, j := range v.Joins {
		made := j.Before+j.Locate > 0
		fmt.Fprintf(t, "%s\t%s\t%d\t%d\t%d\t%d\t%s\t%s\t%s\t%s\n", j.Join, j.Kind, j.Before+j.Locate+j.InPlace, j.Before, j.Locate, j.InPlace,
			or(made, length(j.Misfit)), or(made, length(j.Room)), or(j.Locate > 0, fmt.Sprintf("%.0f N%s", j.Force, tolerance.PinTool(j.Force, by))), or(j.InPlace > 0, length(j.Lands)))
	}
	t.Flush()
	fmt.Fprintln(w, "every outer sheet's hole is made in the flat, before bending; it guides the drill where the inner one is drilled in place, parts clamped: clamp, drill through, fasten, next")
	printWhy(w, v, by)
	for _, t := range v.Tacks {
		fmt.Fprintf(w, "%s on %s: tack beside %s\n", t.Inner, t.Outer, strings.Join(t.Beside, " and "))
	}
	if len(v.Tacks) > 0 {
		fmt.Fprintln(w, "tacks: opposite ends first; eyes, skin, fume, and zinc stripped where the sheet is coated")
	}
	printFirst(w, v)
	fmt.Fprintf(w, "all fasteners whose holes are made in the flat go in: in %s of 100 builds\n", tolerance.TogetherText(v.Together))
	printFeet(w, v, length)
	fmt.Fprintln(w, "numbers are estimates by a model of springs: put the first piece together before a batch; clamp what is drilled, no gloves at a turning drill, glasses")
}

// printWhy tells of the joins of which something is to be said beside the numbers.
func printWhy(w io.Writer, v tolerance.View, by shop.Tolerance) {
	var roomy, tacked, laid []string
	for _, j := range v.Joins {
		switch {
		case j.Kind == "bolt" && j.Matched == shop.MatchedAuto && j.InPlace+j.Locate == 0:
			roomy = append(roomy, j.Join)
		case j.InPlace > 0 && j.Located == shop.LocatedTacks:
			tacked = append(tacked, j.Join)
		case j.InPlace > 0 && j.Locate == 0 && j.Located == shop.LocatedHoles && j.Matched == shop.MatchedAuto:
			laid = append(laid, j.Join)
		}
	}
	for _, g := range []struct {
		joins []string
		said  string
	}{
		{roomy, "the bolts have room enough for all holes to be made in the flat"},
		{tacked, "tack the parts together first, then drill"},
		{laid, fmt.Sprintf("no hole locates these parts: a pin would take more than a hand's %.0f N, for faces that lie on each other place them already. Lay each part in by its faces, edges and marks, clamp it, drill and fasten one hole, then the next; or have tacks hold them first (located: tacks)", by.Hand)},
	} {
		if len(g.joins) > 0 {
			fmt.Fprintf(w, "%s: %s\n", strings.Join(g.joins, ", "), g.said)
		}
	}
}

// printFirst tells which hole of two parts is drilled first, pairs of the same blanks at once.
func printFirst(w io.Writer, v tolerance.View) {
	type pair struct{ inner, outer string }
	points := map[pair][]string{}
	var order []pair
	for _, f := range v.First {
		p := pair{f.Inner, f.Outer}
		if points[p] == nil {
			order = append(order, p)
		}
		points[p] = append(points[p], f.Point)
	}
	for _, p := range order {
		fmt.Fprintf(w, "%s on %s: drill %s first\n", p.inner, p.outer, strings.Join(points[p], " or "))
	}
}

func printFeet(w io.Writer, v tolerance.View, length func(float64) string) {
	switch f := v.Feet; {
	case f == nil:
	case f.Count == 3:
		fmt.Fprintln(w, "three feet: it can't rock")
	case f.Holes:
		fmt.Fprintf(w, "four feet: one may be %s off the floor. Stand the piece on a flat table, all feet down on it, before its last holes are drilled: then %s. What is left is filed off, padded or taken up by a foot that screws\n", length(f.Rock), length(f.Levelled))
	default:
		fmt.Fprintf(w, "four feet: one may be %s off the floor; no hole is drilled in place, so that it can't be levelled before: file or pad the foot that is off, or have feet that screw\n", length(f.Rock))
	}
}
