package family

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/parts/output"
)

// Stdin is what a design is called that is read from standard input, and the folder of its
// sizes.
const Stdin = "stdin"

// Folder is where the sizes of a design go below an output folder: into one called as the
// design's file, without its ending.
func Folder(out, file string) string {
	if file == "-" {
		return filepath.Join(out, Stdin)
	}
	base := filepath.Base(file)
	name := strings.Trim(strings.TrimSuffix(base, filepath.Ext(base)), ". ")
	if name == "" {
		name = "design" // of a file called .perch
	}
	if output.DeviceName(name) {
		name += "_" // where that is a device's it could not be a folder's
	}
	return filepath.Join(out, name)
}

// Stage prepares to write the design's sizes below an output folder, where it may replace
// what an earlier run of the same design wrote.
func (j Job) Stage(out string, opt output.Options) (*output.Stage, error) {
	opt.Design, opt.Sizes = known(out, j.File), build.Sizes(j.Program)
	return output.NewStage(Folder(out, j.File), opt)
}

// Papers builds every size, makes files of each and puts them beside its build, below an output
// folder. Nothing is written unless all sizes come out, and their papers are made, without
// a mistake; the error is one of writing.
func (j Job) Papers(out string, opt output.Options, make func(r *build.Result) (map[string][]byte, []diag.Diagnostic, error)) ([]diag.Diagnostic, error) {
	results, diags := j.Marked()
	if j.stopped() {
		return nil, ErrStopped
	}
	if diag.HasErrors(diags) {
		return diags, nil
	}
	opt.Design = known(out, j.File)
	stage, err := output.NewStage(Folder(out, j.File), opt)
	if err != nil {
		return diags, err
	}
	defer stage.Discard()
	all := diag.Gathered{}
	for _, r := range results {
		all.Sizes = append(all.Sizes, r.Size)
	}
	for _, r := range results {
		files, of, err := make(r)
		if err != nil {
			return diags, err
		}
		for _, d := range of {
			all.Add(d, r.Size)
		}
		if len(files) == 0 {
			continue // there is nothing of this size
		}
		if err := stage.Papers(r.Assembly, files); err != nil {
			return diags, err
		}
	}
	if diags = append(diags, all.Diagnostics()...); diag.HasErrors(diags) {
		return diags, nil
	}
	_, more, err := Placed(stage, "size")
	return append(diags, more...), err
}

// Beside puts files beside the design's sizes, below an output folder. What it tells is as
// of Build.
func (j Job) Beside(out string, files map[string][]byte, replace []string) ([]diag.Diagnostic, error) {
	stage, err := output.NewStage(Folder(out, j.File), output.Options{Design: known(out, j.File), Replace: replace})
	if err != nil {
		return nil, err
	}
	defer stage.Discard()
	for _, name := range slices.Sorted(maps.Keys(files)) {
		if err := stage.PutFile(name, files[name]); err != nil {
			return nil, err
		}
	}
	_, diags, err := Placed(stage, "size")
	return diags, err
}

// known is the path by which lists know a design: in the repository that holds it and the
// output folder, else from the output folder. It is the same from wherever perch is started.
func known(out, file string) string {
	if file == "-" {
		return Stdin
	}
	file, out = real(file), real(out)
	from := out
	if top := repository(filepath.Dir(file)); top != "" && top == repository(out) {
		from = top
	}
	rel, err := filepath.Rel(from, file)
	if err != nil {
		rel = file // on another volume
	}
	rel = filepath.ToSlash(rel)
	if strings.ContainsFunc(rel, unicode.IsControl) {
		rel = strconv.Quote(rel)
	}
	return rel
}

// real is the path of a file from the root. Links are followed as far as there are folders;
// the file itself may be one.
func real(file string) string {
	file, err := filepath.Abs(file)
	if err != nil {
		return file
	}
	dir, rest := filepath.Dir(file), filepath.Base(file)
	for {
		if d, err := filepath.EvalSymlinks(dir); err == nil {
			return filepath.Join(d, rest)
		}
		up := filepath.Dir(dir)
		if up == dir {
			return file
		}
		dir, rest = up, filepath.Join(filepath.Base(dir), rest)
	}
}

// repository is the folder at the top of the repository that a folder lies in, "" for none.
func repository(dir string) string {
	for {
		if _, err := os.Lstat(filepath.Join(dir, ".git")); err == nil {
			return dir
		}
		up := filepath.Dir(dir)
		if up == dir {
			return ""
		}
		dir = up
	}
}
