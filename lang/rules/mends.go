package rules

import (
	"fmt"
	"strings"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
)

// restate offers another value where param i has its own, written out.
func (s *System) restate(i int, text string) *diag.Fix {
	say := s.says[i]
	if say == nil || say.x == nil {
		return nil
	}
	if _, ok := say.x.(*syntax.Literal); !ok {
		return nil
	}
	return &diag.Fix{Message: "write " + text, Edits: []diag.Edit{{Span: say.x.Span(), Text: text}}}
}

// yield offers to drop the `about` of a param: of its default, or of a size, which lets it
// free.
func (s *System) yield(d *check.Decl) *diag.Fix {
	if d == nil {
		return nil
	}
	say := s.says[s.at[d]]
	if say == nil || say.x == nil || !say.about {
		return nil
	}
	at := say.x.Span()
	before := strings.TrimRight(at.Source.Text[:at.Start], " \t\r\n")
	if !strings.HasSuffix(before, "about") {
		return nil
	}
	at.Start = int32(len(strings.TrimRight(strings.TrimSuffix(before, "about"), " \t")))
	if d.Param.Default == say.x {
		return &diag.Fix{Message: fmt.Sprintf("leave the `about` of %s out", d.Name), Edits: []diag.Edit{{Span: at}}}
	}
	return &diag.Fix{Message: fmt.Sprintf("write %s free", d.Name), Edits: []diag.Edit{{Span: at, Text: " free"}}}
}

// wishFor offers to say of a param without a value which one is wished for.
func wishFor(d *check.Decl, text string) *diag.Fix {
	at := d.Param.Type.At
	if d.Param.Domain != nil {
		at = d.Param.Domain.At
	}
	if d.Param.List || at.IsZero() {
		return nil
	}
	return &diag.Fix{Message: fmt.Sprintf("write about %s behind it", text), Edits: []diag.Edit{{Span: at.After(), Text: " about " + text}}}
}

// asLet offers to make a let of a param whose value is known only when parts are made.
func asLet(d *check.Decl, x syntax.Expr) *diag.Fix {
	p, ok := d.Node.(*syntax.Param)
	if !ok || p.Decl.Default != x {
		return nil
	}
	text := fmt.Sprintf("let %s = %s", d.Name, x.Span().Text())
	return &diag.Fix{Message: "write " + text, Edits: []diag.Edit{{Span: p.At, Text: text}}}
}

// atSize points to the size that something is told of, where the design has several.
func (s *System) atSize(at diag.Span) []diag.Related {
	if s.Size == nil {
		return nil
	}
	return []diag.Related{{Span: at, Message: "at this size"}}
}
