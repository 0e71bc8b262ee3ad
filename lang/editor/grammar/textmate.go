package grammar

import (
	"bytes"
	"encoding/json"
	"fmt"
)

// rule is one pattern of a TextMate grammar: a match, or what stands between
// begin and end.
type rule struct {
	Name          string             `json:"name,omitempty"`
	Match         string             `json:"match,omitempty"`
	Captures      map[string]capture `json:"captures,omitempty"`
	Begin         string             `json:"begin,omitempty"`
	End           string             `json:"end,omitempty"`
	BeginCaptures map[string]capture `json:"beginCaptures,omitempty"`
	EndCaptures   map[string]capture `json:"endCaptures,omitempty"`
	Patterns      []rule             `json:"patterns,omitempty"`
}

type capture struct {
	Name string `json:"name"`
}

type textMate struct {
	Comment   string   `json:"comment"`
	Name      string   `json:"name"`
	ScopeName string   `json:"scopeName"`
	FileTypes []string `json:"fileTypes"`
	Patterns  []rule   `json:"patterns"`
}

// name is any word. Patterns keep to what every regular-expression engine
// knows: they look neither ahead nor behind, but take in what they look at.
const name = `[\p{L}_][\p{L}\p{N}_]*`

func matches(scope, pattern string, groups ...string) rule {
	r := rule{Name: scope, Match: pattern}
	for i, g := range groups {
		if g == "" {
			continue
		}
		if r.Captures == nil {
			r.Captures = map[string]capture{}
		}
		r.Captures[fmt.Sprint(i+1)] = capture{g}
	}
	return r
}

// rules of the grammar. At each place the first that fits there is taken, and
// every word is taken whole, so that none fits in the middle of one.
func (l lists) rules() []rule {
	const (
		accessor  = "punctuation.accessor.perch"
		label     = "variable.parameter.perch"
		colon     = "punctuation.separator.key-value.perch"
		operator  = "keyword.operator.perch"
		number    = "constant.numeric.perch"
		unit      = "keyword.other.unit.perch"
		typeName  = "support.type.perch"
		declared  = "variable.other.declaration.perch"
		statement = "storage.type.perch"
	)
	units := `(` + oneOf(l.units) + `\b|%|")`
	inches := `\d+-\d+/\d+|\d+/\d+|\d+(?:\.\d+)?`
	return []rule{
		matches("comment.line.double-slash.perch", `(//).*$`, "punctuation.definition.comment.perch"),
		{
			Name: "string.quoted.double.perch", Begin: `"`, End: `"|$`,
			Patterns: []rule{
				matches("constant.character.escape.perch", `\\(?:["\\nt]|u\{[0-9a-fA-F]{1,6}\})`),
				matches("invalid.illegal.escape.perch", `\\.`),
			},
		},
		// 2'6-1/2"  1-1/2in  320mm  1e-6
		matches(number, `\d+(')(?:-?(?:`+inches+`)("))?`, unit, unit),
		matches(number, `(?:\d+-)?\d+/\d+`+units, unit),
		matches(number, `\d+(?:\.\d+)?(?:[eE][+-]?\d+)?`+units+`?`, unit),
		matches("keyword.operator.range.perch", `\.\.`),
		matches("", `(\.)\s*(`+name+`)\s*(\()`, accessor, "entity.name.function.member.perch", "punctuation.section.parens.begin.perch"),
		matches("", `(\.)\s*(`+name+`)`, accessor, "variable.other.member.perch"),
		// a label or a declared name, and the type or option behind it
		matches("", `(`+name+`)\s*(:)\s*(?:\[\s*)?(`+oneOf(l.types)+`)\b`, label, colon, typeName),
		matches("", `(`+name+`)\s*(:)\s*(`+oneOf(l.options)+`)\b`, label, colon, "constant.language.perch"),
		matches("", `(`+name+`)\s*(:)`, label, colon),
		matches("", `\b(let)\s+(`+name+`)\s*(\()`, statement, "entity.name.function.perch", "punctuation.section.parens.begin.perch"),
		matches("", `\b(param)\s+(`+name+`)\s*(:)\s*(?:\[\s*)?(`+oneOf(l.types)+`)\b`, statement, declared, colon, typeName),
		matches("", `\b(`+oneOf(l.naming)+`)\s+(`+name+`)`, statement, declared),
		matches(statement, `\b`+oneOf(l.naming)+`\b`),
		matches("keyword.other.statement.perch", `\b`+oneOf(l.stating)+`\b`),
		matches("keyword.control.conditional.perch", `\b`+oneOf(l.choosing)+`\b`),
		matches("keyword.operator.expression.perch", `\b`+oneOf(l.logical)+`\b`),
		matches("", `\b(`+oneOf(l.functions)+`)\s*(\()`, "support.function.perch", "punctuation.section.parens.begin.perch"),
		matches("keyword.other.clause.perch", `\b`+oneOf(l.clauses)+`\b`),
		matches("constant.language.perch", `\b`+oneOf(l.constants)+`\b`),
		matches("", `(`+name+`)\s*(\()`, "entity.name.function.call.perch", "punctuation.section.parens.begin.perch"),
		matches("variable.other.perch", name),
		matches("keyword.operator.comparison.perch", `!=|<=|>=|[=<>]`),
		matches(operator, `[-+*/&^]`),
		matches("punctuation.separator.perch", `[,:]`),
		matches("punctuation.section.brackets.perch", `[()\[\]{}]`),
	}
}

func (l lists) textMate() string {
	return indented(textMate{
		Comment: "Made from the language's own word lists; change them and run go test with -update.",
		Name:    "perch", ScopeName: "source.perch", FileTypes: []string{"perch"},
		Patterns: l.rules(),
	})
}

func indented(v any) string {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil { // plain structs of strings
		panic(err)
	}
	return b.String()
}
