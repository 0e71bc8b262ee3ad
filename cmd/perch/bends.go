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
	"perch/parts/output"
	"perch/parts/record"
)

type bendsCmd struct{ beside }

// crushing is the caution of what is done at the brake.
const crushing = "a brake crushes fingers, and sheet cuts them: keep hands out of the way of clamp and leaf, punch and die, one person at the levers, gloves for the edges\n" +
	"what a plan says is an estimate: bend a test strip first, and try each step with the clamp open"

func (c *bendsCmd) Run(s *session) error {
	var files [][]byte
	var told bytes.Buffer
	_, diags, err := c.put(s, func(job family.Job, out output.Options) ([]diag.Diagnostic, error) {
		return job.Papers(c.Out, out, func(r *build.Result) (map[string][]byte, []diag.Diagnostic, error) {
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
	if err != nil {
		return err
	}
	if err := s.tell(diags, false); err != nil {
		return err
	}
	if c.JSON {
		return sizes(s.out, files)
	}
	fmt.Fprintf(s.out, "%swrote %s of %s into %s\n%s\n", told.String(), bendsFile, named(c.File), family.Folder(c.Out, c.File), crushing)
	return nil
}

// sizes writes the answer of a verb that makes a record of each size.
func sizes(w io.Writer, records [][]byte) error {
	_, err := fmt.Fprintf(w, "{\"sizes\": [\n%s]}\n", bytes.Join(records, []byte(",\n")))
	return err
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
