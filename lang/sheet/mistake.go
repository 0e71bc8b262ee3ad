package sheet

import (
	"errors"
	"io/fs"

	"perch/lang/diag"
	"perch/parts/measure"
	"perch/parts/nest"
	"perch/parts/outline"
	"perch/parts/spelling"
)

// ErrStopped says that a job was stopped before every blank had a place.
var ErrStopped = errors.New("stopped before every blank had a place on a sheet; nothing was written")

// ErrEnded says that a job was stopped behind its search, before all its sheets were written.
var ErrEnded = errors.New("stopped before every sheet was written; nothing was written")

// mistaken carries a diagnostic as an error.
type mistaken struct{ diag.Diagnostic }

func (m mistaken) Error() string { return m.Summary }

func mistake(code, summary string, notes ...string) diag.Diagnostic {
	return diag.Diagnostic{Code: code, Severity: diag.Error, Summary: summary, Notes: notes}
}

// orElse are the notes on a name that nothing has: what may have been meant, and what there is.
func orElse(wrong string, known []string, there string) []string {
	if best := spelling.Nearest(wrong, known); best != "" {
		return []string{"did you mean " + best + "?", there}
	}
	return []string{there}
}

// refused sorts an error into mistakes of the job and troubles of the machine.
func (n Nesting) refused(w *worklist, diags []diag.Diagnostic, err error) (*JobReport, []diag.Diagnostic, error) {
	var m mistaken
	if errors.As(err, &m) {
		return nil, append(diags, m.Diagnostic), nil
	}
	if d, ok := n.nestMistake(w, err); ok {
		return nil, append(diags, d), nil
	}
	return nil, diags, err
}

// nestMistake words what nesting refuses.
func (n Nesting) nestMistake(w *worklist, err error) (diag.Diagnostic, bool) {
	var large *nest.TooLargeError
	var sheet *nest.NoSheetError
	var room *nest.NoRoomError
	var spacing *nest.SpacingError
	var count *nest.CountError
	var outline *outline.Error
	var number *nest.NumberError
	var metal *nest.NoMetalError
	var many *nest.ManyError
	why := measure.Of(err).In(w.in)
	switch {
	case errors.As(err, &large):
		return mistake("P8003", "a blank is larger than every sheet", why, "add a larger sheet to the shop file, or split the part"), true
	case errors.As(err, &sheet):
		return mistake("P8002", "the shop has no sheet of "+stockOf(sheet.Material, sheet.Thickness).In(w.in), n.sheetsOf(sheet, w.in)...), true
	case errors.As(err, &room):
		return mistake("P8004", "the blanks do not fit on the sheets that there are", why), true
	case errors.As(err, &spacing):
		return mistake("P8005", "blanks would lie closer than the cut is wide", why), true
	case errors.As(err, &count):
		return mistake("P8001", why), true
	case errors.As(err, &number):
		return mistake("P8001", why), true
	case errors.As(err, &metal):
		return mistake("P8001", "the margin leaves nothing of a sheet", why), true
	case errors.As(err, &many):
		return mistake("P8004", "the blanks are too many to be nested at once", why, "order them in several runs"), true
	case errors.As(err, &outline):
		return mistake("P8004", "a blank or a sheet has no sound outline", why), true
	}
	return diag.Diagnostic{}, false
}

// sheetsOf lists what sheets the shop has of a metal.
func (n Nesting) sheetsOf(e *nest.NoSheetError, in measure.System) []string {
	notes := []string{"blank " + e.Blank + " is of it"}
	var have []string
	for _, s := range n.Shop.Sheets {
		if s.Material == e.Material {
			have = append(have, stockOf(s.Material, s.Thickness).In(in))
		}
	}
	if len(have) > 0 {
		return append(notes, "there are sheets of "+diag.List(have))
	}
	return append(notes, "there is no sheet of "+e.Material+" at all")
}

// bareError drops the operation and path from an error that is told with them.
func bareError(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}
