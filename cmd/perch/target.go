package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"

	"perch/lang/diag"
)

// targets holds files that flags name to be written to what they would be written over:
// designs, and what the verb reads. Empty names are of flags that were not given.
func targets(read []string, write ...string) []diag.Diagnostic {
	var diags []diag.Diagnostic
	for _, w := range write {
		if w == "" {
			continue
		}
		if strings.EqualFold(filepath.Ext(w), ".perch") {
			diags = append(diags, overwritten(w, "its name is a design's: it ends in .perch"))
			continue
		}
		for _, r := range read {
			if r != "" && sameFile(r, w) {
				diags = append(diags, overwritten(w, "it is read, as "+r))
				break
			}
		}
	}
	return diags
}

func overwritten(name, why string) diag.Diagnostic {
	return diag.Diagnostic{Code: "P7004", Severity: diag.Error, Summary: name + " is not written over", Notes: []string{why, "write to a file of another name"}}
}

// sameFile tells whether two names are of one file that is there.
func sameFile(a, b string) bool {
	x, err1 := os.Stat(a)
	y, err2 := os.Stat(b)
	return err1 == nil && err2 == nil && os.SameFile(x, y)
}

// refuse tells what is wrong with the command line.
func (s *session) refuse(diags []diag.Diagnostic, json bool) error {
	if err := s.tell(diags, json); !errors.As(err, new(exit)) {
		return err
	}
	return exit(exitTrouble)
}
