package watch

import (
	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/parts/output"
)

// write brings the output folder up to date. A file whose bytes are the same is left
// alone, with its time.
func (w *watcher) write(job family.Job, results []*build.Result, opt output.Options) ([]Size, []diag.Diagnostic, error) {
	var sizes []Size
	for _, r := range results {
		s := Size{Name: r.Size, Blanks: len(r.Assembly.Blanks)}
		for _, b := range r.Assembly.Blanks {
			s.Pieces += b.Count
		}
		sizes = append(sizes, s)
	}
	if w.job.Out == "" {
		return sizes, nil, nil
	}
	stage, err := job.Stage(w.job.Out, opt)
	if err != nil {
		return nil, nil, err
	}
	defer stage.Discard()
	for _, r := range results {
		if err := stage.Add(r.Assembly); err != nil {
			return nil, nil, err
		}
	}
	changed, diags, err := family.Placed(stage, "size")
	if err != nil || diag.HasErrors(diags) {
		return nil, diags, err
	}
	for i := range sizes {
		c := changed[sizes[i].Name]
		sizes[i].Written, sizes[i].Removed = c.Written, c.Removed
	}
	return sizes, diags, nil
}
