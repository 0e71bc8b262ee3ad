package syntax

import (
	"fmt"
	"slices"
	"strconv"

	"perch/lang/diag"
)

// is reports whether the next token is this sign.
func (p *parser) is(sign string) bool {
	t := p.peek()
	return t.Type == PunctToken && t.Value == sign
}

// word reports whether the next token is this clause word.
func (p *parser) word(w string) bool {
	t := p.peek()
	return t.Type == WordToken && t.Value == w
}

// want fails with "expected what, found …".
func (p *parser) want(what, note string) { p.wantWith(what, note, nil) }

// wantWith does so with a fix, nil for none.
func (p *parser) wantWith(what, note string, fix *diag.Fix) {
	t := p.peek()
	d := diag.Diagnostic{
		Code: "P1102", Span: p.spot(t), Label: "expected " + what,
		Summary: fmt.Sprintf("expected %s after `%s`, found %s", what, clip(p.prev().Text()), describe(t)),
		Fix:     fix,
	}
	if note != "" {
		d.Notes = []string{note}
	}
	p.fail(d)
}

// nest counts a bracket or choice opened at the next token; it fails past
// MaxNesting. Each true is paid back by p.depth--.
func (p *parser) nest() bool {
	if p.depth >= MaxNesting {
		p.stuck = true
		p.fail(diag.Diagnostic{
			Code: "P1203", Span: p.span(p.peek()),
			Summary: fmt.Sprintf("more than %d brackets or choices stand inside one another", MaxNesting),
			Label:   "this one is too deep",
			Notes:   []string{"name a part of it with `let`"},
		})
		return false
	}
	p.depth++
	return true
}

// listForm is how one kind of bracketed list reads.
type listForm struct {
	open, close string
	trailing    bool        // may end with a comma
	empty       bool        // may hold nothing
	what        string      // "an index": what it holds
	starts      func() bool // whether an item can start here, else nil
}

// list parses a bracketed comma list with item for each entry. A mistake in an
// entry costs that entry; it returns false where the list's end is lost.
func (p *parser) list(f listForm, item func() bool) bool {
	if !p.nest() {
		return false
	}
	defer func() { p.depth-- }()
	p.next()
	opened := p.prev()
	if p.is(f.close) {
		p.next()
		if !f.empty {
			p.fail(diag.Diagnostic{Code: "P1108", Span: p.since(opened), Summary: "nothing stands between the brackets", Label: "expected " + f.what,
				Fix: replaceFix(p.since(opened), "", "leave the brackets out")})
		}
		return true
	}
	told := len(p.diags)
	for {
		if !item() && (p.stuck || !p.resync(f.close)) {
			return false
		}
		switch {
		case p.is(f.close):
			p.next()
			return true
		case p.is(","):
			p.next()
			if p.is(f.close) {
				if !f.trailing {
					p.report(diag.Diagnostic{Code: "P1209", Span: p.prev(), Summary: "no comma stands before this `" + f.close + "`", Label: "one too many", Fix: replaceFix(p.prev(), "", "delete it")})
				}
				p.next()
				return true
			}
		case f.starts != nil && p.factor():
			before, t := p.prev(), p.peek()
			p.fail(diag.Diagnostic{
				Code: "P1102", Span: p.span(t), Summary: fmt.Sprintf("expected `,` or `%s` after `%s`, found %s", f.close, clip(before.Text()), describe(t)),
				Label: noSign, Notes: []string{"a product is written with `*`"}, Fix: timesFix(before, t),
			})
			p.stuck = true
			return false
		case f.starts != nil && f.starts():
			at := p.prev().After()
			p.report(diag.Diagnostic{
				Code: "P1102", Span: at, Summary: fmt.Sprintf("expected `,` or `%s` after `%s`, found %s", f.close, clip(p.prev().Text()), describe(p.peek())),
				Label: "a comma is missing", Fix: replaceFix(at, ",", "put a comma here"),
			})
		default:
			p.unclosedBracket(f.close, opened, told)
			return false
		}
	}
}

// factor reports whether the next is a name behind a number without a unit, `2 height`:
// rather a product than two items. A label, `2 height: 3mm`, is an item of its own.
func (p *parser) factor() bool {
	before := p.tokens[p.at-1]
	_, err := strconv.ParseFloat(before.Value, 64)
	return err == nil && before.Type == NumberToken && p.peek().Type == WordToken && !p.after(":")
}

// unclosedBracket fails for a bracket opened at opened whose end is not here. Of what
// was found since, told mistakes ago, it may be the reason.
func (p *parser) unclosedBracket(close string, opened diag.Span, told int) {
	p.stuck = true
	if p.failed {
		return // or that of this
	}
	p.diags = append(p.diags[:told], slices.DeleteFunc(slices.Clone(p.diags[told:]), func(d diag.Diagnostic) bool { return d.Mark&diag.Standing == 0 })...)
	p.mistakeAt = -1
	t := p.peek()
	sp := p.spot(t)
	d := diag.Diagnostic{
		Code: "P1202", Span: sp,
		Summary: fmt.Sprintf("expected `%s` after `%s`, found %s", close, clip(p.prev().Text()), describe(t)),
		Label:   fmt.Sprintf("expected `%s`", close),
		Related: []diag.Related{{Span: opened, Message: "to close this bracket"}},
	}
	if sp.Start == sp.End {
		d.Fix = replaceFix(sp, close, "close it with `"+close+"`")
	}
	p.fail(d)
}

// resync skips behind a mistake to the comma or bracket that ends the entry of
// a list closed by close; false where none is found before the statement ends.
func (p *parser) resync(close string) bool {
	depth := 0
	for {
		t := p.peek()
		if t.EOF() || t.Type == StartToken {
			p.stuck = true
			return false
		}
		if t.Type == PunctToken {
			switch t.Value {
			case "(", "[":
				depth++
			case ")", "]":
				if depth == 0 {
					p.stuck = t.Value != close
					return !p.stuck
				}
				depth--
			case ",":
				if depth == 0 {
					return true
				}
			case "{", "}":
				p.stuck = true
				return false
			}
		}
		p.next()
	}
}
