package syntax

import (
	"fmt"
	"strings"

	"perch/lang/diag"
)

// What the parser does behind a mistake: where it reads on, and which braces it
// believes, so that one mistake is one report.

// settled is how many tokens behind a mistake must make sense before another in the
// same statement counts as one of its own.
const settled = 3

// near reports whether a mistake was found only just before in the statement.
func (p *parser) near() bool {
	last := p.mistakeAt
	p.mistakeAt = p.at
	return last >= 0 && p.mistakeAt-last < settled
}

// follows reports whether a mistake at sp comes of a quote left open: one that
// stands on the same line, or before it in the same statement.
func (p *parser) follows(sp diag.Span) bool {
	for _, line := range p.broken {
		if sp.Start >= line.Start && (sp.Start <= line.End || line.End >= p.first) {
			return true
		}
	}
	return false
}

// shut ends the blocks that t can't stand in, where a brace of theirs is missing
// or was one too many. It is false where t is misplaced.
func (p *parser) shut(st *starter, t Token) bool {
	for len(p.open) > 0 {
		last := &p.open[len(p.open)-1]
		switch {
		case last.holds == anywhere && st.places == atTop && p.closersAhead() < len(p.open):
			p.close(p.prev()) // what opened it is reported already
		case st.places&last.holds != 0:
			return true
		case st.places&p.outer() != 0 && p.closersAhead() < len(p.open):
			p.unclosed(p.span(&t), fmt.Sprintf("`%s`", t.Value))
		default:
			return false
		}
	}
	return st.places&atTop != 0
}

// outer is all that the blocks around the innermost may hold.
func (p *parser) outer() place {
	all := atTop
	for _, b := range p.open[:len(p.open)-1] {
		all |= b.holds
	}
	return all
}

// closersAhead counts the closing braces, less the opening ones, from the
// statement or brace at hand to the next statement that stands at the top: where
// they suffice for the open blocks, a statement is misplaced rather than a brace lost.
func (p *parser) closersAhead() int {
	const (
		far      = 1024   // tokens
		maxLooks = 10_000 // at one file, past which braces are taken as they come
	)
	if p.looks++; p.looks > maxLooks {
		return 0
	}
	defer p.back(p.at)
	n := 0
	for i := range far {
		t := p.next()
		switch {
		case t.EOF():
			return n
		case t.Type == StartToken && starterFor(t.Value).places == atTop && i > 0:
			return n
		case t.Value == "}":
			n++
		case t.Value == "{":
			n--
		}
	}
	return n
}

var placeNames = map[place]string{
	atTop: "at the top of a file", inPanel: "in a panel", inFace: "in a face",
	atTop | inPanel: "at the top of a file or in a panel",
}

// misplaced reports that t can't stand here. True: the block that ended last did
// so too early, and goes on.
func (p *parser) misplaced(st *starter, t *Token) bool {
	where, nameless := "at the top of a file", false
	if n := len(p.open); n > 0 {
		nameless = p.open[n-1].name == "" // which is told: what it holds is not to blame
		where = fmt.Sprintf("in the %s `%s`", p.open[n-1].word, clip(p.open[n-1].name))
	}
	d := diag.Diagnostic{
		Code: "P1104", Span: p.span(t),
		Summary: fmt.Sprintf("`%s` can't stand %s", st.word, where),
		Label:   fmt.Sprintf("it belongs %s", placeNames[st.places]),
	}
	c := p.closed
	again := c != nil && st.places&c.holds != 0 && p.closersAhead() > len(p.open)
	if again && c.word != "" {
		d.Related = []diag.Related{{Span: c.by, Message: fmt.Sprintf("the %s `%s` ends here", c.word, clip(c.name))}}
	}
	if !p.lost && !nameless { // else this one stands with those before
		p.report(d)
	}
	if again {
		p.open, p.closed = append(p.open, c.block), nil
	}
	return again
}

// recover skips from a mistake in the statement that st starts, nil for none, to
// where a statement or a block may begin or end. It reports whether a block is
// entered, by its brace or where that was lost.
func (p *parser) recover(st *starter) bool {
	opens := func() bool {
		return st != nil && (st.word == "panel" || st.word == "face") && p.closersAhead() > len(p.open)
	}
	groups := 0
	for {
		t := p.peek()
		switch {
		case t.EOF():
			return false
		case t.Type == StartToken && p.begins(t):
			return opens()
		case t.Type == PunctToken && t.Value == "}":
			if groups > 0 {
				groups--
			} else if !p.strayCloser() {
				return opens()
			}
		case t.Type == PunctToken && t.Value == "{":
			p.next()
			if next := p.peek(); next.Type == StartToken || next.Value == "}" || next.EOF() {
				return true
			}
			if p.group() {
				groups++
			}
			continue
		}
		p.next()
	}
}

// begins reports whether a reserved word starts a statement even behind a mistake:
// it comes first on its line, or behind a brace.
func (p *parser) begins(t *Token) bool {
	prev := p.prev()
	if s := prev.Text(); s == "{" || s == "}" {
		return true
	}
	return p.apart(prev, t)
}

// apart reports whether t stands on a later line than what was before it.
func (p *parser) apart(prev diag.Span, t *Token) bool {
	return strings.Contains(p.src.Text[prev.End:max(t.Start, prev.End)], "\n")
}

// strayCloser reports whether the statement goes on behind the closing brace at
// hand, and the open blocks can do without that.
func (p *parser) strayCloser() bool {
	at := p.at
	p.next()
	next := p.peek()
	on := next.Type != StartToken && next.Value != "}" && !next.EOF() && !p.apart(p.prev(), next)
	p.back(at)
	return on && p.closersAhead() > len(p.open)
}

// group reports whether the brace just taken belongs to one that ends in the
// same statement, as of a choice in another language's way. The open blocks
// must not lack that.
func (p *parser) group() bool {
	defer p.back(p.at)
	for depth := 0; ; {
		t := p.next()
		if t.EOF() || t.Type == StartToken {
			return false
		}
		if t.Type != PunctToken {
			continue
		}
		switch t.Value {
		case "(", "[":
			depth++
		case ")", "]":
			if depth--; depth < 0 {
				return false
			}
		case "{":
			return false
		case "}":
			return p.closersAhead() >= len(p.open)
		}
	}
}

// garbage reports text that starts no statement, once up to the next one.
func (p *parser) garbage() {
	t := *p.peek()
	sp := p.span(&t)
	d := diag.Diagnostic{Code: "P1101", Span: sp, Summary: "expected a statement, found " + describe(&t)}
	p.advise(&d, &t)
	afterNumber := p.at > 0 && p.tokens[p.at-1].Type == NumberToken
	if p.last != nil && p.added != nil && !p.apart(p.prev(), &t) && (t.Type != WordToken || afterNumber) && t.Value != "{" {
		*p.added = (*p.added)[:len(*p.added)-1] // its value was to be another
	}
	p.last, p.added = nil, nil
	if c := p.closed; c == nil || c.word != "" || p.prev() != c.by { // else it goes on with what was wrong
		p.report(d)
	}
	if p.recover(nil) {
		p.open = append(p.open, block{holds: anywhere, at: p.prev(), head: sp})
	}
}
