package family

import (
	"errors"
	"fmt"
	"maps"
	"path"
	"path/filepath"
	"slices"

	"perch/lang/diag"
	"perch/parts/measure"
	"perch/parts/output"
)

// named is how many files a diagnostic names one by one.
const named = 10

// Placed moves what is staged into place and tells what changed there by folder, and what
// somebody should know of it: files in the way of it, or that the
// folder is another design's, which are mistakes that leave everything as it was; files that
// it left behind; folders that went, each of what noun says, a size or a sheet; and what a
// run that was killed had left there. The error is any other that there was.
func Placed(stage *output.Stage, noun string) (map[string]output.Change, []diag.Diagnostic, error) {
	changed, err := stage.Commit()
	diags := recovered(stage.Recovered())
	more, err := placed(changed, err, noun)
	return changed, append(diags, more...), err
}

// recovered tells what was put in order behind a run that was killed.
func recovered(r output.Recovery) []diag.Diagnostic {
	switch {
	case len(r.Left) > 0:
		d := diag.Diagnostic{Code: "P7007", Severity: diag.Warning,
			Summary: fmt.Sprintf("an earlier run was killed while it moved files; %s could not be put back", measure.Counted(len(r.Left), "file"))}
		for _, name := range r.Left[:min(named, len(r.Left))] {
			d.Notes = append(d.Notes, fmt.Sprintf("another %s stands there by now; the one from before is in %s", name, r.In))
		}
		d.Notes = append(d.Notes, rest(len(r.Left))...)
		return []diag.Diagnostic{d}
	case r.Undone:
		return []diag.Diagnostic{{Code: "P7007", Severity: diag.Note, Summary: "an earlier run was killed while it moved files; what it had moved was put back first"}}
	}
	return nil
}

func placed(changed map[string]output.Change, err error, noun string) ([]diag.Diagnostic, error) {
	var taken *output.TakenError
	if errors.As(err, &taken) {
		return []diag.Diagnostic{inTheWay(taken)}, nil
	}
	var other *output.OwnerError
	if errors.As(err, &other) {
		return []diag.Diagnostic{ofAnother(other)}, nil
	}
	var kept, gone, outdated, behind []string
	for _, folder := range slices.Sorted(maps.Keys(changed)) {
		for _, name := range changed[folder].Kept {
			kept = append(kept, path.Join(folder, name))
		}
		for _, name := range changed[folder].Outdated {
			if name == output.RecordFile {
				behind = append(behind, folder)
			} else {
				outdated = append(outdated, path.Join(folder, name))
			}
		}
		if changed[folder].Retired {
			gone = append(gone, folder)
		}
	}
	var diags []diag.Diagnostic
	if len(gone) > 0 {
		diags = append(diags, retired(gone, noun))
	}
	if len(outdated) > 0 {
		diags = append(diags, diag.Diagnostic{Code: "P7009", Severity: diag.Warning,
			Summary: fmt.Sprintf("removed %s of another state of the design than this build: %s", measure.Counted(len(outdated), "paper"), diag.List(outdated[:min(named, len(outdated))])),
			Notes:   append(rest(len(outdated)), "run the command that wrote papers again before you work from any")})
	}
	if len(behind) > 0 {
		diags = append(diags, diag.Diagnostic{Code: "P7009", Severity: diag.Warning,
			Summary: fmt.Sprintf("the build of %s is of another state of the design than these papers", diag.List(behind)),
			Notes:   []string{"build again with the same settings, and cut from that"}})
	}
	if len(kept) == 0 {
		return diags, err
	}
	d := diag.Diagnostic{Code: "P7003", Severity: diag.Warning,
		Summary: measure.Counted(len(kept), "file") + " of an earlier build, changed since, stayed where this build has none of the name"}
	for _, name := range kept[:min(named, len(kept))] {
		d.Notes = append(d.Notes, name+" is yours now")
	}
	d.Notes = append(d.Notes, rest(len(kept))...)
	return append(diags, d), err
}

func retired(folders []string, noun string) diag.Diagnostic {
	d := diag.Diagnostic{Code: "P7006", Severity: diag.Note, Notes: rest(len(folders))}
	if len(folders) == 1 {
		d.Summary = fmt.Sprintf("removed the %s %s of an earlier build: there is none now", noun, folders[0])
	} else {
		d.Summary = fmt.Sprintf("removed %s of an earlier build that are none now: %s", measure.Counted(len(folders), noun), diag.List(folders[:min(named, len(folders))]))
	}
	return d
}

func ofAnother(e *output.OwnerError) diag.Diagnostic {
	d := diag.Diagnostic{Code: "P7005", Severity: diag.Error}
	folder := filepath.Base(e.Dir)
	switch {
	case e.Ours == "":
		d.Summary = fmt.Sprintf("the folder %s holds a build of %s; nothing was written", e.Dir, e.Theirs)
	case e.Theirs == "":
		d.Summary = fmt.Sprintf("the folder %s holds sheets, where %s would be built; nothing was written", e.Dir, e.Ours)
	default:
		d.Summary = fmt.Sprintf("the folder %s holds a build of another file, %s, not of %s; nothing was written", e.Dir, e.Theirs, e.Ours)
	}
	d.Notes = []string{"write below another folder with --out", fmt.Sprintf("where the file was moved, or that build may go, --replace %s takes the folder over", folder)}
	return d
}

func inTheWay(e *output.TakenError) diag.Diagnostic {
	d := diag.Diagnostic{Code: "P7002", Severity: diag.Error,
		Summary: fmt.Sprintf("%s in the folder %s would be lost; nothing was written", measure.Counted(len(e.Files), "file"), e.Dir)}
	for _, f := range e.Files[:min(named, len(e.Files))] {
		why := "was not written by perch"
		switch {
		case f.Read:
			d.Notes = append(d.Notes, f.Name+" is read for what would be written: move it away, or write to another folder with --out")
			continue
		case f.Changed:
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
