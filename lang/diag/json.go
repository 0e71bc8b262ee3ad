package diag

import (
	"encoding/json"
	"io"
)

// The JSON form. Its field names are stable: fields may be added, never renamed.
// Lines and columns count from 1, columns in code points, the end is exclusive;
// a diagnostic without a place has line 0.
type (
	jsonPlace struct {
		File      string `json:"file"`
		Line      int    `json:"line"`
		Column    int    `json:"column"`
		EndLine   int    `json:"endLine"`
		EndColumn int    `json:"endColumn"`
	}
	jsonRelated struct {
		jsonPlace
		Message string `json:"message"`
	}
	jsonEdit struct {
		jsonPlace
		Text string `json:"text"`
	}
	jsonFix struct {
		Message string     `json:"message"`
		Edits   []jsonEdit `json:"edits"`
	}
	jsonDiagnostic struct {
		Code     string `json:"code"`
		Severity string `json:"severity"`
		Summary  string `json:"summary"`
		jsonPlace
		Label   string        `json:"label"`
		Notes   []string      `json:"notes"`
		Related []jsonRelated `json:"related"`
		Fix     *jsonFix      `json:"fix"`
		Part    string        `json:"part"`
		LeftOut int           `json:"leftOut,omitempty"`
	}
)

func placeJSON(sp Span) jsonPlace {
	from, to := sp.Position(), sp.EndPosition()
	return jsonPlace{sp.name(), from.Line, from.Column, to.Line, to.Column}
}

// MarshalJSON writes d with the fields code, severity, summary, file, line,
// column, endLine, endColumn, label, notes, related, fix and part; all are
// always present, fix may be null; leftOut is there where the diagnostic, a note of no
// place, stands for so many others.
func (d Diagnostic) MarshalJSON() ([]byte, error) {
	out := jsonDiagnostic{
		Code: d.Code, Severity: d.Severity.String(), Summary: d.Summary, jsonPlace: placeJSON(d.Span),
		Label: d.Label, Notes: append([]string{}, d.Notes...), Related: []jsonRelated{}, Part: d.Part, LeftOut: d.LeftOut,
	}
	for _, r := range d.Related {
		out.Related = append(out.Related, jsonRelated{placeJSON(r.Span), r.Message})
	}
	if d.Fix != nil {
		out.Fix = &jsonFix{Message: d.Fix.Message, Edits: []jsonEdit{}}
		for _, e := range d.Fix.Edits {
			out.Fix.Edits = append(out.Fix.Edits, jsonEdit{placeJSON(e.Span), e.Text})
		}
	}
	return json.Marshal(out)
}

// WriteJSON writes ds as one JSON array, one diagnostic a line.
func WriteJSON(w io.Writer, ds []Diagnostic) error {
	buf := []byte{'['}
	for i, d := range ds {
		if i > 0 {
			buf = append(buf, ',')
		}
		line, err := d.MarshalJSON()
		if err != nil {
			return err
		}
		buf = append(append(buf, '\n'), line...)
	}
	if len(ds) > 0 {
		buf = append(buf, '\n')
	}
	_, err := w.Write(append(buf, ']', '\n'))
	return err
}
