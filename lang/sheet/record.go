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
	Job    string        `json:"job"` // digest of what was nested
	Layout []recordSheet `json:"layout"`
	*JobReport
}

type recordSheet struct {
	Sheet   int           `json:"sheet"` // index among the job's remnants and sheets
	Stock   string        `json:"stock"`
	Density float64       `json:"density"`
	Left    [4]float64    `json:"rectangle_left"` // x, y of two corners; all 0 for none
	Placed  []recordPlace `json:"placed"`
}

type recordPlace struct {
	Piece    int     `json:"piece"` // index among the job's blanks
	Blank    string  `json:"blank"`
	Rotation float64 `json:"rotation"`
	Mirrored bool    `json:"mirrored,omitempty"`
	X        float64 `json:"x"`
	Y        float64 `json:"y"`
}

// record stages the job's cut list and its record.
func (n Nesting) record(stage *output.Stage, w *worklist, layout []nest.Used, r *JobReport) error {
	var list bytes.Buffer
	if err := r.CSV(&list); err != nil {
		return err
	}
	rec := jobRecord{Job: n.digest(w), JobReport: r}
	for _, u := range layout {
		s := recordSheet{Sheet: u.Sheet, Stock: w.stock[u.Sheet].String(), Density: u.Density}
		if b := u.Remnant; !b.Empty() {
			s.Left = [4]float64{b.Min.X, b.Min.Y, b.Max.X, b.Max.Y}
		}
		for _, p := range u.Placed {
			s.Placed = append(s.Placed, recordPlace{p.Piece, w.Blanks[p.Piece].Name, p.Rotation, p.Mirrored, p.At.X, p.At.Y})
		}
		rec.Layout = append(rec.Layout, s)
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
	for _, s := range rec.Layout {
		u := nest.Used{Sheet: s.Sheet, Density: s.Density, Remnant: plane.EmptyBox()}
		if l := s.Left; l != [4]float64{} {
			u.Remnant = plane.Box{Min: plane.Point{X: l[0], Y: l[1]}, Max: plane.Point{X: l[2], Y: l[3]}}
		}
		if s.Sheet < 0 || s.Sheet >= len(w.Sheets) {
			return nil, other("its record names a sheet that there is not")
		}
		for _, p := range s.Placed {
			if p.Piece < 0 || p.Piece >= len(w.Blanks) {
				return nil, other("its record names a blank that there is not")
			}
			u.Placed = append(u.Placed, nest.Placed{Piece: p.Piece, Rotation: p.Rotation, Mirrored: p.Mirrored, At: plane.Point{X: p.X, Y: p.Y}})
		}
		if err := nest.Check(&w.Job, &w.Sheets[u.Sheet], u.Placed); err != nil {
			return nil, other("its record was changed: " + measure.Of(err).In(w.in))
		}
		out = append(out, u)
	}
	return out, nil
}
