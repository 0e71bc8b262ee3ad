package syntax

import (
	"fmt"
	"slices"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"

	"perch/lang/diag"
)

// Limits of one file. They are far beyond any design and keep a hostile text
// from taking the machine's memory or time.
const (
	MaxFileSize = 8 << 20 // bytes
	MaxNesting  = 200     // brackets and nested choices
	maxTokens   = 2_000_000
	maxChain    = 1000 // operators of one rank in a row
	maxMistakes = 200  // listed for one file
	stopAfter   = 1000 // mistakes; a file with more is no design
)

// Parse reads src and returns its tree, partial where there are mistakes, and
// every syntax mistake found, in order of place. The tree is never nil; src may
// not be. A statement with a mistake is left out, except a panel, which keeps
// what could be read of it.
func Parse(src *diag.Source) (*File, []diag.Diagnostic) {
	file := &File{Source: src}
	if len(src.Text) > MaxFileSize {
		return file, []diag.Diagnostic{{
			Code: "P1001", Span: diag.Span{Source: src},
			Summary: fmt.Sprintf("the file has %d bytes; at most %d are read", len(src.Text), MaxFileSize),
			Notes:   []string{"put parts of the design into modules and `use` them"},
		}}
	}
	scan := newScanner(src)
	lex, err := lexer.Upgrade(meaning{scan})
	if err != nil { // the scanner gives none
		return file, []diag.Diagnostic{{Code: "P1001", Span: diag.Span{Source: src}, Summary: err.Error()}}
	}
	e := engines.Get().(*engine)
	p := &parser{src: src, eng: e, lex: lex, l: lex, file: file}
	e.p = p
	defer func() { e.p = nil; engines.Put(e) }()
	p.run()
	file.Comments = scan.comments
	return file, limit(diag.Sorted(append(scan.diags, p.diags...)))
}

// limit keeps the first maxMistakes and says that there were more.
func limit(ds []diag.Diagnostic) []diag.Diagnostic {
	if len(ds) <= maxMistakes {
		return ds
	}
	last := &ds[maxMistakes-1]
	last.Notes = append(slices.Clone(last.Notes), fmt.Sprintf("this file has more than %d mistakes; mend these first", maxMistakes))
	return ds[:maxMistakes:maxMistakes]
}

// parser is the state of one Parse.
type parser struct {
	src   *diag.Source
	eng   *engine
	lex   *lexer.PeekingLexer // between statements
	l     *lexer.PeekingLexer // within a statement: participle's own copy
	file  *File
	diags []diag.Diagnostic
	open  []block

	failed bool     // a mistake was reported in this statement, which is lost
	stuck  bool     // and nothing behind it can be trusted to fit
	depth  int      // of brackets
	any    bool     // a statement was seen
	last   *starter // of the statement just read, until its block opens or closes

	stop    int  // where to stop before a statement, with no block open; 0: nowhere
	stopped bool // and whether that came to pass
}

// block is an open brace: of a panel, of a face, or of something that could
// not be read.
type block struct {
	holds place // what it may hold
	name  string
	word  string
	at    diag.Span // of the opening brace
	head  diag.Span // of the statement up to there
	panel *Panel
	face  *Face
}

func (p *parser) span(t *token) diag.Span {
	start := int32(t.Pos.Offset)
	return diag.Span{Source: p.src, Start: start, End: start + int32(t.Pos.Column)}
}

// prev is the span of the token just taken; the file's start before any.
func (p *parser) prev() diag.Span {
	raw := p.l.RawCursor()
	if raw == 0 {
		return diag.Span{Source: p.src}
	}
	return p.span(&p.l.Range(raw-1, raw)[0])
}

// since is the span from start to the token just taken.
func (p *parser) since(start diag.Span) diag.Span { return diag.Cover(start, p.prev()) }

func (p *parser) report(d diag.Diagnostic) { p.diags = append(p.diags, d) }

// run parses statement by statement to the end of the file, or until there are
// stopAfter mistakes.
func (p *parser) run() {
	for len(p.diags) < stopAfter {
		p.l = p.lex
		t := p.l.Peek()
		if p.stop > 0 && t.Pos.Offset >= p.stop {
			p.stopped = t.Pos.Offset == p.stop && t.Type == tStart && p.shut(starterFor(t.Value), *t) && len(p.open) == 0
			return
		}
		switch {
		case t.EOF():
			for len(p.open) > 0 && len(p.diags) < stopAfter {
				p.unclosed(p.prev().After(), "the end of the file")
			}
			return
		case t.Type == tStart:
			p.statement(*t)
		case t.Value == "}" && t.Type == tPunct:
			p.l.Next()
			p.last = nil
			if len(p.open) == 0 {
				sp := p.span(t)
				p.report(diag.Diagnostic{Code: "P1106", Span: sp, Summary: "this `}` closes nothing", Label: "no `{` is open here", Fix: replaceFix(sp, "", "delete it")})
				continue
			}
			p.close(p.prev())
		default:
			p.garbage()
		}
	}
}

