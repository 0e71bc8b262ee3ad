package eval

import (
	"fmt"
	"strings"

	"perch/lang/check"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
)

// Written is how a design's own text names a face of a copy, in whole: top_plate[1].flat.
// ok is false where that takes more than what the part's own line tells.
func (m *Made) Written(copied int, face string) (text string, ok bool) {
	p := m.parts[copied]
	stmt := p.stmt
	if strings.Contains(face, ".") { // one of a family of faces
		return "", false
	}
	if stmt.Index == nil {
		return stmt.Name.Name + "." + face, true
	}
	f, isFamily := m.ev.declared(p.of, stmt.At).(*value.Family)
	if !isFamily {
		return "", false
	}
	var index []string
	for i, member := range f.Members {
		if member != value.Value(p) {
			continue
		}
		for k := range stmt.Index {
			text, ok := indexText(m.ev.prog, stmt, f, i, k)
			if !ok {
				return "", false
			}
			index = append(index, text)
		}
	}
	return fmt.Sprintf("%s[%s].%s", stmt.Name.Name, strings.Join(index, ", "), face), len(index) > 0
}

// indexText is how the k-th index of a family's i-th copy is written.
func indexText(p *check.Program, stmt *syntax.Part, f *value.Family, i, k int) (string, bool) {
	d := stmt.Index[k].Domain
	if n, ok := f.Keys[i][k].(value.Number); ok {
		return quantity.Format(n.V, n.Dim, p.Units), true
	}
	if d.Hi != nil || stmt.Guard != nil || named(d.Lo, stmt.Index[:k]) {
		return "", false
	}
	var seen []any
	for _, key := range f.Keys {
		id := value.Identity(key[k])
		at := -1
		for n, other := range seen {
			if other == id {
				at = n
			}
		}
		if at < 0 {
			at, seen = len(seen), append(seen, id)
		}
		if id != value.Identity(f.Keys[i][k]) {
			continue
		}
		if list, ok := d.Lo.(*syntax.List); ok {
			if at >= len(list.Items) {
				return "", false
			}
			item := list.Items[at].At
			return item.Source.Text[item.Start:item.End], true
		}
		s := d.Lo.Span()
		return fmt.Sprintf("%s[%d]", s.Source.Text[s.Start:s.End], at+1), true
	}
	return "", false
}

// named tells whether an expression names one of some indices.
func named(e syntax.Expr, index []syntax.Each) (does bool) {
	syntax.Inspect(e, func(n syntax.Node) bool {
		if name, ok := n.(*syntax.Name); ok {
			for _, each := range index {
				does = does || each.Name.Name == name.Name
			}
		}
		return !does
	})
	return does
}
