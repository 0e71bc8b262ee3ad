package syntax

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"

	"perch/lang/diag"
)

// The grammar of statements, as participle reads it: one line a statement, up to its
// opening brace where it has one. What stands at a `@@` is read by hand (statement.go), as
// blocks, recovery and expressions are, so that each statement is parsed alone and a
// mistake in one leaves the next untouched. One token of lookahead decides.
//
// A line is one field with all its clauses, since participle reads a field's line anew for
// every look past the end of the field before.
type (
	designG struct {
		Has clause `parser:"'design' @@ ( 'in' @@ )? ( 'revision' @@ )? ( 'in' @@ )?"`
	}
	useG struct {
		Has clause `parser:"'use' @@ ( ',' @@ )* 'from' @@"`
	}
	stockG struct {
		Has clause `parser:"'stock' @@ '=' @@"`
	}
	paramG struct {
		Has clause `parser:"'param' @@"`
	}
	letG struct {
		Has clause `parser:"'let' @@ '=' @@"`
	}
	ruleG struct {
		Has clause `parser:"'rule' @@ ( 'if' @@ )? @@? ( 'if' @@ )?"`
	}
	sizeG struct {
		Has clause `parser:"'size' @@ ( 'like' @@ )? ( ':' @@ ( ',' @@ )* )?"`
	}
	bodyG struct {
		Has clause `parser:"'body' @@ '=' @@"`
	}
	partG struct {
		Has clause `parser:"'part' @@ 'of' @@ '=' @@ @@? ( 'if' @@ )?"`
	}
	joinG struct {
		Has clause `parser:"'join' @@ '=' @@ 'to' @@ ( 'to' @@ )? ( 'at' @@ )? 'by' @@ ( 'if' @@ )?"`
	}
	panelG struct {
		Has clause `parser:"'panel' @@ ( 'of' @@ )? @@? '{'"`
	}
	faceG struct {
		Has clause `parser:"'face' @@ ( 'on' @@ ( 'from' @@ )? | 'off' @@ ( 'on' @@ | 'up' @@ | 'down' @@ ) ) ( 'if' @@ )? '{'"`
	}
	foldG struct {
		Has clause `parser:"'fold' @@ 'to' @@ ( 'by' @@ )? ( 'if' @@ )?"`
	}
	seamG struct {
		Has clause `parser:"'seam' @@ ( 'to' @@ )? 'by' @@ ( 'if' @@ )?"`
	}
	outlineG struct {
		Has clause `parser:"'outline' @@"`
	}
	cutG struct {
		Has clause `parser:"'cut' @@ ( 'in' @@ )? ( 'through' @@ )? '=' @@ ( 'if' @@ )?"`
	}
	markG struct {
		Has clause `parser:"'mark' @@ ( 'in' @@ )? '=' @@ ( 'if' @@ )?"`
	}

	// statementG only gathers the productions for participle.
	statementG struct {
		Design  *designG  `parser:"  @@"`
		Use     *useG     `parser:"| @@"`
		Stock   *stockG   `parser:"| @@"`
		Param   *paramG   `parser:"| @@"`
		Let     *letG     `parser:"| @@"`
		Rule    *ruleG    `parser:"| @@"`
		Size    *sizeG    `parser:"| @@"`
		Body    *bodyG    `parser:"| @@"`
		Part    *partG    `parser:"| @@"`
		Join    *joinG    `parser:"| @@"`
		Panel   *panelG   `parser:"| @@"`
		Face    *faceG    `parser:"| @@"`
		Fold    *foldG    `parser:"| @@"`
		Seam    *seamG    `parser:"| @@"`
		Outline *outlineG `parser:"| @@"`
		Cut     *cutG     `parser:"| @@"`
		Mark    *markG    `parser:"| @@"`
	}

	// clause is what stands at a `@@`. It says nothing: what is read goes into the
	// statement at once.
	clause interface{ clause() }
	done   struct{}
)

func (done) clause() {}

// engine is a participle parser with the clauses bound to one parser at a time:
// participle hands them the tokens but no state of ours.
type engine struct {
	p     *parser // in use, or nil
	start struct {
		design  *participle.Parser[designG]
		use     *participle.Parser[useG]
		stock   *participle.Parser[stockG]
		param   *participle.Parser[paramG]
		let     *participle.Parser[letG]
		rule    *participle.Parser[ruleG]
		size    *participle.Parser[sizeG]
		body    *participle.Parser[bodyG]
		part    *participle.Parser[partG]
		join    *participle.Parser[joinG]
		panel   *participle.Parser[panelG]
		face    *participle.Parser[faceG]
		fold    *participle.Parser[foldG]
		seam    *participle.Parser[seamG]
		outline *participle.Parser[outlineG]
		cut     *participle.Parser[cutG]
		mark    *participle.Parser[markG]
	}
}

// engines keeps built engines: building one costs about as much as parsing a
// small file.
var engines = sync.Pool{New: func() any { return newEngine() }}

