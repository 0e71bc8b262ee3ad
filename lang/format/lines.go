package format

import "unicode/utf8"

const (
	columnGap = 2  // spaces before a column of documentation or comments
	maxAlign  = 80 // columns; a longer line takes no part in a column
)

// line is a line of output: up to three cells of the buffer, one behind the
// other.
type line struct {
	start, code, doc, comment int // where the line starts, and where each cell ends
	indent                    int
	blank                     bool // a blank line stands before it
	inDoc                     bool // tokens go to the doc cell
	row                       bool // starts a declaration or a rule
	further                   bool // not the first line of its statement, or a comment's own
}

// last is the line being filled; there is always one once a token was seen.
func (w *writer) last() *line { return &w.lines[len(w.lines)-1] }

func (w *writer) newLine(indent int, blank bool) {
	n := len(w.buf)
	w.lines = append(w.lines, line{start: n, code: n, doc: n, comment: n, indent: indent, blank: blank})
}

// grow lets the cell being filled end at n.
func (l *line) grow(n int) {
	if !l.inDoc {
		l.code = n
	}
	l.doc, l.comment = n, n
}

// trimSpace takes back the space before a cell.
func (l *line) trimSpace(buf *[]byte) {
	if b := *buf; len(b) > l.start && b[len(b)-1] == ' ' {
		*buf = b[:len(b)-1]
	}
}

// columns of a line: how wide it is up to a cell.
type columns struct{ doc, comment int }

// write sets the cells into columns and joins the lines.
func (w *writer) write() string {
	cols := make([]columns, len(w.lines))
	w.alignDocs(cols)
	w.alignComments(cols)
	out := make([]byte, 0, len(w.buf)+len(w.buf)/2)
	for i := range w.lines {
		l := &w.lines[i]
		if l.blank && i > 0 {
			out = append(out, '\n')
		}
		out = pad(out, l.indent)
		out = append(out, w.buf[l.start:l.code]...)
		if l.doc > l.code {
			out = pad(out, cols[i].doc-w.codeWidth(l))
			out = append(out, w.buf[l.code:l.doc]...)
		}
		if l.comment > l.doc {
			if l.doc > l.start {
				out = pad(out, cols[i].comment-w.docWidth(l, cols[i].doc))
			}
			out = append(out, w.buf[l.doc:l.comment]...)
		}
		out = append(out, '\n')
	}
	return string(out)
}

func pad(out []byte, n int) []byte {
	for ; n > 0; n-- {
		out = append(out, ' ')
	}
	return out
}

func (w *writer) codeWidth(l *line) int {
	return l.indent + utf8.RuneCount(w.buf[l.start:l.code])
}

// docWidth is the width of l with its documentation at column doc.
func (w *writer) docWidth(l *line, doc int) int {
	if l.doc == l.code {
		return w.codeWidth(l)
	}
	return doc + utf8.RuneCount(w.buf[l.code:l.doc])
}

// alignDocs sets the documentation of neighbouring declarations and rules into
// one column. Those without any, and comments between them, do not part it.
func (w *writer) alignDocs(cols []columns) {
	joins := func(l *line) bool { return l.row || l.code == l.start }
	w.groups(joins, func(group []line, cols []columns) {
		widest := 0
		for i := range group {
			l := &group[i]
			if l.doc == l.code {
				continue
			}
			cols[i].doc = w.codeWidth(l) + columnGap
			if cols[i].doc <= maxAlign {
				widest = max(widest, cols[i].doc)
			}
		}
		for i := range group {
			cols[i].doc = max(cols[i].doc, widest)
		}
	}, cols)
}

// alignComments sets the comments behind neighbouring lines into one column.
func (w *writer) alignComments(cols []columns) {
	joins := func(l *line) bool { return l.comment > l.doc && l.doc > l.start }
	w.groups(joins, func(group []line, cols []columns) {
		widest := 0
		for i := range group {
			l := &group[i]
			cols[i].comment = w.docWidth(l, cols[i].doc) + columnGap
			if cols[i].comment <= maxAlign {
				widest = max(widest, cols[i].comment)
			}
		}
		for i := range group {
			cols[i].comment = max(cols[i].comment, widest)
		}
	}, cols)
}

// groups calls set for every longest run of lines that joins accepts, of one
// indent and without a blank line inside.
func (w *writer) groups(joins func(*line) bool, set func([]line, []columns), cols []columns) {
	for i := 0; i < len(w.lines); {
		if !joins(&w.lines[i]) {
			i++
			continue
		}
		k := i + 1
		for k < len(w.lines) && joins(&w.lines[k]) && !w.lines[k].blank && w.lines[k].indent == w.lines[i].indent {
			k++
		}
		set(w.lines[i:k], cols[i:k])
		i = k
	}
}
