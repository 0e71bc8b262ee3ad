package syntax

import (
	"sync"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"
)

// The grammar of statements, as participle reads it: one struct a statement,
// up to its opening brace where it has one. Blocks, recovery and expressions
// are by hand (parser.go, expr.go), so that each statement is parsed alone and
// a mistake in one leaves the next untouched. One token of lookahead decides.
type (
	token = lexer.Token

	designG struct {
		Name     token `parser:"'design' @Text"`
		Units    token `parser:"( 'in' @( 'inches' | 'millimetres' ) )?"`
		Revision token `parser:"( 'revision' @Text )?"`
		Behind   token `parser:"( 'in' @( 'inches' | 'millimetres' ) )?"`
	}
	useG struct {
		Names  []importG `parser:"'use' @@ ( ',' @@ )*"`
		Module []wordG   `parser:"'from' ( @@ ( '.' @@ )*"`
		Path   token     `parser:"       | @Text )"`
	}
	wordG struct {
		Word token `parser:"@Word"`
	}
	importG struct {
		Name token `parser:"@Word"`
		As   token `parser:"( 'as' @Word )?"`
	}
	stockG struct {
		Name  token    `parser:"'stock' @Word"`
		Value exprNode `parser:"'=' @@"`
	}
	paramG struct {
		Decl declNode `parser:"'param' @@"`
	}
	letG struct {
		Name   token     `parser:"'let' @Word"`
		Params declsNode `parser:"@@?"`
		Index  indexNode `parser:"@@?"`
		Value  exprNode  `parser:"'=' @@"`
	}
	ruleG struct {
		Cond  exprNode `parser:"'rule' @@"`
		Guard exprNode `parser:"( 'if' @@ )?"`
		Label token    `parser:"@Text?"`
		Late  exprNode `parser:"( 'if' @@ )?"`
	}
	sizeG struct {
		Name   token    `parser:"'size' @Word"`
		Like   token    `parser:"( 'like' @Word )?"`
		States []stateG `parser:"( ':' @@ ( ',' @@ )* )?"`
	}
	stateG struct {
		Name  token    `parser:"@Word"`
		Eq    exprNode `parser:"( '=' @@"`
		About exprNode `parser:"| 'about' @@"`
		Word  token    `parser:"| @( 'largest' | 'smallest' | 'free' ) )"`
	}
	bodyG struct {
		Name  token     `parser:"'body' @Word"`
		Index indexNode `parser:"@@?"`
		Value exprNode  `parser:"'=' @@"`
	}
	partG struct {
		Name  token     `parser:"'part' @Word"`
		Index indexNode `parser:"@@?"`
		Of    refNode   `parser:"'of' @@"`
		Value exprNode  `parser:"'=' @@"`
		Loose token     `parser:"@'loose'?"`
		Guard exprNode  `parser:"( 'if' @@ )?"`
	}
	joinG struct {
		Name  token     `parser:"'join' @Word"`
		Index indexNode `parser:"@@?"`
		A     refNode   `parser:"'=' @@"`
		B     refNode   `parser:"'to' @@"`
		C     refNode   `parser:"( 'to' @@ )?"`
		At    refNode   `parser:"( 'at' @@ )?"`
		By    refNode   `parser:"'by' @@"`
		Guard exprNode  `parser:"( 'if' @@ )?"`
	}
	panelG struct {
		Name   token     `parser:"'panel' @Word"`
		Params declsNode `parser:"@@"`
		Of     token     `parser:"( 'of' @Word )?"`
		Doc    token     `parser:"@Text?"`
		Open   token     `parser:"@'{'"`
	}
	faceG struct {
		Name  token     `parser:"'face' @Word"`
		Index indexNode `parser:"@@?"`
		On    planeNode `parser:"( 'on' @@"`
		From  refNode   `parser:"  ( 'from' @@ )?"`
		Off   refNode   `parser:"| 'off' @@"`
		OffOn planeNode `parser:"  ( 'on' @@"`
		Up    exprNode  `parser:"  | 'up' @@"`
		Down  exprNode  `parser:"  | 'down' @@ ) )"`
		Guard exprNode  `parser:"( 'if' @@ )?"`
		Open  token     `parser:"@'{'"`
	}
	foldG struct {
		A     refNode  `parser:"'fold' @@"`
		B     refNode  `parser:"'to' @@"`
		By    refNode  `parser:"( 'by' @@ )?"`
		Guard exprNode `parser:"( 'if' @@ )?"`
	}
	seamG struct {
		A     refNode  `parser:"'seam' @@"`
		B     refNode  `parser:"( 'to' @@ )?"`
		By    refNode  `parser:"'by' @@"`
		Guard exprNode `parser:"( 'if' @@ )?"`
	}
	outlineG struct {
		Value exprNode `parser:"'outline' @@"`
	}
	cutG struct {
		Name   token     `parser:"'cut' @Word"`
		Index  indexNode `parser:"@@?"`
		In     refNode   `parser:"( 'in' @@ )?"`
		Behind refNode   `parser:"( 'through' @@ )?"`
		Value  exprNode  `parser:"'=' @@"`
		Guard  exprNode  `parser:"( 'if' @@ )?"`
	}
	markG struct {
		Name  token     `parser:"'mark' @Word"`
		Index indexNode `parser:"@@?"`
		In    refNode   `parser:"( 'in' @@ )?"`
		Value exprNode  `parser:"'=' @@"`
		Guard exprNode  `parser:"( 'if' @@ )?"`
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
)

// Productions that are parsed by hand; participle tells them apart by type.
type (
	exprNode interface{ Expr } // Expr
	refNode  interface{ Expr } // Ref

	planeNode interface{ Expr } // Plane

	declNode  interface{ decl() *Decl }   // Decl
	declsNode interface{ decls() []Decl } // Decls
	indexNode interface{ each() []Each }  // Index

	declList []Decl
	eachList []Each
)

func (d *Decl) decl() *Decl      { return d }
func (d declList) decls() []Decl { return d }
func (e eachList) each() []Each  { return e }

// engine is a participle parser with the hand-written productions bound to one
// parser at a time: participle hands them the tokens but no state of ours.
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
		participle.Lexer(Definition{}),
		participle.Elide("Comment", "Bad"),
		participle.UseLookahead(0), // a clause once begun is meant
		participle.ParseTypeWith(func(l *lexer.PeekingLexer) (exprNode, error) { return e.p.exprNode(l) }),
		participle.ParseTypeWith(func(l *lexer.PeekingLexer) (refNode, error) { return e.p.refNode(l) }),
		participle.ParseTypeWith(func(l *lexer.PeekingLexer) (planeNode, error) { return e.p.planeNode(l) }),
		participle.ParseTypeWith(func(l *lexer.PeekingLexer) (declNode, error) { return e.p.declNode(l) }),
		participle.ParseTypeWith(func(l *lexer.PeekingLexer) (declsNode, error) { return e.p.declsNode(l) }),
		participle.ParseTypeWith(func(l *lexer.PeekingLexer) (indexNode, error) { return e.p.indexNode(l) }),
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
