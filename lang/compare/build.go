package compare

import (
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/parts/shop"
)

// Build builds both sides at the sizes named, or at all, side by side; programs
// are without errors. A side of the same texts as the other is built once. Errors
// of building come back for each side, and its Results are then not complete. The
// error is a size that neither side has.
func Build(old, new Side, shop *shop.Shop, sizes []string) (Side, Side, [2][]diag.Diagnostic, error) {
	have := [2][]string{build.Sizes(old.Program), build.Sizes(new.Program)}
	for _, s := range sizes {
		if !slices.Contains(have[0], s) && !slices.Contains(have[1], s) {
			return old, new, [2][]diag.Diagnostic{}, fmt.Errorf("neither side has a size %s; the new one has %s", s, strings.Join(have[1], ", "))
		}
	}
	same := sameTexts(old.Program, new.Program)
	var work sync.WaitGroup
	room := make(chan struct{}, runtime.GOMAXPROCS(0))
	var diags [2][]diag.Diagnostic
	finish := [2]func(){}
	for i, side := range []*Side{&old, &new} {
		if i == 1 && same {
			continue
		}
		names := slices.DeleteFunc(have[i], func(s string) bool { return len(sizes) > 0 && !slices.Contains(sizes, s) })
		side.Results = make([]*build.Result, len(names))
		found := make([][]diag.Diagnostic, len(names))
		for k, name := range names {
			work.Go(func() {
				room <- struct{}{}
				side.Results[k], found[k] = build.Size(side.Program, name, shop, nil)
				<-room
			})
		}
		finish[i] = func() { diags[i] = errorsOf(found, names) }
	}
	work.Wait()
	for _, f := range finish {
		if f != nil {
			f()
		}
	}
	if same {
		new.Results, diags[1] = old.Results, diags[0]
	}
	return old, new, diags, nil
}

// errorsOf are the errors of all sizes, each told once with the sizes that have it.
func errorsOf(found [][]diag.Diagnostic, sizes []string) []diag.Diagnostic {
	all := diag.Gathered{Sizes: sizes}
	for i, ds := range found {
		for _, d := range ds {
			if d.Severity == diag.Error {
				all.Add(d, sizes[i])
			}
		}
	}
	return all.Diagnostics()
}

// sameTexts tells whether two programs were read from the same texts.
func sameTexts(a, b *check.Program) bool {
	if len(a.Modules) != len(b.Modules) {
		return false
	}
	for i, m := range a.Modules {
		if n := b.Modules[i]; m.Source.Text != n.Source.Text || i > 0 && m.Name != n.Name {
			return false
		}
	}
	return true
}
