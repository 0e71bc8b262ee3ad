package blankpage

import (
	"regexp"
	"strconv"

	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/plane"
)

// codeName is a name as the design writes it, of a family's member by its number or of two words.
var codeName = regexp.MustCompile(`[A-Za-z]\w*(\.\d+)+|[A-Za-z]\w*_\w+`)

// inWords puts the names in a sentence into words.
func inWords(text string) string { return codeName.ReplaceAllStringFunc(text, naming.Plain) }

// difference is the number on the drawing of what differs on the blank from one that looks like it;
// 0 where it is all over.
func (d *drawing) difference(of panel.Likeness, i int) int {
	n := 0
	for _, l := range d.b.Like {
		for k := range l.At {
			n++
			if l.Blank == of.Blank && k == i {
				return n
			}
		}
	}
	return 0
}

// labelDifferences rings on the drawing what differs from blanks that look alike, with its number.
func (d *drawing) labelDifferences() {
	const ring = 7.0
	style := paper.Style{Bold: true}
	n := 0
	for _, l := range d.b.Like {
		for _, at := range l.At {
			n++
			c := d.to.Apply(at)
			d.page.Sketch(paper.Visible, true, plane.Circle(ring).Transform(plane.Translate(c)))
			d.page.Point(c.Add(plane.Point{X: ring / 2}), style, "≠"+strconv.Itoa(n))
		}
	}
}
