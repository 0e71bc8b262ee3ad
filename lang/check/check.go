// Package check gives a parsed design its meaning: it loads the modules a
// design uses, resolves every name, works out the type and dimension of every
// expression and reports each mistake that can be known without values, all in
// one run. It never evaluates a rule, solves, or makes geometry.
package check

import (
	"path"
	"sort"
	"strings"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
)

// Loader finds the text of modules. Its errors are shown to the user as they are.
type Loader interface {
	// Module finds a library module by its dotted name, such as std.stool.
	Module(dotted string) (*diag.Source, error)
	// File finds the module that the text from names by a path below the
	// design's folder; a loader refuses absolute paths, .. and links that leave it.
	File(from *diag.Source, path string) (*diag.Source, error)
}

// Parser is a Loader that keeps the trees of the texts it gave out, so that a
// module is not parsed again by every check. Trees are never written to.
type Parser interface {
	Loader
	Parse(src *diag.Source) (*syntax.File, []diag.Diagnostic)
}

// Lister is a Loader that can tell which library modules there are, by their dotted
// names, for one that is misspelt.
type Lister interface {
	Loader
	Modules() []string
}

// Builtins are the words that the shop, not the language, knows.
type Builtins struct {
	Materials []string // names of type material, such as mild_steel
	Methods   []string // words for sheet(method:); nil lets any word pass
}

// DeclKind says what a name stands for.
type DeclKind uint8

const (
	Stock DeclKind = iota
	Param
	Let
	Body
	Part
	Join
	Panel
	Size
	PanelParam // a parameter of a panel
	LetParam   // a parameter of a function
	Index      // a name of a family's index
	Face
	Cut
	Mark
	Edge     // a named edge of an outline; of one that the language names, only Name is set
	OwnStock // the name after `of` in a panel: the stock that its part is made of
	Constant // built in: true, false, a material
	Fold     // a fold or a seam, which has no name
)

var declKindNames = [...]string{"stock", "param", "let", "body", "part", "join", "panel", "size",
	"parameter", "parameter", "index", "face", "cut", "mark", "edge", "stock", "built-in name", "fold"}

func (k DeclKind) String() string { return declKindNames[k] }

// Decl is a name and what it was declared as.
type Decl struct {
	Name   string
	Kind   DeclKind
	At     diag.Span    // of the name; no place for a Constant
	Node   syntax.Stmt  // the statement that declares it, or that holds its declaration
	Param  *syntax.Decl // of a Param, PanelParam or LetParam
	Each   *syntax.Each // of an Index
	Corner *syntax.Item // of an Edge: the corner it leaves
	Module *Module      // where it is declared; nil for a Constant
	Owner  *Decl        // the panel, face, part or function it stands in; nil at the top level
	// Type is its type after Check. Of a part, face, cut or mark with an index it
	// is the family; of a panel it is the type of a part made by it.
	Type    Type
	Result  Type    // of a let that is a function: the type it returns
	Members []*Decl // of a panel: parameters, lets, faces; of a face: lets, cuts, marks; in order
	Folds   []*Decl // of a panel: its folds and seams in order, each with its own Indices
	Indices []*Decl // of a statement that has an index: its names; of a function: its parameters

	// Into is, of a cut or mark of a file, the face that it is made in, nil where that is
	// known only when it is made; Parts are the parts that it may be made in.
	Into  *Decl
	Parts []*Decl

	members Names
	scope   *scope // in which its expressions are read
	state   state
	opened  bool  // what stands inside is declared
	unit    *unit // the statement of the design it stands in, where that is remembered
	outline state // of a face: whether its outline was read
	edges   *Type // of a face: the type of its outline, once that was read
	closes  bool  // of an edge: it leaves the last corner of its list, off the axis for all that is known
	deps    []*Decl
}

// Member finds what a panel or face declares under a name that is read, or nil.
func (d *Decl) Member(name string) *Decl {
	if m := d.members.Find(Values, name); m != nil {
		return m
	}
	return d.members.Find(Calls, name)
}

// Called finds what a panel or face declares under a name that is called, or nil.
func (d *Decl) Called(name string) *Decl {
	if m := d.members.Find(Calls, name); m != nil {
		return m
	}
	return d.members.Find(Values, name)
}

