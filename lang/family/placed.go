package family

import (
	"errors"
	"fmt"
	"maps"
	"path"
	"slices"

	"perch/lang/diag"
	"perch/parts/measure"
	"perch/parts/output"
)

// named is how many files a diagnostic names one by one.
const named = 10

// Placed tells what somebody should know of a commit: files in the way of it, which are a
// mistake that leaves everything as it was, and files that it left behind. The error is
// any other that there was.
func Placed(changed map[string]output.Change, err error) ([]diag.Diagnostic, error) {
	var taken *output.TakenError
	if errors.As(err, &taken) {
		return []diag.Diagnostic{inTheWay(taken)}, nil
	}
	var kept []string
	for _, folder := range slices.Sorted(maps.Keys(changed)) {
		for _, name := range changed[folder].Kept {
			kept = append(kept, path.Join(folder, name))
		}
	}
	if len(kept) == 0 {
		return nil, err
	}
	d := diag.Diagnostic{Code: "P7003", Severity: diag.Warning,
		Summary: measure.Counted(len(kept), "file") + " of an earlier build, changed since, stayed where this build has none of the name"}
	for _, name := range kept[:min(named, len(kept))] {
		d.Notes = append(d.Notes, name+" is yours now")
	}
	d.Notes = append(d.Notes, rest(len(kept))...)
	return []diag.Diagnostic{d}, err
}

func inTheWay(e *output.TakenError) diag.Diagnostic {
	d := diag.Diagnostic{Code: "P7002", Severity: diag.Error,
		Summary: fmt.Sprintf("%s in the folder %s would be lost; nothing was written", measure.Counted(len(e.Files), "file"), e.Dir)}
	for _, f := range e.Files[:min(named, len(e.Files))] {
		why := "was not written by perch"
		if f.Changed {
			why = "was changed since perch wrote it"
		}
		d.Notes = append(d.Notes, fmt.Sprintf("%s %s: move it away, or have it replaced with --replace %s", f.Name, why, f.Name))
	}
	d.Notes = append(d.Notes, rest(len(e.Files))...)
	if folder := path.Dir(e.Files[len(e.Files)-1].Name); len(e.Files) > named && folder != "." {
		d.Notes = append(d.Notes, fmt.Sprintf("--replace %s takes all that is in the way in that folder", folder))
	}
	return d
}

// rest counts what is not named.
func rest(files int) []string {
	if files <= named {
		return nil
	}
	return []string{fmt.Sprintf("and %d more", files-named)}
}
