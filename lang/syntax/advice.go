package syntax

import (
	"fmt"

	"perch/lang/diag"
	"perch/lang/quantity"
)

// What may have been meant by text that can't be read: a word left out, or the
// way another language has.

// foreign are the words by which other languages, or the trade, start what
// perch has another word for.
var foreign = map[string]string{
	"import": "use", "include": "use", "parameter": "param", "const": "let", "var": "let", "def": "let", "function": "let",
	"assert": "rule", "hole": "cut", "slot": "cut", "bend": "fold", "weld": "join", "rivet": "join", "variant": "size",
}

// ways say how perch does what other languages have statements for.
var ways = map[string]string{
	"if":      "what is there only at times says so at its end: part NAME of STOCK = PANEL(…) if CONDITION",
	"for":     family,
	"foreach": family,
	"repeat":  family,
	"while":   family,
}

const family = "copies are a family: part NAME[i in 1..3] of STOCK = PANEL(…)"

// advise adds to a mistake at t, which starts no statement, what to write instead.
func (p *parser) advise(d *diag.Diagnostic, t *Token) {
	before := p.prev()
	goesOn := p.last != nil && !p.apart(before, t)
	near, isNear := nearestStarter(t.Value)
	if !isNear && !goesOn {
		near, isNear = foreign[t.Value], foreign[t.Value] != ""
	}
	switch {
	case isNear && t.Type == WordToken:
		d.Label = fmt.Sprintf("did you mean `%s`?", near)
		d.Fix = replaceFix(d.Span, near, "write `"+near+"`")
	case !goesOn && t.Type == WordToken && p.after(":") && p.here()&atTop != 0:
		d.Label = "a param starts with its word"
		d.Fix = replaceFix(d.Span, "param "+t.Value, "write `param "+clip(t.Value)+"`")
	case !goesOn && t.Type == WordToken && p.after("="):
		d.Label = "a statement starts with a reserved word"
		d.Notes = []string{"a value is named with `let`; a size states its values behind its `:`, with commas between"}
		d.Fix = replaceFix(d.Span, "let "+t.Value, "write `let "+clip(t.Value)+"`")
	case !goesOn:
		d.Label = "a statement starts with a reserved word"
		d.Notes = []string{"here: " + p.startersHere()}
		if way := ways[t.Value]; way != "" {
			d.Notes = []string{way}
		}
	default:
		d.Label = fmt.Sprintf("the `%s` statement ends before this", p.last.word)
		d.Notes = []string{"it reads: " + p.last.form}
		p.adviseGoingOn(d, t, before)
	}
}

// adviseGoingOn does so where the statement before seems to go on with t.
func (p *parser) adviseGoingOn(d *diag.Diagnostic, t *Token, before diag.Span) {
	ends := p.tokens[p.at-1]
	whole, point := p.decimalComma(&ends, t)
	mixed := before.Text() + "-" + t.Value
	switch {
	case t.Value == "," && p.afterType(TextToken):
		d.Fix = replaceFix(d.Span, "", "leave the comma out")
	case point != "":
		d.Label = "a decimal point is written `.`"
		d.Fix = replaceFix(whole, point, "write `"+point+"`")
	case t.Value == "at" && endsValue(&ends):
		d.Label = "one `at` stands behind a value"
		d.Notes = []string{"to put it once more, take what is there into brackets: (SHAPE at A) at B"}
	case t.Value == ",":
		d.Notes = append(d.Notes, "a point is written (U, V), a list [A, B]")
	case p.last.word == "size" && t.Type == WordToken && (p.after("=") || p.after("about")):
		d.Label = "a comma is missing"
		d.Fix = replaceFix(before.After(), ",", "put a comma here")
	case ends.Type == NumberToken && t.Type == NumberToken && isLiteral(mixed):
		d.Label = "a mixed number is glued"
		d.Fix = replaceFix(diag.Cover(before, d.Span), mixed, "write `"+mixed+"`")
	case ends.Type == NumberToken && t.Type == WordToken:
		d.Label = noSign
		d.Notes = []string{"between two values stands an operator; a product is written with `*`"}
		d.Fix = timesFix(before, t)
	case endsValue(&ends) && p.startsExpr():
		d.Notes = append(d.Notes, "between two values stands an operator; a product is written with `*`")
	}
}

const noSign = "no sign stands between the number and this"

