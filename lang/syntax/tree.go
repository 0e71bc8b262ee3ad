package syntax

import (
	"perch/lang/diag"
	"perch/lang/quantity"
)

// Node is anything with a place in the text.
type Node interface{ Span() diag.Span }

// Ident is a name where it is written.
type Ident struct {
	Name string
	At   diag.Span
}

// Doc is a text literal used as documentation or label; Value is unquoted.
type Doc struct {
	Value string
	At    diag.Span
}

// Comment is a // comment, its text without the slashes.
type Comment struct {
	Text string
	At   diag.Span
}

// File is one parsed .perch text. Statements stand in the order written; what
// could not be parsed is left out and reported.
type File struct {
	Source   *diag.Source
	Design   *Design // nil in a module
	Stmts    []Stmt  // top level, Design excluded
	Comments []Comment
}

// Stmt is a statement, at the top level, in a panel or in a face.
type Stmt interface {
	Node
	stmt()
}

type (
	// Design is `design "name" in inches revision "A"`.
	Design struct {
		At       diag.Span
		Name     Doc
		Units    *Ident // inches or millimetres, as the text names them; nil where it does not
		Revision *Doc
	}
	// Use is `use a, b as c from std.stool` or `from "path.perch"`.
	Use struct {
		At    diag.Span
		Names []Import
		// Module is the dotted path ("std.stool"); Path the quoted file. One is empty.
		Module string
		Path   string
		FromAt diag.Span // of the module path or file text
	}
	// Import is one listed name; As is nil unless renamed.
	Import struct {
		Name Ident
		As   *Ident
	}
	// Stock is `stock shell = sheet(…)`.
	Stock struct {
		At    diag.Span
		Name  Ident
		Value Expr
	}
	// Param is `param DECL`.
	Param struct {
		At   diag.Span
		Decl Decl
	}
	// Let is `let name = e`, `let name[i in xs] = e` or `let f(a: t) = e`; Params is nil
	// for a plain name and non-nil (maybe empty) for a function, which has no Index.
	Let struct {
		At     diag.Span
		Name   Ident
		Index  []Each
		Params []Decl
		IsFunc bool
		Value  Expr
	}
	// Rule is `rule e if guard "label"`.
	Rule struct {
		At    diag.Span
		Cond  Expr
		Guard Expr // or nil
		Label *Doc
	}
	// Size is `size name like other: states`.
	Size struct {
		At     diag.Span
		Name   Ident
		Like   *Ident
		States []State
	}
	// State is one setting of a size row.
	State struct {
		At    diag.Span
		Name  Ident
		How   StateHow
		Value Expr // nil unless How is StateEq or StateAbout
	}
	// Body is `body name[i in xs] = e`.
	Body struct {
		At    diag.Span
		Name  Ident
		Index []Each
		Value Expr
	}
	// Part is `part name[i in xs] of stock = panel(…) loose if guard`.
	Part struct {
		At    diag.Span
		Name  Ident
		Index []Each
		Of    Expr
		Value Expr
		Loose bool // no join has to hold it
		Guard Expr // or nil
	}
	// Join is `join name[index] = a to b to c at places by fastener if guard`.
	Join struct {
		At      diag.Span
		Name    Ident
		Index   []Each
		Members []Expr // two or three
		Places  Expr   // after `at`, or nil
		By      Expr
		Guard   Expr
	}
	// Panel defines a bent part. Of is the name that the panel gives the stock its
	// part is made of, or nil.
	Panel struct {
		At     diag.Span
		Name   Ident
		Params []Decl
		Of     *Ident
		Doc    *Doc
		Body   []Stmt // Let, Rule, Face, Fold, Seam
	}
	// Face is `face name[index] on plane from c { … }` or `off edge up|down|on e { … }`.
	Face struct {
		At    diag.Span
		Name  Ident
		Index []Each
		On    Expr // `on PLANE`: for a drawn face, or after `off EDGE`
		From  Expr // the corner after `from`, or nil
		Off   Expr // the edge or face hung off, or nil
		Turn  Turn // up or down with Angle, when hung with a stated angle
		Angle Expr
		Guard Expr
		Body  []Stmt // Let, Outline, Cut, Mark
	}
	// Fold is `fold a to b by bend(…) if guard`. What is written `fold a[i in xs] to
	// a[i + 1]` declares Index; A is a[i] then.
	Fold struct {
		At    diag.Span
		Index []Each
		A     Expr
		B     Expr
		By    Expr // or nil
		Guard Expr // or nil
	}
	// Seam is `seam a to b by open(…) if guard`, with an Index as a Fold; B is nil for a
	// family's own neighbours.
	Seam struct {
		At    diag.Span
		Index []Each
		A     Expr
		B     Expr
		By    Expr
		Guard Expr // or nil
	}
	// Outline is `outline e`.
	Outline struct {
		At    diag.Span
		Value Expr
	}
	// Cut is `cut name[index] = e if guard` of a face, or as a statement of a file
	// `cut name[index] in face through behind = e if guard`: In and Behind are nil then
	// where they are not written.
	Cut struct {
		At     diag.Span
		Name   Ident
		Index  []Each
		In     Expr
		Behind Expr
		Value  Expr
		Guard  Expr
	}
	// Mark is `mark name[index] = e if guard` of a face, or as a statement of a file
	// `mark name[index] in face = e if guard`.
	Mark struct {
		At    diag.Span
		Name  Ident
		Index []Each
		In    Expr
		Value Expr
		Guard Expr
	}
)

