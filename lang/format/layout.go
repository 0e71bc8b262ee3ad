package format

const (
	step         = 2 // columns a level
	continuation = 4 // columns that a statement's further lines are set in
)

// writer turns tokens into lines.
type writer struct {
	text   string
	marks  marks
	tokens []token
	frames []frame
	buf    []byte // the lines' cells, one behind the other
	lines  []line
}

// frame is what the token at hand stands in.
type frame struct {
	kind   frameKind
	indent int  // of its statements or items
	end    int  // index of the token that closes it
	comma  bool // an item list that takes a trailing comma
}

type frameKind uint8

const (
	block  frameKind = iota // the file, or braces: a statement a line
	inline                  // braces on one line
	spread                  // a bracket with an item a line
	flat                    // a bracket on one line
)

// matchBrackets pairs the brackets and settles which are spread: those with a
// newline or a comment behind the opener, and those with a comment between
// their items.
func (w *writer) matchBrackets() {
	var open []int
	for i := range w.tokens {
		t := &w.tokens[i]
		switch t.kind {
		case opener, brace:
			open = append(open, i)
			if t.kind == opener && i+1 < len(w.tokens) {
				next := &w.tokens[i+1]
				t.spread = next.newlines > 0 && next.kind != closer && w.marks[next.start]&bare == 0
			}
		case closer, endBrace:
			if n := len(open); n > 0 {
				w.tokens[open[n-1]].match = int32(i)
				open = open[:n-1]
			}
		case comment:
			if n := len(open); n > 0 {
				w.tokens[open[n-1]].spread = true
			}
		}
	}
}

// next is the index of the next token that is no comment; len(tokens) for none.
func (w *writer) next(i int) int {
	for i++; i < len(w.tokens) && w.tokens[i].kind == comment; i++ {
	}
	return i
}

func (w *writer) top() *frame { return &w.frames[len(w.frames)-1] }

// layOut puts every token on its line.
func (w *writer) layOut() {
	if w.buf == nil {
		w.buf = make([]byte, 0, len(w.text)+64)
		w.lines = make([]line, 0, 64)
	}
	w.buf, w.lines = w.buf[:0], w.lines[:0]
	w.frames = append(w.frames[:0], frame{kind: block, end: len(w.tokens)})
	before := -1 // the last token that was no comment
	for i := range w.tokens {
		t := &w.tokens[i]
		if t.kind == comment {
			w.comment(i, before)
			t.line = int32(len(w.lines) - 1)
			continue
		}
		f := w.top()
		next := w.next(i)
		if t.kind == comma && next == f.end && (f.kind == flat || f.kind == spread && !f.comma) {
			t.line = int32(len(w.lines) - 1)
			continue // only of a flat list: no other may end so
		}
		w.gap(i, before, next)
		w.token(i)
		t.line, t.behind = int32(len(w.lines)-1), int32(len(w.buf))
		switch {
		case i == f.end:
			w.frames = w.frames[:len(w.frames)-1]
		case t.kind == opener || t.kind == brace:
			w.enter(i, before)
			f = nil
		}
		// The item that ends here may lack its comma.
		if f := w.top(); f.kind == spread && f.comma && next == f.end && t.kind != comma && !(t.kind == opener && int(t.match) == next) {
			w.buf = append(w.buf, ',')
			w.last().grow(len(w.buf))
		}
		before = i
	}
}

// enter opens the frame of the bracket or brace at i.
func (w *writer) enter(i, before int) {
	t := &w.tokens[i]
	f := frame{kind: flat, indent: w.last().indent + step, end: int(t.match)}
	switch {
	case t.kind == brace && !t.spread && w.staysInline(i):
		f.kind = inline
	case t.kind == brace:
		f.kind, f.indent = block, w.outerBlock()+step
	case t.spread:
		f.kind = spread
		f.comma = w.takesComma(i, before)
	}
	w.frames = append(w.frames, f)
}

// outerBlock is the indent of the innermost block.
func (w *writer) outerBlock() int {
	for i := len(w.frames) - 1; i > 0; i-- {
		if w.frames[i].kind == block {
			return w.frames[i].indent
		}
	}
	return 0
}

// takesComma reports whether the bracket at i may end with a comma: arguments,
// declarations and lists do; points, indices and plain brackets do not.
func (w *writer) takesComma(i, before int) bool {
	round := w.text[w.tokens[i].start] == '('
	if w.isGlued(before) {
		return round
	}
	n := w.next(i)
	return !round && w.marks[w.tokens[n].start]&bare == 0
}

// isGlued reports whether the bracket behind the token at i belongs to it.
func (w *writer) isGlued(i int) bool {
	return i >= 0 && w.marks[w.tokens[i].end-1]&glued != 0
}

