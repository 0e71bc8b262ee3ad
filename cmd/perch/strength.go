package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/parts/strength"
	"perch/parts/strength/shown"
)

type strengthCmd struct {
	design
	Out string `short:"o" default:"out" help:"The folder to write below: FOLDER/DESIGN/SIZE, beside the build." placeholder:"FOLDER"`
	taking
}

func (c *strengthCmd) Run(s *session) error {
	job, diags, err := c.job(s)
	if err != nil {
		return err
	}
	if diag.HasErrors(diags) {
		return s.tell(diags, c.JSON)
	}
	opt := job.Output(false)
	opt.Replace = c.Replace
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	var more []diag.Diagnostic
	var told bytes.Buffer
	var records [][]byte
	stopped := until(stop, func() {
		more, err = job.Strength(ctx, c.Out, opt, func(r *build.Result, report *strength.Report) {
			for _, line := range shown.Lines(r.Assembly, report, job.Program.Shown) {
				fmt.Fprintln(&told, line)
			}
			var b bytes.Buffer
			if shown.WriteJSON(&b, r.Assembly, report) == nil {
				records = append(records, bytes.TrimSpace(b.Bytes()))
			}
		})
	})
	switch {
	case stopped != nil:
		return stopped
	case errors.Is(err, context.Canceled):
		return errStopped
	case c.JSON && err == nil && !diag.HasErrors(more):
		fmt.Fprintf(s.out, "{\"sizes\": [\n%s]}\n", bytes.Join(records, []byte(",\n")))
		return nil
	}
	if told := s.tell(append(noted(job, diags), more...), c.JSON); told != nil {
		return told
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(s.out, "%s\n%swrote %s and a picture of each load of %s into %s\n%s\n", shown.Estimate, told.String(), family.StrengthFile, named(c.File), family.Folder(c.Out, c.File), shown.Caution)
	return nil
}