func newEngine() *engine {
	e := &engine{}
	whole := participle.MustBuild[statementG](
		participle.Lexer(definition{}),
		participle.UseLookahead(0), // a clause once begun is meant
		participle.ParseTypeWith(func(l *lexer.PeekingLexer) (clause, error) { return e.p.clauseAt(l) }),
	)
	s := &e.start
	s.design = production[designG](whole)
	s.use = production[useG](whole)
	s.stock = production[stockG](whole)
	s.param = production[paramG](whole)
	s.let = production[letG](whole)
	s.rule = production[ruleG](whole)
	s.size = production[sizeG](whole)
	s.body = production[bodyG](whole)
	s.part = production[partG](whole)
	s.join = production[joinG](whole)
	s.panel = production[panelG](whole)
	s.face = production[faceG](whole)
	s.fold = production[foldG](whole)
	s.seam = production[seamG](whole)
	s.outline = production[outlineG](whole)
	s.cut = production[cutG](whole)
	s.mark = production[markG](whole)
	return e
}

func production[P any](whole *participle.Parser[statementG]) *participle.Parser[P] {
	p, err := participle.ParserForProduction[P](whole)
	if err != nil {
		panic(err) // a production missing from statementG: a mistake in this file
	}
	return p
}

// definition tells participle of our tokens, all alike to it: its grammar holds words and
// signs as they are written.
type definition struct{}

func (definition) Symbols() map[string]lexer.TokenType {
	return map[string]lexer.TokenType{"EOF": lexer.EOF, "Token": plain}
}

const plain lexer.TokenType = -2

func (definition) Lex(name string, r io.Reader) (lexer.Lexer, error) {
	text, err := io.ReadAll(r)
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", name, err)
	}
	return &heading{tokens: newScanner(diag.NewSource(name, string(text))).grammatical()}, nil
}

// heading hands participle the tokens of one statement: up to the brace that opens or
// ends a block, or the word that starts the next. In brackets such a word may be a mistake
// that costs no more than an entry of theirs, but a bracket may be left open too.
type heading struct {
	tokens []Token
	at     int
	depth  int // of brackets
	words  int // that start a statement, in brackets
	ended  bool
}

const maxStray = 4 // words that start a statement, in the brackets of one

// Next is the next token, or the end.
func (h *heading) Next() (lexer.Token, error) {
	t := &h.tokens[h.at]
	if h.ended || t.EOF() {
		return lexer.Token{Type: lexer.EOF}, nil
	}
	switch {
	case t.Type == StartToken && h.depth > 0 && h.words < maxStray:
		h.words++
	case t.Type == StartToken:
		h.ended = h.at > 0
	case t.Type != PunctToken:
	case t.Value == "(" || t.Value == "[":
		h.depth++
	case t.Value == ")" || t.Value == "]":
		h.depth--
	case t.Value == "{" || t.Value == "}":
		h.ended = true
	}
	h.at++
	return lexer.Token{Type: plain, Value: t.Value}, nil
}

var errReported = errors.New("reported")

// clauseAt reads what stands at a `@@`, behind the word or sign that participle has just
// taken; where it took none since the clause before, it is one that may be left out.
func (p *parser) clauseAt(l *lexer.PeekingLexer) (clause, error) {
	behind := ""
	if at := p.from + int(l.RawCursor()); at > p.at {
		p.at = at
		behind = p.tokens[at-1].Value
	} else if p.fits == nil || !p.fits() {
		return nil, participle.NextMatch
	}
	if !p.fill(behind) {
		return nil, errReported
	}
	l.FastForward(lexer.RawCursor(p.at - p.from - 1))
	return done{}, nil
}

// one runs participle on the statement that starts here; fill reads a clause behind a word
// or sign, "" for none, and fits says whether one without starts here. It is false where
// the statement does not end well.
func one[G any](p *parser, g *participle.Parser[G], fill func(behind string) bool, fits func() bool) bool {
	p.from, p.fill, p.fits = p.at, fill, fits
	lex, err := lexer.Upgrade(&heading{tokens: p.tokens[p.at:]})
	if err == nil {
		_, err = g.ParseFromLexer(lex, participle.AllowTrailing(true))
		p.at = max(p.at, p.from+int(lex.RawCursor()))
	}
	if err != nil && !p.failed {
		p.refused(err)
	}
	return err == nil
}

// refused turns participle's refusal into a diagnostic.
func (p *parser) refused(err error) {
	var u *participle.UnexpectedTokenError
	if !errors.As(err, &u) {
		p.expected(nil, "something else")
		return
	}
	_, list, _ := strings.Cut(u.Message(), "(expected ")
	want := firsts(strings.TrimSuffix(list, ")"))
	for i, w := range want {
		want[i] = strings.Trim(w, `"`)
	}
	if len(want) == 1 {
		p.missing(want[0])
		return
	}
	p.expected(nil, "`"+strings.Join(want[:len(want)-1], "`, `")+"` or `"+want[len(want)-1]+"`")
}

// firsts lists the words and signs that an EBNF phrase, as participle prints it, can
// start with: those of its choice, or the first.
func firsts(s string) []string {
	s = strings.TrimSpace(s)
	if !strings.HasPrefix(s, "(") {
		if end := strings.IndexByte(s[min(1, len(s)):], '"'); end >= 0 {
			return []string{s[:end+2]}
		}
		return []string{s}
	}
	var out []string
	depth, from := 0, 1
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c == '(':
			depth++
		case c == '|' && depth == 1:
			out = append(out, firsts(s[from:i])...)
			from = i + 1
		case c == ')':
			if depth--; depth == 0 {
				return append(out, firsts(s[from:i])...)
			}
		}
	}
	return out
}
