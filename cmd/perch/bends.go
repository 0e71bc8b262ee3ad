package main

import (
	"bytes"
	"fmt"
	"io"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/parts/brake"
	"perch/parts/measure"
	"perch/parts/naming"
	"perch/parts/record"
)

type bendsCmd struct {
	design
	Out string `short:"o" default:"out" help:"The folder to write below: FOLDER/DESIGN/SIZE, beside the build." placeholder:"FOLDER"`
	taking
}

// crushing is the caution of what is done at the brake.
const crushing = "a brake crushes fingers, and sheet cuts them: keep hands out of the way of clamp and leaf, one person at the levers, gloves for the edges\n" +
	"what a plan says is an estimate: bend a test strip first, and try each step with the clamp open"

func (c *bendsCmd) Run(s *session) error {
	job, diags, err := c.job(s)
	if err != nil {
		return err
	}
	if diag.HasErrors(diags) {
		return s.tell(diags, c.JSON)
	}
	out := job.Output(false)
	out.Replace = c.Replace
	var more []diag.Diagnostic
	var files [][]byte
	var told bytes.Buffer
	stopped := until(nil, func() {
		more, err = job.Papers(c.Out, out, func(r *build.Result) (map[string][]byte, []diag.Diagnostic, error) {
			plans := brake.All(r.Assembly, job.Shop)
			var b bytes.Buffer
			if err := record.WriteBends(&b, r.Assembly, plans, job.Shop.Brake, job.Program.Shown); err != nil {
				return nil, nil, err
			}
			files = append(files, b.Bytes())
			tellBends(&told, r, plans, job.Program.Shown)
			return map[string][]byte{bendsFile: b.Bytes()}, nil, nil
		})
	})
	switch {
	case stopped != nil:
		return stopped
	case c.JSON && err == nil && !diag.HasErrors(more):
		fmt.Fprintf(s.out, "{\"sizes\": [\n%s]}\n", bytes.Join(files, []byte(",\n")))
		return nil
	}
	if told := s.tell(append(noted(job, diags), more...), c.JSON); told != nil {
		return told
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(s.out, "%swrote %s of %s into %s\n%s\n", told.String(), bendsFile, named(c.File), family.Folder(c.Out, c.File), crushing)
	return nil
}

// bendsFile is what a size's bend plans are called in its folder.
const bendsFile = "bends.json"

// tellBends prints a size's plans for who stands at the brake.
func tellBends(w io.Writer, r *build.Result, plans []brake.BlankPlan, in measure.System) {
	names := naming.Of(r.Assembly)
	for _, p := range plans {
		b := r.Assembly.Blanks[p.Blank]
		size, way := "", ""
		if r.Size != "" {
			size = ", size " + r.Size
		}
		if p.Mirrored {
			way = ", bent the other way"
		}
		fmt.Fprintf(w, "%s%s: %d %s%s, %s\n", names.Blank(p.Blank), size, p.Count, measure.Plural(p.Count, "piece"), way, b.Flat.Panel.Stock.Told().In(in))
		for _, line := range p.Tell(in) {
			fmt.Fprintln(w, line)
		}
		fmt.Fprintln(w)
	}
	if len(plans) == 0 {
		fmt.Fprintf(w, "no blank of size %s has a bend\n", r.Size)
	}
}