// StateHow says how a size row states a name.
type StateHow uint8

const (
	StateEq StateHow = iota
	StateAbout
	StateLargest
	StateSmallest
	StateFree
)

// Turn says which way a hung face with a stated angle goes.
type Turn uint8

const (
	NoTurn Turn = iota
	TurnUp
	TurnDown
)

// Decl is `name: type in range = default "doc"`.
type Decl struct {
	At      diag.Span
	Name    Ident
	Type    Ident // the type's word
	List    bool  // written `[type]`
	Domain  *Domain
	Default Expr // or nil
	About   bool // the default was written with `about`
	Doc     *Doc
}

// Each is `name in domain`.
type Each struct {
	At     diag.Span
	Name   Ident
	Domain *Domain
}

// Domain is `lo..hi`, or a list or family when Hi is nil.
type Domain struct {
	At diag.Span
	Lo Expr
	Hi Expr
}

// Expr is an expression.
type Expr interface {
	Node
	expr()
}

// Op is a binary or unary operator.
type Op uint8

const (
	OpAdd Op = iota
	OpSub
	OpMul
	OpDiv
	OpPow
	OpMeet // & of shapes
	OpAt   // placed at
	OpEq
	OpNe
	OpLt
	OpLe
	OpGt
	OpGe
	OpAnd
	OpOr
	OpNot
	OpNeg
)

type (
	// Literal is a number, with or without a unit, as one token.
	Literal struct {
		At    diag.Span
		Value quantity.Literal
	}
	// Text is a quoted text; Value is unquoted.
	Text struct {
		At    diag.Span
		Value string
	}
	// Name is a plain name.
	Name struct {
		At   diag.Span
		Name string
	}
	// Call is `f(args)`; Fun is a *Name or, for `x.f(args)`, a *Member.
	Call struct {
		At   diag.Span
		Fun  Expr
		Args []Arg
	}
	// Arg is `e` or `label: e`.
	Arg struct {
		Label *Ident
		Value Expr
	}
	// Member is `x.name`.
	Member struct {
		At   diag.Span
		X    Expr
		Name Ident
	}
	// IndexExpr is `x[i, j]`.
	IndexExpr struct {
		At    diag.Span
		X     Expr
		Index []Expr
	}
	// Pair is a point `(x, y)`.
	Pair struct {
		At   diag.Span
		X, Y Expr
	}
	// Triple is a place in space `(x, y, z)`.
	Triple struct {
		At      diag.Span
		X, Y, Z Expr
	}
	// Paren is `(e)`.
	Paren struct {
		At diag.Span
		X  Expr
	}
	// List is `[items]`: a list of values, or a polygon when its items are points.
	List struct {
		At    diag.Span
		Items []Item
	}
	// Item is one entry of a list with its corner clauses.
	Item struct {
		At      diag.Span
		Value   Expr
		Round   Expr // or nil
		Chamfer Expr // or nil
		Arc     Expr // or nil
		Edge    *Ident
	}
	// If is `if c then a else b`.
	If struct {
		At               diag.Span
		Cond, Then, Else Expr
	}
	// Binary is `x op y`; OpAt of Binary is the operator's own place.
	Binary struct {
		At   diag.Span
		Op   Op
		OpAt diag.Span
		X, Y Expr
	}
	// Unary is `-x` or `not x`.
	Unary struct {
		At diag.Span
		Op Op
		X  Expr
	}
	// In is `x in domain`.
	In struct {
		At     diag.Span
		X      Expr
		Domain *Domain
	}
)

