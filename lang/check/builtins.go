package check

import (
	"slices"

	"perch/lang/builtin"
)

// Parameter is one argument of a function, a method or a panel.
type Parameter struct {
	builtin.Parameter
	Types []Type // it takes any one of these

	decl *Decl // where a panel or a let declares it
}

// ConstantName is a value the language knows by name.
type ConstantName struct {
	Name string
	Type Type
	Doc  string
}

// Constants are the values known by name, materials aside.
var Constants = []ConstantName{
	{"true", flag, "the flag that is up"},
	{"false", flag, "the flag that is down"},
}

// row is a row of the table of the language's functions with its types as this room
// has them.
type row struct {
	params []Parameter
	result Type
}

var rows = readRows()

func readRows() map[*builtin.Function]row {
	m := map[*builtin.Function]row{}
	read := func(f *builtin.Function) {
		r := row{result: typeFrom(f.Result)}
		for _, p := range f.Params {
			r.params = append(r.params, Parameter{Parameter: p, Types: typesFrom(p.Types)})
		}
		m[f] = r
	}
	for _, f := range builtin.Functions {
		read(f)
	}
	for i := range builtin.Members {
		read(&builtin.Members[i].Function)
	}
	return m
}

// Parameters are those of a row of the table.
func Parameters(f *builtin.Function) []Parameter { return rows[f].params }

// Result is the type that a row of the table says it gives; Invalid where that follows
// from its arguments.
func Result(f *builtin.Function) Type { return rows[f].result }

// Wants says what the parameter takes, as a reader would: a length or a gauge.
func (p Parameter) Wants() string {
	plain := p.Parameter
	plain.Types = plainTypes(p.Types)
	return plain.Wants()
}

func signatureOf(name string, params []Parameter) string {
	plain := make([]builtin.Parameter, len(params))
	for i, p := range params {
		plain[i] = p.Parameter
	}
	return builtin.Signature(name, plain)
}

// typeFrom is a type of the table. Edges that it names stand nowhere.
func typeFrom(t builtin.Type) Type {
	out := Type{Kind: t.Kind, Dim: t.Dim, Index: typesFrom(t.Index)}
	if t.Elem != nil {
		e := typeFrom(*t.Elem)
		out.Elem = &e
	}
	switch {
	case len(t.Edges) > 0:
		out.edges = &shapeEdges{known: t.EdgesKnown}
	case t.EdgesKnown:
		out.edges = noneNamed
	}
	for _, n := range t.Edges {
		out.edges.all = append(out.edges.all, &Decl{Name: n, Kind: Edge, Type: edge, state: done})
	}
	return out
}

func typesFrom(ts []builtin.Type) []Type {
	var out []Type
	for _, t := range ts {
		out = append(out, typeFrom(t))
	}
	return out
}

// plain is the type as the table has it: names instead of declarations.
func (t Type) plain() builtin.Type {
	out := builtin.Type{Kind: t.Kind, Dim: t.Dim, Index: plainTypes(t.Index), Edges: slices.Clone(t.edgeNames()), EdgesKnown: t.outline().known}
	if t.Elem != nil {
		e := t.Elem.plain()
		out.Elem = &e
	}
	if t.Kind == PartKind && t.Decl != nil {
		if out.Maker = t.Decl.Name; isTypeWord(out.Maker) {
			out.Maker += " part"
		}
	}
	return out
}

func plainTypes(ts []Type) []builtin.Type {
	var out []builtin.Type
	for _, t := range ts {
		out = append(out, t.plain())
	}
	return out
}