// Edges are the named edges of a face, as far as its outline tells before it is
// drawn; a name may be there more than once.
func (d *Decl) Edges() []*Decl {
	if d.edges == nil {
		return nil
	}
	return d.edges.outline().all
}

// Doc is the text a parameter or panel was documented with.
func (d *Decl) Doc() string {
	if d.Param != nil && d.Param.Doc != nil {
		return d.Param.Doc.Value
	}
	if p, ok := d.Node.(*syntax.Panel); ok && d.Kind == Panel && p.Doc != nil {
		return p.Doc.Value
	}
	return ""
}

// IsFunc says whether the name is a let with parameters.
func (d *Decl) IsFunc() bool {
	l, ok := d.Node.(*syntax.Let)
	return ok && d.Kind == Let && l.IsFunc
}

// Module is one text: the design or something it uses.
type Module struct {
	Name   string // dotted name, path, or the source's own name for the design
	Source *diag.Source
	File   *syntax.File
	Order  []*Decl // what this text declares, in order

	names   *Names // everything in scope, imports under the name they have here
	scope   *scope
	imports []*importing
	library bool                   // must not hold what only a design may
	own     bool                   // the design's own file, or one of its folder
	outside []*Decl                // the cuts and marks that it makes in faces of its parts
	skipped func() map[string]bool // words of text that was not understood
}

// Own tells whether a text is the design's, or one of its folder: its maker can change it.
func (p *Program) Own(src *diag.Source) bool {
	for _, m := range p.Modules {
		if m.Source == src {
			return m.own
		}
	}
	return false
}

// Program is a checked design with everything it uses.
type Program struct {
	Root *Module
	// Units is the system of units that the design is written in: as its design line
	// says, else as most of the lengths are that its own files state; see [Program.Taken].
	Units quantity.System
	// Shown is the system that people read of the design in; it is Units unless somebody
	// asks for another.
	Shown quantity.System
	// Stopped, where set, is asked now and then by whoever works the program's values out,
	// from several goroutines: once it tells so, what is left is given up, with mistakes that
	// nobody is to be told.
	Stopped  func() bool
	Modules  []*Module             // the design first, then in order of first use
	types    map[syntax.Expr]int32 // index in kept: small values keep the map small
	kept     []Type
	refs     map[syntax.Node]*Decl
	bound    map[*syntax.Call]*Bound
	stated   map[*syntax.Item]*Decl     // the edges that lists of points name
	edgeUses map[*syntax.Member]edgeUse // where they are named, and where they may be
	builtin  Builtins
	under    *Program // what is not known here is asked there, and nothing is written there; or nil
}

// FromDesign is the name of a file as seen from the folder of the design, for what is
// written to files: it does not tell where perch was started.
func (p *Program) FromDesign(src *diag.Source) string {
	name := path.Clean(src.Name)
	if inside, ok := strings.CutPrefix(name, path.Dir(path.Clean(p.Root.Source.Name))+"/"); ok {
		return inside
	}
	return name
}

// TypeOf is the type of an expression of the program; Invalid where a mistake was reported.
func (p *Program) TypeOf(e syntax.Expr) Type {
	if i, ok := p.types[e]; ok {
		return p.kept[i]
	}
	if p.under != nil {
		return p.under.TypeOf(e)
	}
	return invalid
}

// keep notes the type of an expression. Runs of one plain type share a place.
func (p *Program) keep(e syntax.Expr, t Type) {
	if n := len(p.kept); n == 0 || !plainly(p.kept[n-1], t) {
		p.kept = append(p.kept, t)
	}
	p.types[e] = int32(len(p.kept) - 1)
}

// plainly says that two types are one and hold no others.
func plainly(a, b Type) bool {
	return a.Kind == b.Kind && a.Dim == b.Dim && a.Decl == nil && b.Decl == nil && a.Elem == nil && b.Elem == nil &&
		a.Index == nil && b.Index == nil && a.edges == b.edges
}

