package main

import (
	"fmt"
	"slices"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"perch/lang/diag"
	"perch/lang/family"
)

type stackCmd struct {
	design
	Pieces int       `default:"4" help:"How many to stack. Default: 4." placeholder:"COUNT"`
	Turn   []float64 `help:"Turn each by so many degrees on the one below. Repeatable. Default: straight down and a quarter turn." placeholder:"DEGREES"`
}

// cautionStack is the last line of what somebody piles up.
const cautionStack = "of rigid pieces as drawn, without paint: try two before you pile up more, and mind fingers between them"

func (c *stackCmd) Run(s *session) error {
	if c.Pieces < 2 || c.Pieces > 1000 {
		return fmt.Errorf("--pieces: a stack has 2 to 1000 pieces, not %d", c.Pieces)
	}
	job, diags, err := c.job(s)
	if err != nil {
		return err
	}
	if diag.HasErrors(diags) {
		return s.tell(diags, c.JSON)
	}
	turns := c.Turn
	if len(turns) == 0 {
		turns = []float64{0, 90}
	}
	slices.Sort(turns)
	var all []family.Stacking
	var more []diag.Diagnostic
	if stopped := until(nil, func() { all, more, err = job.Stacks(slices.Compact(turns), c.Pieces) }); stopped != nil {
		return stopped
	}
	if diags = append(diags, more...); diag.HasErrors(diags) {
		return s.tell(diags, c.JSON)
	}
	if err != nil {
		return err
	}
	if c.JSON {
		return json.MarshalWrite(s.out, all, jsontext.WithIndent(" "))
	}
	for _, st := range all {
		for _, line := range st.Lines(c.Pieces) {
			fmt.Fprintln(s.out, line)
		}
	}
	fmt.Fprintln(s.out, cautionStack)
	return nil
}