// timesFix writes the product of a number and the name behind it.
func timesFix(number diag.Span, name *Token) *diag.Fix {
	return replaceFix(number.After(), " *", "write `"+clip(number.Text()+" * "+name.Value)+"`")
}

// decimalComma is the number that two make with a comma glued between them, and its
// place; "" where they do not.
func (p *parser) decimalComma(ends, comma *Token) (diag.Span, string) {

	defer p.back(p.at)
	p.next()
	next := p.peek()
	whole := diag.Cover(p.span(ends), p.span(next))
	point := ends.Value + "." + next.Value
	if comma.Value != "," || ends.Type != NumberToken || next.Type != NumberToken || int(whole.End-whole.Start) != len(point) || !isLiteral(point) {
		return whole, ""
	}
	return whole, point
}

func isLiteral(s string) bool {
	_, err := quantity.ParseLiteral(s)
	return err == nil
}

// after reports whether the token behind the next is this sign or clause word.
func (p *parser) after(sign string) bool {

	defer p.back(p.at)
	p.next()
	t := p.peek()
	return (t.Type == PunctToken || t.Type == WordToken) && t.Value == sign
}

func (p *parser) afterType(typ TokenType) bool {

	defer p.back(p.at)
	p.next()
	return p.peek().Type == typ
}

// stateType is the fix that states the type of the declaration whose name was just
// taken by the value behind the `=` at hand; nil where that does not show it.
func (p *parser) stateType() *diag.Fix {
	if !p.is("=") {
		return nil
	}

	defer p.back(p.at)
	at := p.prev().After()
	p.next()
	typ := typeOf(p.peek())
	if typ == "" {
		return nil
	}
	return replaceFix(at, ": "+typ, "write `: "+typ+"`")
}

// typeOf is the type of the value that t is, "" where t alone is none.
func typeOf(t *Token) string {
	switch {
	case t.Type == TextToken:
		return quantity.TextType.String()
	case t.Type == WordToken && (t.Value == "true" || t.Value == "false"):
		return quantity.FlagType.String()
	case t.Type != NumberToken:
		return ""
	}
	v, err := quantity.ParseLiteral(t.Value)
	switch {
	case err != nil:
		return ""
	case v.Kind == quantity.Gauge:
		return quantity.GaugeType.String()
	case v.Kind == quantity.Plain && v.Whole:
		return quantity.CountType.String()
	}
	for _, name := range quantity.TypeNames() {
		if typ, _ := quantity.TypeByName(name); typ.Numeric() && typ != quantity.CountType && typ.Dim() == v.Dim {
			return name
		}
	}
	return ""
}

// insertWord is the fix that puts a clause word before the value at hand; nil where
// none stands there on the same line.
func (p *parser) insertWord(word string) *diag.Fix {
	before := p.prev()
	if !p.startsExpr() || p.apart(before, p.peek()) {
		return nil
	}
	return replaceFix(before.After(), " "+word, "put `"+word+"` here")
}

// letType reports the type that a `let` may not state, found at t instead of its
// `=`.
func (p *parser) letType(t *Token) {
	d := diag.Diagnostic{
		Code: "P1102", Span: p.span(t), Label: "expected `=`",
		Summary: "a `let` states no type: it has that of its value",
		Notes:   []string{"it reads: " + starterFor("let").form},
	}
	at := p.prev().After()

	defer p.back(p.at)
	for range 4 { // `: [type]`
		if p.next(); p.is("=") {
			d.Fix = replaceFix(diag.Cover(at, p.prev()), "", "leave the type out")
			break
		}
	}
	p.report(d)
}

// forgotEdge reports a name that stands behind a point without `edge` before it.
func (p *parser) forgotEdge(it Item) bool {
	t := p.peek()
	if _, isPoint := it.Value.(*Pair); !isPoint || it.Edge != nil || t.Type != WordToken || isClause(t.Value) || p.apart(p.prev(), t) || !p.after(",") && !p.after("]") {
		return false
	}
	p.report(diag.Diagnostic{
		Code: "P1102", Span: p.span(t), Label: "expected `edge`",
		Summary: fmt.Sprintf("expected `,` or `]` after `%s`, found %s", clip(p.prev().Text()), describe(t)),
		Notes:   []string{"a point reads: (u, v) round R or chamfer C, then arc R, then edge NAME"},
		Fix:     p.insertWord("edge"),
	})
	return true
}