// here is what the innermost open block holds.
func (p *parser) here() place {
	if len(p.open) == 0 {
		return atTop
	}
	return p.open[len(p.open)-1].holds
}

// close ends the innermost block at end.
func (p *parser) close(end diag.Span) {
	b := p.open[len(p.open)-1]
	p.open = p.open[:len(p.open)-1]
	if b.panel != nil {
		b.panel.At = diag.Cover(b.head, end)
	}
	if b.face != nil {
		b.face.At = diag.Cover(b.head, end)
	}
}

// unclosed reports the innermost block as missing its brace at sp, before what,
// and closes it.
func (p *parser) unclosed(sp diag.Span, before string) {
	b := p.open[len(p.open)-1]
	what := "this block"
	if b.word != "" {
		what = fmt.Sprintf("the %s `%s`", b.word, clip(b.name))
	}
	p.report(diag.Diagnostic{
		Code: "P1105", Span: sp,
		Summary: fmt.Sprintf("a `}` is missing: %s is not closed before %s", what, before),
		Label:   "expected `}` before here",
		Related: []diag.Related{{Span: b.at, Message: "opened here"}},
		Fix:     replaceFix(p.prev().After(), "\n}", "close it with `}`"),
	})
	p.close(p.prev())
}

// statement parses the statement that t starts and hangs it where it belongs.
func (p *parser) statement(t token) {
	st := starterFor(t.Value)
	kept := p.shut(st, t)
	if !kept {
		p.misplaced(st, &t)
	}
	if t.Value == "design" && (p.any || p.file.Design != nil) && kept {
		p.secondDesign(&t)
		kept = false
	}
	p.any, p.last = true, st
	p.failed, p.stuck, p.depth = false, false, 0
	first := p.span(&t)
	s, opens := p.parseOne(&t)
	p.l = p.lex
	if p.failed {
		opens = p.recover(t.Value, opens)
		if _, isPanel := s.(*Panel); !isPanel {
			kept = false
		}
	}
	if s != nil && kept {
		p.add(s)
	}
	if opens {
		p.enter(st, s, first, kept)
	}
}

// shut ends the blocks that t can't stand in, where a brace of theirs is missing
// or was one too many. It is false where t is misplaced.
func (p *parser) shut(st *starter, t token) bool {
	for len(p.open) > 0 {
		last := &p.open[len(p.open)-1]
		switch {
		case last.holds == anywhere && st.places == atTop && p.closersAhead() < len(p.open):
			p.close(p.prev()) // what opened it is reported already
		case st.places&last.holds != 0:
			return true
		case st.places&p.outer() != 0 && p.closersAhead() < len(p.open):
			p.unclosed(p.span(&t), fmt.Sprintf("`%s`", t.Value))
		default:
			return false
		}
	}
	return st.places&atTop != 0
}

// outer is all that the blocks around the innermost may hold.
func (p *parser) outer() place {
	all := atTop
	for _, b := range p.open[:len(p.open)-1] {
		all |= b.holds
	}
	return all
}

// closersAhead counts the closing braces, less the opening ones, from the
// statement at hand to the next that stands at the top: where they suffice for
// the open blocks, the statement at hand is misplaced rather than a brace lost.
func (p *parser) closersAhead() int {
	const far = 1024 // tokens
	cp := p.l.MakeCheckpoint()
	defer p.l.LoadCheckpoint(cp)
	p.l.Next()
	n := 0
	for range far {
		t := p.l.Next()
		switch {
		case t.EOF():
			return n
		case t.Type == tStart && starterFor(t.Value).places == atTop:
			return n
		case t.Value == "}":
			n++
		case t.Value == "{":
			n--
		}
	}
	return n
}

var placeNames = map[place]string{
	atTop: "at the top of a file", inPanel: "in a panel", inFace: "in a face",
	atTop | inPanel: "at the top of a file or in a panel",
}