// DeclOf is what a *syntax.Name or a *syntax.Member refers to; nil for
// functions and members of the language itself and for unknown names.
func (p *Program) DeclOf(n syntax.Node) *Decl {
	if d := p.refs[n]; d != nil || p.under == nil {
		return d
	}
	return p.under.DeclOf(n)
}

type state uint8

const (
	fresh state = iota
	busy
	done
)

// checker is the state of one run.
type checker struct {
	loader    Loader
	builtin   Builtins
	prog      *Program
	diags     []*diag.Diagnostic
	modules   map[string]*Module // by dotted name or source name; nil while loading
	loading   []string
	constants map[string]*Decl
	node      *Decl // whose expression is being read; what it names are its deps
	nodes     []*Decl
	depth     int
	reported  int              // in what is being read, names that it made be read left out
	searches  int              // for near names
	system    *quantity.System // that the design is written in; nil until asked for
	making    syntax.Expr      // what a part statement makes its part by
	wanted    wanting          // what is wanted of what is being read
	doubled   map[*Decl]bool   // names that are declared twice: which is meant is not known
	deep      bool

	unit  *unit   // the statement of the design that is being read, where that is remembered
	units []unit  // of the design, in order
	mem   *Memory // being made; nil where nothing is remembered
	again bool    // it goes by what was remembered
	stale bool    // and that turned out not to do
	had   []loaded
}

// Check resolves and types a design and all it uses. The program is returned
// even where there are mistakes, as far as it could be understood. Diagnostics
// are in order of place, the design's first; those of syntax in the modules it
// uses are among them, those of root's own syntax are not.
func Check(root *syntax.File, l Loader, builtin Builtins) (*Program, []diag.Diagnostic) {
	c := newChecker(root, l, builtin, expressions(root))
	c.load(c.prog.Root)
	for _, m := range c.prog.Modules {
		c.checkModule(m)
	}
	c.reportCycles()
	c.reportUnused()
	c.prog.Units = c.writtenIn()
	c.prog.Shown = c.prog.Units
	return c.prog, c.sorted()
}

// newChecker begins a check of about so many expressions.
func newChecker(root *syntax.File, l Loader, builtin Builtins, expressions int) *checker {
	c := &checker{
		loader: l, builtin: builtin,
		prog: &Program{types: make(map[syntax.Expr]int32, expressions), kept: make([]Type, 0, expressions*3/4),
			refs: make(map[syntax.Node]*Decl, expressions/2), bound: make(map[*syntax.Call]*Bound, expressions/16), builtin: builtin},
		modules:   map[string]*Module{},
		constants: map[string]*Decl{},
	}
	c.declareConstants()
	m := &Module{Source: root.Source, File: root, library: isLibrary(root), own: true, skipped: skippedIn(root)}
	if root.Source != nil {
		m.Name = root.Source.Name
	}
	c.prog.Root = m
	return c
}

// bytesEach is how many bytes of text there are to an expression, about.
const bytesEach = 8

// expressions guesses how many expressions a text has: maps that need not grow
// make a check a third faster.
func expressions(f *syntax.File) int {
	if f.Source == nil {
		return 0
	}
	return len(f.Source.Text) / bytesEach
}

// sorted gives the diagnostics by module in order of use, then by place.
func (c *checker) sorted() []diag.Diagnostic {
	rank := map[*diag.Source]int{}
	for i, m := range c.prog.Modules {
		rank[m.Source] = i
	}
	sort.SliceStable(c.diags, func(i, j int) bool {
		a, b := c.diags[i].Span, c.diags[j].Span
		if rank[a.Source] != rank[b.Source] {
			return rank[a.Source] < rank[b.Source]
		}
		return a.Start < b.Start
	})
	out := make([]diag.Diagnostic, len(c.diags))
	for i, d := range c.diags {
		out[i] = *d
	}
	return out
}

// declareConstants names what is built in and is not a function.
func (c *checker) declareConstants() {
	constant := func(name string, t Type) *Decl {
		return &Decl{Name: name, Kind: Constant, Type: t, state: done}
	}
	for _, k := range Constants {
		c.constants[k.Name] = constant(k.Name, k.Type)
	}
	for _, name := range c.builtin.Materials {
		c.constants[name] = constant(name, Type{Kind: MaterialKind})
	}
}
