package main

import (
	"perch/lang/diag"
	"perch/lang/family"
	"perch/parts/output"
)

// beside are the flags of every verb that writes papers beside a design's build.
type beside struct {
	design
	Out string `short:"o" default:"out" help:"The folder to write below: FOLDER/DESIGN/SIZE, beside the build." placeholder:"FOLDER"`
	taking
}

// put opens the design and has make write the verb's papers. A mistake is told and ends the
// verb, as the error; else there are warnings and notes at most, which the verb tells.
func (c *beside) put(s *session, make func(job family.Job, out output.Options) ([]diag.Diagnostic, error)) (family.Job, []diag.Diagnostic, error) {
	job, diags, err := c.job(s)
	if err != nil {
		return job, nil, err
	}
	if diag.HasErrors(diags) {
		return job, nil, s.tell(diags, c.JSON)
	}
	out := job.Output(false)
	out.Replace = c.Replace
	var more []diag.Diagnostic
	if stopped := until(nil, func() { more, err = make(job, out) }); stopped != nil {
		return job, nil, stopped
	}
	diags = append(noted(job, diags), more...)
	if err != nil || diag.HasErrors(diags) {
		if told := s.tell(diags, c.JSON); told != nil {
			return job, nil, told
		}
	}
	return job, diags, err
}
