package diag

import (
	"slices"

	"perch/parts/measure"
)

// Measured are the sentences of a Diagnostic that have measures in them, where whoever
// found the mistake does not know who reads of it: In writes them in a reader's system.
// Until then the Diagnostic has them in millimetres.
type Measured struct {
	summary measure.Text
	notes   []measure.Text // by index of Notes; empty where a note is the same for all
}

// Equal says that two read alike in every system.
func (m Measured) Equal(o Measured) bool {
	return m.summary.Equal(o.summary) && slices.EqualFunc(m.notes, o.notes, measure.Text.Equal)
}

// Say gives d a summary with measures in it.
func (d *Diagnostic) Say(t measure.Text) {
	d.Summary, d.Measured.summary = t.String(), t
}

// Note adds a note with measures in it.
func (d *Diagnostic) Note(t measure.Text) {
	for len(d.Measured.notes) < len(d.Notes) {
		d.Measured.notes = append(d.Measured.notes, measure.Text{})
	}
	d.Notes, d.Measured.notes = append(d.Notes, t.String()), append(d.Measured.notes, t)
}

// In is d with its measures in a system.
func (d Diagnostic) In(s measure.System) Diagnostic {
	if !d.Measured.summary.Empty() {
		d.Summary = d.Measured.summary.In(s)
	}
	if len(d.Measured.notes) > 0 {
		d.Notes = append([]string(nil), d.Notes...)
	}
	for i, t := range d.Measured.notes {
		if !t.Empty() && i < len(d.Notes) {
			d.Notes[i] = t.In(s)
		}
	}
	return d
}
