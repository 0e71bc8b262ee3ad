// Package builtin is the one table of what the language knows by name and needs no
// declaration: its functions, and the members that its own kinds of things have. A row
// says how a call is written, what it comes to and what it is for; who checks,
// evaluates, completes or documents a call reads it here, and no other room knows a
// function's name. The table knows nothing of a design.
package builtin

import (
	"slices"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
)

// Function is one way to call a function or method of the language; a name may have
// several.
type Function struct {
	Name    string
	Params  []Parameter
	Result  Type       // where Follows is nil
	Follows *Following // how the result's type follows from the arguments
	Keeps   bool       // the shape it makes has the named edges of its first argument
	OnFold  bool       // it runs along the fold of a hung face
	Sheets  bool       // it counts the sheets that blanks take
	Doc     string
	Example string // a call, of the things that the tests of this room declare
	// Value works a call out.
	Value func(a *Args) value.Value
	// Rule is the call in a rule whose arguments need params: a Symbol or a Place; nil
	// where these arguments have none. A function without it is worked out once every
	// param has its value.
	Rule func(a *Args) value.Value
}

// Group is functions that a reference lists together.
type Group struct {
	Title     string
	Functions []Function
}

// Groups are the functions of the language.
var Groups = []Group{
	{"Reckoning", reckoning},
	{"Shapes", shapes},
	{"Bodies and planes", bodies},
	{"Sheet, bends and seams", sheets},
	{"Fastening", fastenings},
	{"Marks", marks},
	{"Measuring", measures},
	{"Loads", append(loads, carrying...)},
}

// Functions are those of all groups, in order.
var Functions = allFunctions()

func allFunctions() []*Function {
	var out []*Function
	for _, g := range Groups {
		for i := range g.Functions {
			out = append(out, &g.Functions[i])
		}
	}
	return out
}

// Members are what can be read after a dot, by kind, in the order a reference lists
// them. Parts and faces have those that their panel declares as well.
var Members = slices.Concat(bodyMembers, sideMembers, cornerMembers, planeMembers, faceMembers, edgeMembers, shapeMembers, stockMembers)

// Member is what can be read after a dot of a kind of thing.
type Member struct {
	Of     Kind
	Method bool // it takes arguments, maybe none
	Function
}

// Following is how the type of a result follows from the types of the arguments.
type Following struct {
	Gives string // as a reference tells it, x standing for the first parameter
	Type  func(t *Typing) Type
}

// Typing is a call whose result's type is asked for: every needed argument is given
// and of a type that it may have.
type Typing struct {
	Name   string
	At     diag.Span
	Common Type       // that all arguments have that are of one kind: a quantity
	Given  []Argument // by parameter, At nil where it is left out; then what repeats the last
	Report func(code string, at diag.Span, summary, label string) *diag.Diagnostic
	Unit   func(quantity.Dim) string // to propose for a dimension; "" for none
}

// Argument is an argument with its type, none where At is nil.
type Argument struct {
	At   syntax.Expr
	Type Type
}

// Signature writes the function as it is called: rect(w, h).
func (f *Function) Signature() string { return Signature(f.Name, f.Params) }

// Gives says what a call comes to, as a reader would.
func (f *Function) Gives() string {
	if f.Follows != nil {
		return f.Follows.Gives
	}
	return f.Result.String()
}

var (
	functions = indexFunctions()
	words     = indexWords()
	members   = indexMembers()
)

func indexFunctions() map[string][]*Function {
	m := map[string][]*Function{}
	for _, f := range Functions {
		m[f.Name] = append(m[f.Name], f)
	}
	return m
}

func indexWords() map[string]bool {
	m := map[string]bool{}
	for _, f := range Functions {
		for _, p := range f.Params {
			for _, w := range p.Words {
				m[w] = true
			}
		}
	}
	return m
}

type memberKey struct {
	of   Kind
	name string
}

func indexMembers() map[memberKey]*Member {
	m := map[memberKey]*Member{}
	for i := range Members {
		m[memberKey{Members[i].Of, Members[i].Name}] = &Members[i]
	}
	return m
}

// Forms are the ways to call the function of a name; none where the language has no
// such function.
func Forms(name string) []*Function { return functions[name] }

// IsFunction tells whether name is a function of the language.
func IsFunction(name string) bool { return functions[name] != nil }

// IsWord tells whether name is a word that some argument takes in place of a value,
// such as round in relief: round.
func IsWord(name string) bool { return words[name] }

// supers are the kinds whose members a kind has too.
var supers = map[Kind][]Kind{
	SideKind: {PlaneKind},
	FaceKind: {PlaneKind},
}

// MemberOf finds a member that the language gives things of a kind, or nil.
func MemberOf(of Kind, name string) *Member {
	if m := members[memberKey{of, name}]; m != nil {
		return m
	}
	for _, k := range supers[of] {
		if m := members[memberKey{k, name}]; m != nil {
			return m
		}
	}
	return nil
}

// MembersOf lists the members that the language gives things of a kind, those that
// they have as something more general included, in the order of the table.
func MembersOf(of Kind) []*Member {
	var out []*Member
	for i := range Members {
		if Members[i].Of == of {
			out = append(out, &Members[i])
		}
	}
	for _, k := range supers[of] {
		out = append(out, MembersOf(k)...)
	}
	return out
}

func also(d *diag.Diagnostic, at diag.Span, message string) {
	d.Related = append(d.Related, diag.Related{Span: at, Message: message})
}
