package main

import (
	"context"
	"fmt"
	"path/filepath"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/parts/mockup"
	"perch/parts/output"
)

type mockupCmd struct {
	beside
	Scale string `default:"1:4" help:"The model's size to the piece's, as 1:4; 1:1 makes full-size patterns for cutting by hand. Default: 1:4." placeholder:"1:N"`
	Paper string `help:"Paper to print on: A4, Letter or A3. Default: the shop file's." placeholder:"NAME"`
}

// cautionKnife is the last line of what is cut by hand.
const cautionKnife = "a knife cuts fingers as well as paper: a steel rule, a fresh blade, a mat; the model shows shape, never strength"

func (c *mockupCmd) Run(s *session) error {
	scale, err := mockup.ParseScale(c.Scale)
	if err != nil {
		return fmt.Errorf("--scale: %w", err)
	}
	_, diags, err := c.put(s, func(job family.Job, out output.Options) ([]diag.Diagnostic, error) {
		return job.Mockup(context.Background(), c.Out, scale, c.Paper, out)
	})
	if err != nil {
		return err
	}
	if err := s.tell(diags, c.JSON); err != nil {
		return err
	}
	if !c.JSON {
		file := family.MockupFile
		if scale == mockup.Full {
			file = family.PatternFile
		}
		fmt.Fprintf(s.out, "%s at %v in %s\n%s\n", file, scale, filepath.Join(family.Folder(c.Out, c.File), "*"), cautionKnife)
	}
	return nil
}