// staysInline reports whether the braces at i were written on one line with at
// most one statement between them, of a face: they hold no braces themselves.
func (w *writer) staysInline(i int) bool {
	statements := 0
	for k := i + 1; k <= int(w.tokens[i].match); k++ {
		t := &w.tokens[k]
		if t.newlines > 0 || t.kind == comment || t.kind == brace {
			return k == int(w.tokens[i].match) && statements == 0 && t.kind != comment
		}
		if t.kind == starter {
			statements++
		}
	}
	return statements <= 1
}

// gap writes what stands between the token at before and the one at i.
func (w *writer) gap(i, before, next int) {
	t, f := &w.tokens[i], w.top()
	afterComment := i > 0 && w.tokens[i-1].kind == comment
	switch {
	case before < 0:
		w.newLine(0, afterComment && t.newlines > 1)
	case f.kind == block && (t.kind == starter || t.kind == endBrace):
		indent := f.indent
		if t.kind == endBrace {
			indent -= step
		}
		opens := w.tokens[before].kind == brace && !afterComment
		w.newLine(indent, t.newlines > 1 && t.kind != endBrace && !opens)
	case f.kind == spread && i == f.end:
		w.newLine(f.indent-step, false)
	case f.kind == spread && w.itemStarts(before):
		opens := w.tokens[before].kind == opener && !afterComment
		w.newLine(f.indent, t.newlines > 1 && !opens)
	case afterComment || t.newlines > 0 && f.kind != flat && f.kind != inline && w.mayBreak(i, before, next):
		w.newLine(w.base()+continuation, false)
		w.last().further = true
	case w.spaced(i, before):
		w.buf = append(w.buf, ' ')
	}
}

// base is the indent of the statement or item at hand.
func (w *writer) base() int {
	for i := len(w.frames) - 1; i > 0; i-- {
		if k := w.frames[i].kind; k == block || k == spread {
			return w.frames[i].indent
		}
	}
	return 0
}

// itemStarts reports whether an item of the spread bracket on top starts behind
// the token at before.
func (w *writer) itemStarts(before int) bool {
	t := &w.tokens[before]
	return t.kind == comma || t.kind == opener && int(t.match) == w.top().end
}

// mayBreak reports whether a line that its author broke between the tokens at
// before and i may stay so: at an operator or the word that leads a clause,
// behind the `=` of a value, and behind a comma outside brackets.
func (w *writer) mayBreak(i, before, next int) bool {
	t, b := &w.tokens[i], &w.tokens[before]
	switch {
	case w.marks[t.start]&binary != 0 || w.marks[b.start]&binary != 0 || b.kind == comma:
		return true
	case w.marks[t.start]&clause != 0:
		return w.text[b.start] == '='
	}
	return next < len(w.tokens) && w.marks[w.tokens[next].start]&clause != 0 && w.text[t.start] != '='
}

// spaced reports whether a space stands between two tokens of a line.
func (w *writer) spaced(i, before int) bool {
	t, b := &w.tokens[i], &w.tokens[before]
	switch {
	case t.kind == comma || t.kind == closer || b.kind == opener:
		return false
	case b.kind == brace:
		return t.kind != endBrace
	case t.kind == opener:
		if w.isGlued(before) {
			return false
		}
	}
	switch w.text[t.start] {
	case ':', '.', '^':
		return false
	}
	switch w.text[b.start] {
	case '.', '^':
		return false
	case '-':
		return w.marks[b.start]&minus == 0
	}
	return true
}

// token writes the token at i in its cell.
func (w *writer) token(i int) {
	t := &w.tokens[i]
	l := w.last()
	m := w.marks[t.start]
	if m&rowLine != 0 && l.code == l.start {
		l.row = true
	}
	if m&doc != 0 && l.row && !l.further && w.top().kind != flat && w.top().kind != inline {
		l.trimSpace(&w.buf)
		l.inDoc = true
	}
	w.buf = append(w.buf, w.text[t.start:t.end]...)
	l.grow(len(w.buf))
}

// comment writes the comment at i: behind the code of its line, or on a line of
// its own.
func (w *writer) comment(i, before int) {
	t := &w.tokens[i]
	text := trimRight(w.text[t.start:t.end])
	f := w.top()
	trailing := i > 0 && t.newlines == 0
	if !trailing {
		next := w.next(i)
		between := before < 0 || next >= len(w.tokens) || f.kind == block && (w.tokens[next].kind == starter || w.tokens[next].kind == endBrace)
		items := f.kind == spread && (w.itemStarts(before) || next == f.end)
		first := i == 0 || before == i-1 && (w.tokens[before].kind == brace || items && w.tokens[before].kind == opener)
		switch {
		case between || items:
			w.newLine(f.indent, t.newlines > 1 && !first)
		default:
			w.newLine(w.base()+continuation, false)
		}
		w.last().further = true
	}
	l := w.last()
	w.buf = append(w.buf, text...)
	l.comment = len(w.buf)
}

func trimRight(s string) string {
	for s != "" && (s[len(s)-1] == ' ' || s[len(s)-1] == '\t' || s[len(s)-1] == '\r') {
		s = s[:len(s)-1]
	}
	return s
}
