package builtin

import (
	"slices"
	"strings"

	"perch/lang/quantity"
	"perch/lang/value"
)

// Parameter is one argument that a function or method takes.
type Parameter struct {
	Name     string
	Types    []Type   // it takes any one of these
	Words    []string // it takes one of these words instead of a value
	Shop     bool     // the words are those that the shop knows: Words is empty
	Optional bool
	Default  string      // as written or told, where it has one; "" otherwise
	Value    value.Value // of a Default that is a literal or a word; nil where there is none
	Doc      string
	Labelled bool   // it can't be given by position
	Follows  bool   // it may stand right behind the one before it, which has a label, without its own
	Families bool   // it takes a family of its type as well
	Many     bool   // the last one: it may be repeated
	Same     bool   // any quantity; all such arguments of one call have one dimension
	Whole    bool   // left out, the whole piece is meant: every part is needed
	Without  string // the parameter that can't be given beside it
}

func need(name, doc string, types ...Type) Parameter {
	return Parameter{Name: name, Types: types, Doc: doc}
}

// may is a parameter that can be left out: standard is what it is then, as a literal
// of the language or, where that depends on something else, in words.
func may(name, standard, doc string, types ...Type) Parameter {
	p := Parameter{Name: name, Types: types, Doc: doc, Optional: true, Default: standard}
	if l, err := quantity.ParseLiteral(standard); err == nil {
		p.Value = value.Number{V: l.Value, Dim: l.Dim, Whole: l.Whole}
	}
	return p
}

func oneOf(name, standard, doc string, words ...string) Parameter {
	return Parameter{Name: name, Words: words, Doc: doc, Optional: true, Default: standard, Value: value.Word(standard), Labelled: true}
}

// byShop is a parameter of words that is what the shop file says where it is left out.
func byShop(name, doc string, words ...string) Parameter {
	p := oneOf(name, "as the shop file says", doc, words...)
	p.Value = value.Word("")
	return p
}

func quantityNeed(name, doc string) Parameter { return Parameter{Name: name, Doc: doc, Same: true} }

func (p Parameter) labelled() Parameter            { p.Labelled = true; return p }
func (p Parameter) follows() Parameter             { p.Follows = true; return p }
func (p Parameter) many() Parameter                { p.Many = true; return p }
func (p Parameter) families() Parameter            { p.Families = true; return p }
func (p Parameter) whole() Parameter               { p.Whole = true; return p }
func (p Parameter) without(other string) Parameter { p.Without = other; return p }

// TakesWord tells whether the parameter takes a word instead of a value.
func (p Parameter) TakesWord() bool { return p.Words != nil || p.Shop }

// TakesList tells whether a list is wanted, for which a family may stand.
func (p Parameter) TakesList() bool {
	return !p.Families && slices.ContainsFunc(p.Types, func(t Type) bool { return t.Kind == ListKind })
}

// Wants says what the parameter takes, as a reader would: a length or a gauge.
func (p Parameter) Wants() string {
	switch {
	case p.Same:
		return "a quantity"
	case len(p.Words) > 0:
		return "one of " + strings.Join(p.Words, ", ")
	case p.Shop:
		return "a word"
	}
	return Alternatives(p.Types)
}

// Signature writes a call: rect(w, h), what may be left out in square brackets.
func Signature(name string, params []Parameter) string {
	parts := make([]string, len(params))
	for i, p := range params {
		parts[i] = p.Name
		if p.Labelled {
			parts[i] += ":"
		}
		if p.Many {
			parts[i] += ", …"
		}
		if p.Optional {
			parts[i] = "[" + parts[i] + "]"
		}
	}
	return name + "(" + strings.Join(parts, ", ") + ")"
}

// Named is the place of the parameter of a name, -1 where there is none.
func Named(params []Parameter, name string) int {
	for i := range params {
		if params[i].Name == name {
			return i
		}
	}
	return -1
}
