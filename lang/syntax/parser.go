package syntax

import (
	"fmt"
	"slices"
	"strings"

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
			Code: "P1001", Mark: diag.WholeFile, Span: diag.Span{Source: src},
			Summary: fmt.Sprintf("the file has %d bytes; at most %d are read", len(src.Text), MaxFileSize),
			Notes:   []string{"put parts of the design into modules and `use` them"},
		}}
	}
	scan := newScanner(src)
	e := engines.Get().(*engine)
	p := &parser{src: src, eng: e, tokens: scan.grammatical(), file: file, mistakeAt: -1}
	p.broken = scan.broken
	e.p = p
	defer func() { e.p = nil; engines.Put(e) }()
	p.run()
	file.Comments = scan.comments
	return file, limit(diag.Sorted(append(scan.mistakes(), p.diags...)))
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
	src    *diag.Source
	eng    *engine
	tokens []Token
	at     int // of the next token
	file   *File
	diags  []diag.Diagnostic
	open   []block

	failed    bool     // a mistake was found in this statement, which is lost
	stuck     bool     // and nothing behind it can be trusted to fit
	depth     int      // of brackets
	any       bool     // a statement was seen
	last      *starter // of the statement just read, until its block opens or closes
	added     *[]Stmt  // where it was kept; nil where it was not
	first     int32    // where that starts
	mistakeAt int      // tokens that were read when a mistake was found in it; -1: none

	broken []diag.Span // lines on which a quote is left open
	closed *closed     // the block that ended last, until the next statement of the top
	looks  int         // how often braces ahead were counted
	lost   bool        // the statement before stood where it can't, and was left out

	from int                      // the token that the statement starts with
	fill func(behind string) bool // reads one of its clauses
	fits func() bool              // whether one starts here that no word stands before

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
	doubt bool // a brace inside was reported: where the block ends is a guess
}

// closed is a block and the brace that ended it.
type closed struct {
	block
	by diag.Span
}

func (p *parser) span(t *Token) diag.Span {
	return diag.Span{Source: p.src, Start: t.Start, End: t.End}
}

// prev is the span of the token just taken; the file's start before any.
func (p *parser) prev() diag.Span {
	if p.at == 0 {
		return diag.Span{Source: p.src}
	}
	return p.span(&p.tokens[p.at-1])
}

// since is the span from start to the token just taken.
func (p *parser) since(start diag.Span) diag.Span { return diag.Cover(start, p.prev()) }

// report notes a mistake, unless it follows from one before.
func (p *parser) report(d diag.Diagnostic) {
	if !p.near() && !p.follows(d.Span) {
		p.diags = append(p.diags, d)
	}
}

// run parses statement by statement to the end of the file, or until there are
// stopAfter mistakes.
func (p *parser) run() {
	for len(p.diags) < stopAfter {
		t := p.peek()
		if p.stop > 0 && int(t.Start) >= p.stop {
			p.stopped = int(t.Start) == p.stop && t.Type == StartToken && p.shut(p.starter(t), *t) && len(p.open) == 0
			return
		}
		switch {
		case t.EOF():
			p.mistakeAt = -1
			for len(p.open) > 0 && len(p.diags) < stopAfter {
				p.unclosed(p.prev().After(), "the end of the file")
			}
			return
		case t.Type == StartToken:
			p.statement(*t)
		case t.Value == "}" && t.Type == PunctToken:
			p.last = nil
			p.closer(t)
		default:
			p.garbage()
		}
	}
}

