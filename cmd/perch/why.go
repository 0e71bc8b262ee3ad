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
	"perch/parts/spelling"
)

type whyCmd struct {
	design
	Name string `arg:"" help:"A param, let, stock, part, blank or join of the design, or an argument of a part: leg.toe."`
}

// Run prints the chain of reasons behind a name at every size asked for; of a part, a
// blank or a join what it came to.
func (c *whyCmd) Run(s *session) error {
	job, diags, err := c.job(s)
	if err != nil {
		return err
	}
	if diag.HasErrors(diags) {
		return s.tell(diags, c.JSON)
	}
	names := reason.Names(job.Program)
	if !slices.Contains(names, c.Name) {
		first, param, _ := strings.Cut(c.Name, ".")
		for _, d := range reason.Things(job.Program) {
			names = append(names, d.Name)
			if first != d.Name {
				continue
			}
			if d.Kind == check.Part && slices.Contains(reason.Arguments(job.Program, d), param) {
				return c.chains(s, job, diags, func(r *build.Result) (*reason.Link, bool) { return reason.WhyArgument(r, d, param) })
			}
			return c.made(s, job, diags)
		}
		hint := "it has " + strings.Join(names, ", ")
		if best := spelling.Nearest(c.Name, names); best != "" {
			hint = "did you mean " + best + "?"
		}
		return fmt.Errorf("the design has no part, join, param or let %s that is a number or is made; %s", c.Name, hint)
	}
	return c.chains(s, job, diags, func(r *build.Result) (*reason.Link, bool) { return reason.Why(r, c.Name) })
}

// chains prints the chain that why gives at every size asked for.
func (c *whyCmd) chains(s *session, job family.Job, diags []diag.Diagnostic, why func(*build.Result) (*reason.Link, bool)) error {
	sizes, err := sizesOf(job.Program, c.Size)
	if err != nil {
		return err
	}
	told := false
	answer := whyAnswer{Name: c.Name, Sizes: []whySize{}}
	sys := job.Program.Shown
	for i, size := range sizes {
		r, more := build.Solve(job.Program, size, job.Shop, job.Settings)
		diags = append(diags, more...)
		if !r.Stands() {
			continue
		}
		link, ok := why(r)
		if !ok {
			continue
		}
		told = true
		if c.JSON {
			answer.Sizes = append(answer.Sizes, whySize{size, link.View()})
			continue
		}
		if len(sizes) > 1 {
			if i > 0 {
				fmt.Fprintln(s.out)
			}
			fmt.Fprintf(s.out, "size %s\n", size)
		}
		if err := link.Write(s.out, sys); err != nil {
			return err
		}
	}
	if !told && !diag.HasErrors(diags) {
		return fmt.Errorf("%s is no number, or another one at every copy", c.Name)
	}
	if c.JSON && len(answer.Sizes) > 0 {
		enc := json.NewEncoder(s.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		if err := enc.Encode(answer); err != nil {
			return err
		}
		return s.tell(diags, false)
	}
	return s.tell(diags, c.JSON)
}

type whyAnswer struct {
	Name  string    `json:"name"`
	Sizes []whySize `json:"sizes"`
}

type whySize struct {
	Size string      `json:"size"`
	Why  reason.View `json:"why"`
}

// sizesOf are the sizes asked for, all where none is.
func sizesOf(p *check.Program, asked []string) ([]string, error) {
	all := build.Sizes(p)
	if len(asked) == 0 {
		return all, nil
	}
	var sizes []string // each once
	for _, a := range asked {
		if !slices.Contains(sizes, a) {
			sizes = append(sizes, a)
		}
		if !slices.Contains(all, a) {
			hint := "it has " + strings.Join(all, ", ")
			if best := spelling.Nearest(a, all); best != "" {
				hint = "did you mean " + best + "?"
			}
			return nil, fmt.Errorf("the design has no size %s; %s", a, hint)
		}
	}
	return sizes, nil
}

// meant asks, before what there is, whether the nearest of it was meant.
func meant(wrong string, known []string) string {
	if best := spelling.Nearest(wrong, known); best != "" {
		return "did you mean " + best + "? "
	}
	return ""
}
