package editor

import (
	"maps"
	"math"
	"slices"
	"sync"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/rules"
	"perch/lang/syntax"
	"perch/parts/measure"
	"perch/parts/panel"
)

// numbers are the values of the design's names, by size.
type numbers struct {
	sizes []string
	by    []map[string]panel.Value // by size; nil where the size has no solution
	waits []bool                   // by size: its values are known only when its parts are built

	mu     *sync.Mutex     // of what follows, which is asked for more values
	solved []*build.Result // by size; nil where it has no solution, or waits
	rules  []*rules.System
}

// reckon works out an expression at a size by the values of its params; ok is false where
// more than those is needed, or it is no number.
func (n *numbers) reckon(size int, x syntax.Expr, in quantity.System) (text string, ok bool) {
	n.mu.Lock()
	defer n.mu.Unlock()
	r := n.solved[size]
	if r == nil || !n.rules[size].Arithmetic(x) {
		return "", false
	}
	q, diags := r.Eval(x)
	if len(diags) > 0 || math.IsNaN(q.V) {
		return "", false
	}
	v := panel.Value{}
	v.Value, v.Unit = q.Recorded()
	return shown(v, in), true
}

// waiting says that a size has values only a build tells.
func (n *numbers) waiting() bool { return n != nil && slices.Contains(n.waits, true) }

// numbers solves the design's params and lets at every size; nil where the text
// is no design, or has mistakes.
func (snap *snapshot) numbers() *numbers {
	snap.numsOnce.Do(func() {
		if snap.isDesign() && !diag.HasErrors(snap.diags) {
			snap.nums = snap.solve()
		}
	})
	if b := snap.built.Load(); b != nil && snap.nums != nil {
		snap.fullOnce.Do(func() { snap.full = snap.nums.filled(b) })
		return snap.full
	}
	return snap.nums
}

// filled are numbers with what only a build tells: all of the sizes that waited for it,
// and the lets that are measured.
func (n *numbers) filled(b *built) *numbers {
	out := &numbers{sizes: n.sizes, by: slices.Clone(n.by), waits: n.waits, mu: n.mu, solved: n.solved, rules: n.rules}
	for i := range n.sizes {
		switch {
		case i >= len(b.values):
		case n.waits[i]:
			out.by[i] = b.values[i]
		case b.values[i] != nil && n.by[i] != nil:
			out.by[i] = maps.Clone(b.values[i])
			maps.Copy(out.by[i], n.by[i])
		}
	}
	return out
}

// solve works out the numbers of every size without making anything. Where what is made
// may keep a value from being larger or smaller, a size waits until it is.
func (snap *snapshot) solve() *numbers {
	out := &numbers{sizes: build.Sizes(snap.program()), mu: new(sync.Mutex)}
	for _, size := range out.sizes {
		waits, r, sys := snap.solveSize(size)
		by := valuesOf(r, sys)
		if by == nil {
			r = nil
		}
		out.waits, out.by = append(out.waits, waits), append(out.by, by)
		out.solved, out.rules = append(out.solved, r), append(out.rules, sys)
	}
	return out
}

// solveSize solves one size; r is nil where that fails, or waits for a build.
func (snap *snapshot) solveSize(size string) (waits bool, r *build.Result, sys *rules.System) {
	defer snap.server.rescue("solving " + size)
	p, shop := snap.program(), snap.server.opts.Shop
	if sys, _ = rules.Read(p, shop, rules.FindSize(p, size), nil); sys == nil {
		return false, nil, nil
	}
	if len(wishes(sys)) > 0 && (len(sys.Later) > 0 || snap.makes()) {
		return true, nil, sys
	}
	r, _ = build.Solve(p, size, shop, nil)
	return false, r, sys
}

// makes tells whether the design makes anything.
func (snap *snapshot) makes() bool {
	return slices.ContainsFunc(snap.file.Stmts, func(st syntax.Stmt) bool {
		switch st.(type) {
		case *syntax.Part, *syntax.Join, *syntax.Body:
			return true
		}
		return false
	})
}

// wishes are the params that a size wants as large or as small as may be, or free, with
// the word.
func wishes(sys *rules.System) map[string]string {
	out := map[string]string{}
	for i, d := range sys.Params {
		switch {
		case sys.Wishes[i] != nil:
			out[d.Name] = sys.Wishes[i].Word()
		case sys.Frees[i] != nil:
			out[d.Name] = string(rules.KindFree)
		}
	}
	return out
}

// valuesOf are the params of a size and those of its lets that are arithmetic over them,
// or all that are numbers where its parts are made, by name; nil where it has no values.
func valuesOf(r *build.Result, sys *rules.System) map[string]panel.Value {
	if r == nil || r.Values == nil || sys == nil {
		return nil
	}
	by := map[string]panel.Value{}
	words := wishes(sys)
	for _, v := range r.Values {
		if word := words[v.Name]; word != "" && v.From != "default" {
			v.From = word
		}
		by[v.Name] = v
	}
	for _, d := range r.Program().Root.Order {
		l, is := d.Node.(*syntax.Let)
		if !is || l.IsFunc || d.Kind != check.Let || d.Type.Kind != check.Quantity && d.Type.Kind != check.CountKind || !sys.Arithmetic(l.Value) && r.Assembly == nil {
			continue
		}
		if q, _ := r.Eval(l.Value); !math.IsNaN(q.V) {
			v := panel.Value{Name: d.Name, From: "let"}
			v.Value, v.Unit = q.Recorded()
			by[d.Name] = v
		}
	}
	return by
}

// shown writes a value as the language does, in the design's units: to a hundredth; in
// inches as a fraction, where it is one to 1/64, or to a thousandth.
func shown(v panel.Value, in quantity.System) string {
	if v.Unit == "mm" && in == quantity.Inches {
		return measure.Say("%#.1f", measure.Length(v.Value)).In(in) + "in"
	}
	x, unit := quantity.FromRecord(v.Value, v.Unit, in)
	digits := 2
	if unit == "deg" {
		digits = 3
	}
	return quantity.Decimal(x, digits) + unit
}

// origins says where a value comes from.
var origins = map[string]string{
	"default": "its default", "size": "stated by the size", "setting": "stated outside the design",
	"rule": "solved from the rules", "choice": "chosen near its `about`", "let": "worked out",
	"largest": "the largest that the rules allow", "smallest": "the smallest that the rules allow",
	"free": "fitted to the rules on what is measured",
}