func (p *parser) misplaced(st *starter, t *token) {
	where := "at the top of a file"
	if n := len(p.open); n > 0 {
		where = fmt.Sprintf("in the %s `%s`", p.open[n-1].word, clip(p.open[n-1].name))
	}
	p.report(diag.Diagnostic{
		Code: "P1104", Span: p.span(t),
		Summary: fmt.Sprintf("`%s` can't stand %s", st.word, where),
		Label:   fmt.Sprintf("it belongs %s", placeNames[st.places]),
	})
}

func (p *parser) secondDesign(t *token) {
	d := diag.Diagnostic{Code: "P1107", Span: p.span(t), Summary: "`design` is the first statement of its file", Label: "move it to the top"}
	if p.file.Design != nil {
		d.Summary, d.Label = "a file has one `design` line", "delete this one"
		d.Related = []diag.Related{{Span: p.file.Design.At, Message: "the first is here"}}
	}
	p.report(d)
}

// add hangs s in the innermost block.
func (p *parser) add(s Stmt) {
	if d, ok := s.(*Design); ok {
		p.file.Design = d
		return
	}
	if len(p.open) == 0 {
		p.file.Stmts = append(p.file.Stmts, s)
		return
	}
	switch b := p.open[len(p.open)-1]; {
	case b.face != nil:
		b.face.Body = append(b.face.Body, s)
	case b.panel != nil:
		b.panel.Body = append(b.panel.Body, s)
	}
}

// enter opens the block whose brace was just taken. What can't be kept may
// hold anything, so that its content is still looked through.
func (p *parser) enter(st *starter, s Stmt, first diag.Span, kept bool) {
	b := block{holds: anywhere, at: p.prev(), head: p.since(first)}
	switch x := s.(type) {
	case *Panel:
		b.holds, b.word, b.name = inPanel, st.word, x.Name.Name
		if kept {
			b.panel = x
		}
	case *Face:
		b.holds, b.word, b.name = inFace, st.word, x.Name.Name
		if kept {
			b.face = x
		}
	}
	p.open, p.last = append(p.open, b), nil
}

// recover skips from a mistake to the next statement. It reports whether a
// block was entered on the way: opens, if the statement opened it already.
func (p *parser) recover(word string, opens bool) bool {
	if opens {
		return true
	}
	for {
		t := p.l.Peek()
		switch {
		case t.EOF() || t.Type == tStart:
			return false
		case t.Type == tPunct && t.Value == "}":
			return false
		case t.Type == tPunct && t.Value == "{":
			p.l.Next()
			return true
		}
		p.l.Next()
	}
}

// garbage reports text that starts no statement, once up to the next one.
func (p *parser) garbage() {
	t := *p.l.Peek()
	sp := p.span(&t)
	d := diag.Diagnostic{Code: "P1101", Span: sp, Summary: "expected a statement, found " + describe(&t)}
	if near, ok := nearestStarter(t.Value); ok && t.Type == tWord {
		d.Label = fmt.Sprintf("did you mean `%s`?", near)
		d.Fix = replaceFix(sp, near, "write `"+near+"`")
	} else if p.last != nil {
		d.Label = fmt.Sprintf("the `%s` statement ends before this", p.last.word)
		d.Notes = []string{"it reads: " + p.last.form}
		if before := p.l.Range(p.l.RawCursor()-1, p.l.RawCursor())[0]; endsValue(&before) && p.startsExpr() {
			d.Notes = append(d.Notes, "between two values stands an operator; a product is written with `*`")
		}
	} else {
		d.Label = "a statement starts with a reserved word"
		d.Notes = []string{"here: " + p.startersHere()}
	}
	p.last = nil
	p.report(d)
	if p.recover("", false) {
		p.open = append(p.open, block{holds: anywhere, at: p.prev(), head: sp})
	}
}

// endsValue reports whether a value can end with t.
func endsValue(t *token) bool {
	return t.Type == tNumber || t.Type == tWord || t.Value == ")" || t.Value == "]"
}

// startersHere lists the words that start a statement in the innermost block.
func (p *parser) startersHere() string {
	list := ""
	for _, s := range starters {
		if s.places&p.here() != 0 && s.word != "design" {
			list += " " + s.word
		}
	}
	if list == "" {
		return ""
	}
	return list[1:]
}

// one runs participle on one statement; nil where it failed at once.
func one[G any](p *parser, g *participle.Parser[G]) *G {
	v, err := g.ParseFromLexer(p.lex, participle.AllowTrailing(true))
	p.l = p.lex
	if err != nil && !p.failed {
		p.expected(err)
	}
	return v
}
