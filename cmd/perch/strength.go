package main

import (
	"bytes"
	"context"
	"fmt"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/parts/output"
	"perch/parts/strength"
	"perch/parts/strength/shown"
)

type strengthCmd struct {
	beside
	Helps bool `help:"Try one change at a time: a family of parts left out, thicker sheet, one more of a count, more rivets; tell what each is worth. Takes longer."`
}

func (c *strengthCmd) Run(s *session) error {
	var told bytes.Buffer
	var records [][]byte
	_, diags, err := c.put(s, func(job family.Job, out output.Options) ([]diag.Diagnostic, error) {
		return job.Strength(context.Background(), c.Out, out, family.Estimating{Helps: c.Helps, Each: func(r *build.Result, report *strength.Report) {
			for _, line := range shown.Lines(r.Assembly, report, job.Program.Shown) {
				fmt.Fprintln(&told, line)
			}
			var b bytes.Buffer
			if shown.WriteJSON(&b, r.Assembly, report) == nil {
				records = append(records, bytes.TrimSpace(b.Bytes()))
			}
		}})
	})
	if err != nil {
		return err
	}
	if err := s.tell(diags, false); err != nil {
		return err
	}
	if c.JSON {
		return sizes(s.out, records)
	}
	if !c.Helps {
		fmt.Fprintln(&told, "perch strength with --helps tells what one change at a time is worth")
	}
	fmt.Fprintf(s.out, "%s\n%swrote %s and a picture of each load of %s into %s\n%s\n", shown.Estimate, told.String(), family.StrengthFile, named(c.File), family.Folder(c.Out, c.File), shown.Caution)
	return nil
}
