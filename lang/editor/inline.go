package editor

import (
	"fmt"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
)

// inline puts a let's value in the place of its name, wherever this text reads it, and
// takes the let out. It is not proposed where another text may read the name, or where a
// name in the value means something else.
func (snap *snapshot) inline(from, to int) []rewrite {
	m := snap.markAt(from)
	if m == nil || m.decl == nil || m.decl.Kind != check.Let || int(m.at.End) < to || m.decl.Module != snap.program().Root {
		return nil
	}
	d := m.decl
	let, ok := d.Node.(*syntax.Let)
	if !ok || let.IsFunc || len(let.Index) > 0 || d.Owner == nil && !snap.isDesign() {
		return nil
	}
	edits := []diag.Edit{{Span: check.WholeLines(let.At)}}
	for _, k := range snap.marks() {
		if k.decl != d || k.role == declares {
			continue
		}
		if k.role != reads || !snap.meansAlike(let.Value, k.at) {
			return nil
		}
		text := let.Value.Span().Text()
		if !isPrimary(let.Value) && !snap.standsAlone(k.at) {
			text = "(" + text + ")"
		}
		edits = append(edits, diag.Edit{Span: k.at, Text: text})
	}
	if len(edits) == 1 {
		return nil // nothing reads it: there is a fix for that
	}
	return []rewrite{{fmt.Sprintf("put the value of %s in its place", d.Name), edits}}
}

// meansAlike says that the names of a value mean at another place what they mean in it,
// and that the place is one where a name by itself is read.
func (snap *snapshot) meansAlike(value syntax.Expr, at diag.Span) bool {
	if before := snap.before(int(at.Start)); len(before) > 0 && before[len(before)-1].text == "." {
		return false // a member of something
	}
	means := map[string]*check.Decl{}
	for _, d := range snap.site(int(at.Start) + 1).InScope() {
		key := fmt.Sprint(d.Space(), snap.program().Root.NameOf(d))
		if means[key] == nil {
			means[key] = d
		}
	}
	alike := true
	called := map[*syntax.Name]bool{}
	syntax.Inspect(value, func(n syntax.Node) bool {
		switch x := n.(type) {
		case *syntax.Call:
			if f, ok := x.Fun.(*syntax.Name); ok {
				called[f] = true
			}
		case *syntax.Name:
			space := check.Values
			if called[x] {
				space = check.Calls
			}
			if d := means[fmt.Sprint(space, x.Name)]; d != snap.program().DeclOf(x) && (d != nil || snap.program().DeclOf(x).Kind != check.Constant) {
				alike = false
			}
		}
		return alike
	})
	return alike
}

// isPrimary says that a value needs no brackets wherever it stands.
func isPrimary(x syntax.Expr) bool {
	switch x.(type) {
	case *syntax.Binary, *syntax.Unary, *syntax.If, *syntax.In:
		return false
	}
	return true
}

// standsAlone says that the name at a place is all of an argument, an item or a value.
func (snap *snapshot) standsAlone(at diag.Span) bool {
	nodes := snap.nodesAround(int(at.Start), int(at.End))
	if len(nodes) < 2 {
		return false
	}
	switch x := nodes[len(nodes)-2].(type) {
	case *syntax.Let, *syntax.Pair, *syntax.Paren:
		return true
	case *syntax.Call:
		return x.Fun.Span() != at
	}
	return false
}
