package check

import (
	"maps"
	"slices"
	"sync"
	"testing"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// TestSite types the right side of every statement anew, from its own bytes, at the place
// where it stands, while others do the same: it has the type that the program gives it,
// and of the program nothing is changed.
func TestSite(t *testing.T) {
	texts := typed(t)
	seen := map[DeclKind]int{}
	for _, name := range slices.Sorted(maps.Keys(texts)) {
		src := diag.NewSource(name, texts[name])
		file, _ := syntax.Parse(src)
		p, _ := Check(file, newDesk(t), Builtins{Materials: []string{"mild_steel"}})
		settled(t, p)
		before := extentOf(p)
		var all sync.WaitGroup
		for range 2 {
			all.Go(func() { eachDecl(p.Root.Order, func(d *Decl) { sameAtSite(t, p, d) }) })
		}
		all.Wait()
		if after := extentOf(p); !slices.Equal(before, after) {
			t.Errorf("%s: the program held %v, and %v when asked", name, before, after)
		}
		eachDecl(p.Root.Order, func(d *Decl) {
			if v, _, _ := saidBy(d); v != nil && p.TypeOf(v).Kind != Invalid {
				seen[d.Kind]++
			}
		})
	}
	for _, k := range []DeclKind{Stock, Let, Body, Cut, Mark} {
		if seen[k] == 0 {
			t.Errorf("no %s was looked at", k)
		}
	}
	if seen[Let] < 100 {
		t.Errorf("only %d lets were looked at", seen[Let])
	}
}

// sameAtSite holds the type of what d says at its site to the program's.
func sameAtSite(t *testing.T, p *Program, d *Decl) {
	value, index, params := saidBy(d)
	if value == nil {
		return
	}
	want := p.TypeOf(value)
	if want.Kind == Invalid { // a mistake, or a circle, which depends on where it is entered
		return
	}
	sp := value.Span()
	got := p.Site(d.Owner, d, index, params).TypeOf(syntax.ParseExpr(sp.Source, int(sp.Start), int(sp.End)))
	if got.String() != want.String() || got.Decl != want.Decl || !slices.Equal(got.edgeNames(), want.edgeNames()) {
		t.Errorf("%s: %s is %v with %v, at its site %v with %v", sp.Source.Name, sp.Text(), want, want.edgeNames(), got, got.edgeNames())
	}
}

// saidBy is the right side of the statement that declares d, with what the statement
// declares for itself.
func saidBy(d *Decl) (syntax.Expr, []syntax.Each, []syntax.Decl) {
	switch s := d.Node.(type) {
	case *syntax.Stock:
		return s.Value, nil, nil
	case *syntax.Let:
		return s.Value, s.Index, s.Params
	case *syntax.Body:
		return s.Value, s.Index, nil
	case *syntax.Cut:
		return s.Value, s.Index, nil
	case *syntax.Mark:
		return s.Value, s.Index, nil
	}
	return nil, nil, nil
}

func eachDecl(ds []*Decl, do func(*Decl)) {
	for _, d := range ds {
		do(d)
		eachDecl(d.Members, do)
		eachDecl(d.Folds, do)
	}
}

// settled wants everything of a checked program to be worked out: what is asked of it
// then only reads.
func settled(t *testing.T, p *Program) {
	t.Helper()
	for _, m := range p.Modules {
		eachDecl(m.Order, func(d *Decl) {
			value := d.Kind != Size && d.Kind != Join && d.Kind != Panel && d.Kind != Fold
			switch {
			case d.Owner == nil && !d.opened, value && d.state != done, d.Kind == Face && d.outline != done:
				t.Errorf("%s: %s %s is not settled", m.Name, d.Kind, d.Name)
			}
			for _, i := range d.Indices {
				if i.state != done {
					t.Errorf("%s: index %s of %s is not settled", m.Name, i.Name, d.Name)
				}
			}
		})
	}
}

// extentOf counts what a program holds, and the imports that are used.
func extentOf(p *Program) []int {
	used := 0
	for _, m := range p.Modules {
		for _, im := range m.imports {
			if im.used {
				used++
			}
		}
	}
	return []int{len(p.types), len(p.kept), len(p.refs), len(p.bound), len(p.stated), len(p.edgeUses), used}
}

// TestSiteSees holds the names at a site to what the statement there may read: not its
// own name but what that means around it, its index as its text has it, and no import
// turns used by it.
func TestSiteSees(t *testing.T) {
	const text = "design \"d\"\n\nuse leaf from \"leaf.perch\"\nparam w: length = 3mm\n" +
		"body frame = box(9mm, 9mm, 9mm)\npanel p(s: side) { let w = 2deg\nface f on s { outline rect(9mm, 9mm) } }\n"
	p, diags := Check(must(t, text), newDesk(t), Builtins{})
	if len(diags) != 1 || diags[0].Code != "P2019" {
		t.Fatalf("told is %v, want that leaf is not used", diags)
	}
	panel := p.Root.Find(Calls, "p")
	index := func(text string) []syntax.Each {
		return syntax.ParseIndex(diag.NewSource("x", text), 0, len(text))
	}
	params := func(text string) []syntax.Decl {
		return syntax.ParseParams(diag.NewSource("x", text), 0, len(text))
	}
	for _, x := range []struct {
		site       *Site
		expr, want string
	}{
		{p.Site(nil, nil, nil, nil), "w", "length"},
		{p.Site(nil, p.Root.Find(Values, "w"), nil, nil), "w", "invalid"},
		{p.Site(panel, nil, nil, nil), "w", "angle"},
		{p.Site(panel, panel.Member("w"), nil, nil), "w", "length"},
		{p.Site(panel.Member("f"), nil, nil, nil), "w * 2", "angle"},
		{p.Site(nil, nil, nil, nil), "s", "invalid"},
		{p.Site(panel, nil, nil, nil), "s", "side"},
		{p.Site(nil, nil, index("[s in frame.sides, k in 1..2]"), nil), "s", "side"},
		{p.Site(nil, nil, index("[s in frame.sides, k in 1..2]"), nil), "k", "count"},
		{p.Site(nil, nil, index("[s in frame.sides, k in 1..]"), nil), "k", "invalid"},
		{p.Site(nil, nil, nil, params("(of: mass, y: corner)")), "y", "corner"},
		{p.Site(nil, nil, nil, nil), "leaf(w)", "length"},
		{p.Site(nil, nil, nil, nil), "w w", "invalid"},
		{p.Site(nil, nil, nil, nil), "", "invalid"},
	} {
		got := "invalid"
		if of := x.site.TypeOf(syntax.ParseExpr(diag.NewSource("x", x.expr), 0, len(x.expr))); of.Kind != Invalid {
			got = of.String()
		}
		if got != x.want {
			t.Errorf("%s is %s, want %s", x.expr, got, x.want)
		}
	}
	if n := len(p.Root.imports); n != 1 || p.Root.imports[0].used {
		t.Error("asking used an import of the program")
	}
	var names []string
	for _, d := range p.Site(panel, panel.Member("w"), nil, params("(z: mass, y: corner)")).InScope() {
		names = append(names, d.Name)
	}
	if want := []string{"z", "y", "s", "f", "w", "frame", "p", "leaf"}; !slices.Equal(names, want) {
		t.Errorf("in scope are %v, want %v", names, want)
	}
}
