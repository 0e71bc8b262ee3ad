// Package papers makes the pages to work from of one size of a design. It brings together what
// the design came to and the rooms that draw pages; it draws nothing itself and decides
// nothing about the piece.
package papers

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"time"

	"perch/lang/build"
	"perch/lang/family"
	"perch/parts/blankpage"
	"perch/parts/measure"
	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/record"
)

// Options of the pages.
type Options struct {
	Sheet paper.Sheet
	Date  time.Time // zero: none
}

// Job is a design whose pages are made.
type Job struct {
	family.Job
	Options
}

// DrawingFile is the name of a part's page in its size's folder.
func DrawingFile(part string) string { return part + ".pdf" }

// Drawing makes the pages of some of a size's blanks.
func (j Job) Drawing(r *build.Result, blanks []*panel.Blank) (*paper.Document, error) {
	doc := j.document(r)
	page, err := j.pages(r)
	if err != nil {
		return nil, err
	}
	for i, b := range r.Assembly.Blanks {
		if slices.Contains(blanks, b) {
			if err := page.Add(doc, i); err != nil {
				return nil, err
			}
		}
	}
	return doc, nil
}

// document is an empty one of a size.
func (j Job) document(r *build.Result) *paper.Document {
	name := r.Assembly.Design
	if r.Size != "" {
		name += ", " + r.Size
	}
	return &paper.Document{Name: name, Language: "en", Date: j.Date}
}

// pages is what all pages of a size have in common.
func (j Job) pages(r *build.Result) (*blankpage.Job, error) {
	h := sha256.New()
	if err := record.Write(h, r.Assembly, record.Options{}); err != nil {
		return nil, fmt.Errorf("the record of size %s: %w", r.Size, err)
	}
	p := &blankpage.Job{
		Assembly: r.Assembly, Names: naming.Of(r.Assembly), Shop: j.Shop,
		Paper:  measure.Paper{System: j.Program.Shown, Ruler: j.Shop.Ruler},
		Source: hex.EncodeToString(h.Sum(nil))[:8],
	}
	p.Printed()
	p.Sheet = j.Sheet
	if !j.Date.IsZero() {
		p.Date = j.Date.Format(time.DateOnly)
	}
	return p, nil
}
