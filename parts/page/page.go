// Package page writes a piece as one page for a browser: all sizes in space to turn, to fold and
// to take apart, with their flats, values and warnings. It asks nothing of a network, and shows
// what it is given: it computes no part, no value and no warning.
package page

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"encoding/json"
	"html/template"
	"io"
	"strings"
	"sync"

	"perch/parts/scene"
)

// Document is what a page shows.
type Document struct {
	Design, Revision string
	Inches           bool   // lengths are read in inches, else in millimetres
	Plain            bool   // for a customer: the piece, its sizes and overall measures, no flats
	Live             bool   // served while the design is written
	Before, After    string // of two revisions laid over each other, what they are called
	Sizes            []Size
}

// Size is one size of the piece.
type Size struct {
	Name      string
	Scene     *scene.Scene // nil: nothing could be made of it
	Overall   []Fact       // width, depth, height
	Facts     []Fact       // mass, pieces, sheets, cost
	Values    []Value
	Warnings  []Warning
	Blanks    []Blank
	Picture   []byte     // still, of the type below; nil: none
	Type      string     // image/svg+xml or image/png
	Revisions []Revision // by copy, of two revisions laid over each other
}

// Revision tells which of two revisions a copy is of.
type Revision uint8

const (
	Both Revision = iota
	Before
	After
)

// Fact is a line of a table.
type Fact struct{ Name, Text string }

// Value is a solved value with its origin.
type Value struct {
	Name, Text, From, Where, Doc string
	Field                        *Field // where it may be changed while it is shown
}

// Field is how a value is changed: between Low and High, in Unit, by a slider where both are
// known.
type Field struct {
	Value     string
	Low, High string // "" where there is no limit
	Step      string
	Unit      string
}

// Slides tells whether there is a range to slide over.
func (f *Field) Slides() bool { return f.Low != "" && f.High != "" }

// Warning is what the shop should know, and where.
type Warning struct {
	Code, Text, Where string
	Notes             []string
	Error             bool
	Places            []Place
}

// Kind is what of a part a place is.
type Kind string

const (
	Whole Kind = ""
	Face  Kind = "face"
	Fold  Kind = "fold"
	Hole  Kind = "hole"
)

// Place is a part, or a face, fold or hole of one, by numbers of the scene.
type Place struct {
	Copy int
	Kind Kind
	Of   int
}

// Blank is a line of the list of blanks.
type Blank struct {
	Name, Called, Stock, Size, Mass string
	Count                           int
	Copies                          []int
	Names                           []string // of the copies
	Bends                           []Bend
}

// Bend is a line of a blank's bends.
type Bend struct{ Name, Angle, Way, Radius, Allowance string }

//go:embed page.css
var style string

//go:embed flat.js
var flatScript string

//go:embed space.js
var spaceScript string

//go:embed pick.js
var pickScript string

//go:embed desk.js
var deskScript string

//go:embed hand.js
var handScript string

//go:embed wire.js
var wireScript string

//go:embed page.html
var layout string

//go:embed sheet.html
var sheetLayout string

var pages = sync.OnceValue(func() *template.Template {
	return template.Must(template.Must(template.New("page").Parse(layout)).New("sheet").Parse(sheetLayout))
})

func script() string {
	return "\"use strict\";\n(() => {\n" + strings.Join([]string{flatScript, spaceScript, pickScript, deskScript, handScript, wireScript}, "\n") + "})();\n"
}

// view is what the layout is filled with.
type view struct {
	*Document
	Policy string
	Style  template.CSS
	Script template.JS
	Data   string
}

// policy lets the page run its own script, use its own style and show its own pictures, and
// nothing else: nothing is asked of any host, but of a live page's own.
func (d *Document) policy() string {
	p := "default-src 'none'; script-src " + hash(script()) + "; style-src " + hash(style) + "; img-src data:; base-uri 'none'; form-action 'none'"
	if d.Live {
		p += "; connect-src 'self'"
	}
	return p
}

// hash is how a policy names a text that may run.
func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// Write writes the page. The error is w's, or of a number that is not finite.
func (d *Document) Write(w io.Writer) error {
	data, err := d.packed()
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := pages().ExecuteTemplate(&b, "page", view{Document: d, Policy: d.policy(), Style: template.CSS(style), Script: template.JS(script()), Data: data}); err != nil {
		return err
	}
	_, err = w.Write(b.Bytes())
	return err
}

// Sheets writes what stands beside the picture, for each size; a live page puts it in place of
// what it has.
func (d *Document) Sheets(w io.Writer) error {
	return pages().ExecuteTemplate(w, "sheets", view{Document: d})
}

// JSON writes the scene for the script of a live page.
func (d *Document) JSON(w io.Writer) error {
	text, err := json.Marshal(d.data())
	if err != nil {
		return err
	}
	_, err = w.Write(text)
	return err
}

// Still is a size's picture as an address that holds all of it.
func (s *Size) Still() template.URL {
	if len(s.Picture) == 0 {
		return ""
	}
	return template.URL("data:" + s.Type + ";base64," + base64.StdEncoding.EncodeToString(s.Picture))
}

// Looks are the named views.
func (d *Document) Looks() []string {
	return []string{"corner", "front", "right", "back", "left", "above", "below"}
}