func (x *Design) Span() diag.Span    { return x.At }
func (x *Use) Span() diag.Span       { return x.At }
func (x *Stock) Span() diag.Span     { return x.At }
func (x *Param) Span() diag.Span     { return x.At }
func (x *Let) Span() diag.Span       { return x.At }
func (x *Rule) Span() diag.Span      { return x.At }
func (x *Size) Span() diag.Span      { return x.At }
func (x *Body) Span() diag.Span      { return x.At }
func (x *Part) Span() diag.Span      { return x.At }
func (x *Join) Span() diag.Span      { return x.At }
func (x *Panel) Span() diag.Span     { return x.At }
func (x *Face) Span() diag.Span      { return x.At }
func (x *Fold) Span() diag.Span      { return x.At }
func (x *Seam) Span() diag.Span      { return x.At }
func (x *Outline) Span() diag.Span   { return x.At }
func (x *Cut) Span() diag.Span       { return x.At }
func (x *Mark) Span() diag.Span      { return x.At }
func (x *Literal) Span() diag.Span   { return x.At }
func (x *Text) Span() diag.Span      { return x.At }
func (x *Name) Span() diag.Span      { return x.At }
func (x *Call) Span() diag.Span      { return x.At }
func (x *Member) Span() diag.Span    { return x.At }
func (x *IndexExpr) Span() diag.Span { return x.At }
func (x *Pair) Span() diag.Span      { return x.At }
func (x *Triple) Span() diag.Span    { return x.At }
func (x *Paren) Span() diag.Span     { return x.At }
func (x *List) Span() diag.Span      { return x.At }
func (x *If) Span() diag.Span        { return x.At }
func (x *Binary) Span() diag.Span    { return x.At }
func (x *Unary) Span() diag.Span     { return x.At }
func (x *In) Span() diag.Span        { return x.At }

func (*Design) stmt()  {}
func (*Use) stmt()     {}
func (*Stock) stmt()   {}
func (*Param) stmt()   {}
func (*Let) stmt()     {}
func (*Rule) stmt()    {}
func (*Size) stmt()    {}
func (*Body) stmt()    {}
func (*Part) stmt()    {}
func (*Join) stmt()    {}
func (*Panel) stmt()   {}
func (*Face) stmt()    {}
func (*Fold) stmt()    {}
func (*Seam) stmt()    {}
func (*Outline) stmt() {}
func (*Cut) stmt()     {}
func (*Mark) stmt()    {}

func (*Literal) expr()   {}
func (*Text) expr()      {}
func (*Name) expr()      {}
func (*Call) expr()      {}
func (*Member) expr()    {}
func (*IndexExpr) expr() {}
func (*Pair) expr()      {}
func (*Triple) expr()    {}
func (*Paren) expr()     {}
func (*List) expr()      {}
func (*If) expr()        {}
func (*Binary) expr()    {}
func (*Unary) expr()     {}
func (*In) expr()        {}