// closer takes a closing brace, which ends the innermost block.
func (p *parser) closer(t *Token) {
	sp := p.span(t)
	d := diag.Diagnostic{Code: "P1106", Span: sp, Summary: "this `}` closes nothing", Label: "no `{` is open here", Fix: replaceFix(sp, "", "delete it")}
	stray := p.strayCloser()
	p.next()
	switch {
	case stray:
		d.Label = "it stands amid a statement"
		p.report(d)
		p.recover(nil)
	case len(p.open) == 0:
		p.report(d)
	default:
		p.close(sp)
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
	p.closed = &closed{b, end}
	if n := len(p.open); n > 0 && (b.doubt || b.word == "") {
		p.open[n-1].doubt = true
	}
}

// unclosed reports the innermost block as missing its brace at sp, before what,
// and closes it.
func (p *parser) unclosed(sp diag.Span, before string) {
	if b := p.open[len(p.open)-1]; b.word != "" && !b.doubt { // else it is reported already
		p.report(diag.Diagnostic{
			Code: "P1105", Span: sp,
			Summary: fmt.Sprintf("a `}` is missing: the %s `%s` is not closed before %s", b.word, clip(b.name), before),
			Label:   "expected `}` before here",
			Related: []diag.Related{{Span: b.at, Message: "opened here"}},
			Fix:     replaceFix(p.prev().After(), "\n}", "close it with `}`"),
		})
	}
	p.close(p.prev())
}

// statement parses the statement that t starts and hangs it where it belongs.
func (p *parser) statement(t Token) {
	st := p.starter(&t)
	p.mistakeAt, p.added = -1, nil
	kept := p.shut(st, t)
	p.first = t.Start
	if !kept {
		kept = p.misplaced(st, &t)
	}
	p.lost = !kept
	if st.places == atTop {
		p.closed = nil
	}
	if t.Value == "design" && (p.any || p.file.Design != nil) && kept {
		p.secondDesign(&t)
		kept = false
	}
	p.any, p.last, p.mistakeAt = true, st, -1
	p.failed, p.stuck, p.depth = false, false, 0
	head := p.span(&t)
	s, opens := p.parseOne(&t)
	if p.failed {
		opens = opens || p.recover(st)
		if _, isPanel := s.(*Panel); !isPanel {
			kept = false
		}
	}
	if s != nil && kept {
		p.add(s)
	}
	if opens {
		p.enter(st, s, head, kept)
	}
}

func (p *parser) secondDesign(t *Token) {
	d := diag.Diagnostic{Code: "P1107", Mark: diag.WholeFile, Span: p.span(t), Summary: "`design` is the first statement of its file", Label: "move it to the top"}
	line := d.Span
	line.End = p.lineEnd(line.End)
	text := strings.TrimRight(line.Text(), " \t\r\n")
	top := diag.Span{Source: p.src}
	if strings.HasPrefix(p.src.Text, "\ufeff") {
		top.Start, top.End = 3, 3
	}
	d.Fix = &diag.Fix{Message: "move it to the top", Edits: []diag.Edit{{Span: line}, {Span: top, Text: text + "\n"}}}
	if p.file.Design != nil {
		d.Fix = replaceFix(line, "", "delete it")
		d.Summary, d.Label = "a file has one `design` line", "delete this one"
		d.Related = []diag.Related{{Span: p.file.Design.At, Message: "the first is here"}}
	}
	p.report(d)
}

// lineEnd is behind the end of the line that an offset stands on.
func (p *parser) lineEnd(at int32) int32 {
	if n := strings.IndexByte(p.src.Text[at:], '\n'); n >= 0 {
		return at + int32(n) + 1
	}
	return int32(len(p.src.Text))
}

// add hangs s in the innermost block.
func (p *parser) add(s Stmt) {
	if d, ok := s.(*Design); ok {
		p.file.Design = d
		return
	}
	if len(p.open) == 0 {
		p.added = &p.file.Stmts
	} else if b := p.open[len(p.open)-1]; b.face != nil {
		p.added = &b.face.Body
	} else if b.panel != nil {
		p.added = &b.panel.Body
	} else {
		return
	}
	*p.added = append(*p.added, s)
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

// endsValue reports whether a value can end with t.
func endsValue(t *Token) bool {
	return t.Type == NumberToken || t.Type == WordToken || t.Value == ")" || t.Value == "]"
}

// startersHere lists the words that start a statement in the innermost block.
func (p *parser) startersHere() string {
	list := ""
	for _, s := range slices.Concat(starters, outsiders) {
		if s.places&p.here() != 0 && s.word != "design" {
			list += " " + s.word
		}
	}
	if list == "" {
		return ""
	}
	return list[1:]
}
