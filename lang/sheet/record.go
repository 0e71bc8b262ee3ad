package sheet

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"perch/parts/measure"
	"perch/parts/nest"
	"perch/parts/output"
	"perch/parts/plane"
)

// jobRecord is what job.json holds: where every blank lies, so that some of them
// can be cut again, or cutting go on, with nothing moved; and what the job takes.
type jobRecord struct {
	Job    string        `json:"job"`    // digest of what was nested
	Sheets []recordSheet `json:"sheets"` // in place of the report's, with what lies where
	*JobReport
}

type recordSheet struct {
	SheetReport
	From   int           `json:"from"`            // index among the job's remnants and sheets
	Left   [4]float64    `json:"left_corners_mm"` // x, y of two corners; all 0 for none
	Blanks []recordPlace `json:"blanks"`
}

type recordPlace struct {
	Blank  int     `json:"blank"` // index among the job's blanks
	Name   string  `json:"name"`
	Turned float64 `json:"turned_deg"`            // anticlockwise
	Over   bool    `json:"turned_over,omitempty"` // before it is turned
	X      float64 `json:"x_mm"`                  // where its own origin comes to lie
	Y      float64 `json:"y_mm"`
}

// record stages the job's cut list and its record.
func (n Nesting) record(stage *output.Stage, w *worklist, layout []nest.Used, r *JobReport) error {
	var list bytes.Buffer
	if err := r.CSV(&list); err != nil {
		return err
	}
	rec := jobRecord{Job: n.digest(w), JobReport: r}
	for i, u := range layout {
		s := recordSheet{SheetReport: r.Sheets[i], From: u.Sheet}
		if b := u.Remnant; !b.Empty() {
			s.Left = [4]float64{b.Min.X, b.Min.Y, b.Max.X, b.Max.Y}
		}
		for _, p := range u.Placed {
			s.Blanks = append(s.Blanks, recordPlace{p.Piece, w.Blanks[p.Piece].Name, p.Rotation, p.Mirrored, p.At.X, p.At.Y})
		}
		rec.Sheets = append(rec.Sheets, s)
	}
	text, err := json.MarshalIndent(rec, "", " ")
	if err != nil {
		return err
	}
	return errors.Join(stage.PutFile(output.JobCutList, list.Bytes()), stage.PutFile(output.JobRecord, append(text, '\n')))
}

// recorded is the layout that the folder's record holds, nil where there is no
// record. A record of another job, or a broken one, is a mistake: what lies on the
// table was cut by it.
func (n Nesting) recorded(w *worklist, dir string) ([]nest.Used, error) {
	name := filepath.Join(dir, output.JobRecord)
	text, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("cannot read the job's record: %w", err)
	}
	other := func(why string) error {
		return mistaken{mistake("P8012", "the folder "+dir+" holds the sheets of another job", why,
			"blanks are cut again, and cutting goes on, where they were nested: give the orders and flags of that job, or another folder")}
	}
	var rec jobRecord
	if err := json.Unmarshal(text, &rec); err != nil {
		return nil, other("its record " + name + " cannot be read: " + err.Error())
	}
	if rec.Job != n.digest(w) {
		return nil, other("its record " + name + " is of other blanks, sheets, spacing, margin or tabs")
	}
	var out []nest.Used
	for _, s := range rec.Sheets {
		u := nest.Used{Sheet: s.From, Density: s.Used, Remnant: plane.EmptyBox()}
		if l := s.Left; l != [4]float64{} {
			u.Remnant = plane.Box{Min: plane.Point{X: l[0], Y: l[1]}, Max: plane.Point{X: l[2], Y: l[3]}}
		}
		if s.From < 0 || s.From >= len(w.Sheets) {
			return nil, other("its record names a sheet that there is not")
		}
		for _, p := range s.Blanks {
			if p.Blank < 0 || p.Blank >= len(w.Blanks) {
				return nil, other("its record names a blank that there is not")
			}
			u.Placed = append(u.Placed, nest.Placed{Piece: p.Blank, Rotation: p.Turned, Mirrored: p.Over, At: plane.Point{X: p.X, Y: p.Y}})
		}
		if err := nest.Check(&w.Job, &w.Sheets[u.Sheet], u.Placed); err != nil {
			return nil, other("its record was changed: " + measure.Of(err).In(w.in))
		}
		out = append(out, u)
	}
	return out, nil
}
