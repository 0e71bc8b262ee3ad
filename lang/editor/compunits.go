package editor

import (
	"slices"
	"strings"

	"go.lsp.dev/protocol"

	"perch/lang/check"
	"perch/lang/quantity"
	"perch/lang/syntax"
)

// units proposes units for the number at the cursor: those of what the place takes
// first, lengths in the design's own system before others.
func (t *typing) units() []protocol.CompletionItem {
	n := 0
	for n < len(t.word) && strings.IndexByte("0123456789./-", t.word[n]) >= 0 {
		n++
	}
	if n < len(t.word) && t.word[n] == '.' {
		return nil
	}
	wants := t.wantsOfNumber()
	t.at += n
	type unit struct {
		name, of string
		rank     int
	}
	var all []unit
	own := t.snap.program().Units
	for _, u := range quantity.Units() {
		rank := 2
		if wanted(wants, u.Dim) {
			rank = 0
		}
		if lit, err := quantity.ParseLiteral("1" + u.Name); err == nil {
			if system, length := lit.System(); length && system != own {
				rank++
			}
		}
		all = append(all, unit{u.Name, u.Dim.String(), rank})
	}
	if slices.ContainsFunc(wants, func(w check.Type) bool { return w.Kind == check.GaugeKind }) {
		all = append(all, unit{"ga", "gauge", 0})
	}
	slices.SortStableFunc(all, func(a, b unit) int { return a.rank - b.rank })
	var out []protocol.CompletionItem
	for _, u := range all {
		out = append(out, protocol.CompletionItem{Label: u.name, Kind: protocol.CompletionItemKindUnit, Detail: protocol.NewOptional(u.of)})
	}
	return out
}

// wanted says whether a quantity of that dimension is wanted; where nothing is known to
// be, a length is.
func wanted(wants []check.Type, dim quantity.Dim) bool {
	if len(wants) == 0 {
		return dim == quantity.Length
	}
	return slices.ContainsFunc(wants, func(w check.Type) bool { return w.Kind == check.Quantity && w.Dim == dim })
}

// beside are the operators whose sides are of one dimension.
var beside = map[string]bool{"+": true, "-": true, "<": true, ">": true, "<=": true, ">=": true, "=": true}

// wantsOfNumber is what the number at the cursor may be: what the place takes, or what
// the name before an operator is.
func (t *typing) wantsOfNumber() []check.Type {
	start := t.snap.typing(t.at)
	if w := start.wants(); len(w) > 0 {
		return w
	}
	if k := t.back(2); beside[t.back(1).text] && k.kind == syntax.WordToken {
		for _, d := range t.snap.site(t.at).InScope() {
			if d.Space() == check.Values && t.snap.program().Root.NameOf(d) == k.text && d.Type.Kind == check.Quantity {
				return []check.Type{d.Type}
			}
		}
	}
	return nil
}
