package reference

import (
	"fmt"
	"math"
	"strings"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/parts/shop"
	"perch/parts/shopcheck"
)

// table writes rows of cells as a Markdown table.
type table struct{ b strings.Builder }

func (t *table) row(cells ...string) {
	for _, c := range cells {
		t.b.WriteString("| " + strings.ReplaceAll(c, "|", `\|`) + " ")
	}
	t.b.WriteString("|\n")
}

func (t *table) head(cells ...string) {
	t.row(cells...)
	t.b.WriteString(strings.Repeat("| --- ", len(cells)) + "|\n")
}

func code(s string) string { return "`" + s + "`" }

func codes(words []string) string {
	quoted := make([]string, len(words))
	for i, w := range words {
		quoted[i] = code(w)
	}
	return strings.Join(quoted, " ")
}

// Words lists the reserved words and the clause words.
func Words() string {
	return fmt.Sprintf("Reserved, never names: %s.\n\nWords with a meaning inside a statement, names everywhere else: %s.\n",
		codes(syntax.ReservedWords()), codes(syntax.ClauseWords()))
}

// Types is the table of the words that declare a type.
func Types() string {
	var t table
	t.head("type", "what it is")
	for _, w := range check.TypeWords {
		t.row(code(w.Word), w.Doc)
	}
	return t.b.String()
}

// Units is the table of units with their worth in the base unit of their kind.
func Units() string {
	var t table
	t.head("unit", "measures", "is")
	var money []string
	for _, u := range quantity.Units() {
		if u.Dim == quantity.Money {
			money = append(money, u.Name)
			continue
		}
		base, scale := baseUnit(u.Dim)
		worth := "the unit perch reckons in"
		if u.Scale != 1 {
			worth = fmt.Sprintf("%.9g %s", u.Scale/scale, base)
		}
		if u.Name == "deg" {
			worth = "a 360th of a turn"
		} else if u.Name == "rad" {
			worth = fmt.Sprintf("%.9g deg", 180/math.Pi)
		}
		t.row(code(u.Name), u.Dim.String(), worth)
	}
	t.row(code("ga"), "gauge", "the thickness that the material's gauge table gives")
	t.row(code("%"), "number", "a hundredth: `40%` is `0.4`")
	t.row(codes(money), "money", "the shop's one currency, whichever code is written")
	return t.b.String()
}

// baseUnit is the unit that others of the dimension are told in.
func baseUnit(d quantity.Dim) (name string, scale float64) {
	for _, u := range quantity.Units() {
		if u.Dim == d && u.Scale == 1 {
			return u.Name, 1
		}
	}
	return "", 1
}

// Codes is the table of the mistakes that perch prints.
func Codes() string {
	var t table
	t.head("code", "what is wrong")
	for _, c := range diag.Codes {
		t.row(code(c.Code), c.Title)
	}
	return t.b.String()
}

// Rules is the table of the shop rules that perch warns by.
func Rules() string {
	var t table
	t.head("code", "warning", "the rule")
	for _, c := range shopcheck.Codes {
		t.row(code(c.Code), c.Title, c.Rule.String())
	}
	return t.b.String()
}

// Shop is the built-in shop file up to its lists of what is on hand.
func Shop() string {
	head, _, _ := strings.Cut(shop.Template, "# Sheets to buy")
	first := func(key string) string {
		_, rest, _ := strings.Cut(shop.Template, "\n[["+key+"]]\n")
		one, _, _ := strings.Cut(rest, "\n\n")
		return "[[" + key + "]]\n" + strings.TrimRight(one, "\n") + "\n"
	}
	return "```toml\n" + strings.TrimRight(head, "\n") + "\n\n" +
		"# Sheets to buy; price each, 0 for not told. The first of many:\n" + first("sheet") +
		"\n# Blind rivets on hand: hole, head diameter, and [length, least grip, most grip].\n" + first("rivet") +
		"\n# Solid rivets on hand, for a hammer and a dolly: hole, head diameter, lengths of the shank.\n" + first("solid_rivet") +
		"\n# Bolts with their clearance holes, the nut's height, a washer's thickness and lengths.\n" + first("bolt") + "```\n"
}
