package editor

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"perch/lang/build"
	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/parts/panel"
)

// numbers are the values of the design's names, by size.
type numbers struct {
	sizes []string
	by    []map[string]panel.Value // by size; nil where the size has no solution
	waits []bool                   // by size: its values are known only when its parts are built
	prog  *check.Program           // its arithmetic
}

// waiting says that a size has values only a build tells.
func (n *numbers) waiting() bool { return n != nil && slices.Contains(n.waits, true) }

// asked is the prefix of the names that stand in for lets while they are solved.
const standIn = "perch_value_of_"

// numbers solves the design's params and lets at every size; nil where the text
// is no design, or has mistakes.
func (snap *snapshot) numbers() *numbers {
	snap.numsOnce.Do(func() {
		if snap.isDesign() && !diag.HasErrors(snap.diags) {
			snap.nums = snap.solve()
		}
	})
	if b := snap.built.Load(); b != nil && snap.nums.waiting() {
		snap.fullOnce.Do(func() { snap.full = snap.filled(snap.nums, b) })
		return snap.full
	}
	return snap.nums
}

// filled are numbers with those of the sizes that waited for a build.
func (snap *snapshot) filled(n *numbers, b *built) *numbers {
	out := *n
	out.by = slices.Clone(n.by)
	for i, size := range n.sizes {
		if !n.waits[i] || i >= len(b.values) || b.values[i] == nil {
			continue
		}
		var pins []string
		wishes := wishesOf(snap.file, size)
		for _, v := range b.values[i] {
			if _, wished := wishes[v.Name]; wished {
				pins = append(pins, v.Name+" = "+strconv.FormatFloat(v.Value, 'f', -1, 64)+v.Unit)
			}
		}
		settings, bad := family.Settings(n.prog, pins)
		if len(bad) > 0 {
			continue
		}
		if out.by[i] = snap.valuesOf(n.prog, size, settings); out.by[i] == nil {
			out.by[i] = map[string]panel.Value{}
		}
		for _, v := range b.values[i] {
			if wishes[v.Name] == syntax.StateFree && v.From != "default" {
				v.From = "free"
			}
			out.by[i][v.Name] = wished(v, wishes)
		}
	}
	return &out
}

// wishesOf are the names that a size, or one that it is like, wants as large or as
// small as may be, or free, with which.
func wishesOf(f *syntax.File, size string) map[string]syntax.StateHow {
	rows := map[string]*syntax.Size{}
	for _, st := range f.Stmts {
		if x, ok := st.(*syntax.Size); ok {
			rows[x.Name.Name] = x
		}
	}
	out, stated := map[string]syntax.StateHow{}, map[string]bool{}
	for range len(rows) { // a circle of sizes ends too
		x := rows[size]
		if x == nil {
			break
		}
		for _, st := range x.States {
			if name := st.Name.Name; !stated[name] {
				stated[name] = true
				if st.How >= syntax.StateLargest {
					out[name] = st.How
				}
			}
		}
		if x.Like == nil {
			break
		}
		size = x.Like.Name
	}
	return out
}

// wished is a value with the word that a size wants it by as its origin.
func wished(v panel.Value, wishes map[string]syntax.StateHow) panel.Value {
	switch wishes[v.Name] {
	case syntax.StateLargest:
		v.From = "largest"
	case syntax.StateSmallest:
		v.From = "smallest"
	}
	return v
}

// solve works out the numbers of every size without any geometry: of the design,
// only what is arithmetic is kept, and each let gets a param that must equal it.
func (snap *snapshot) solve() *numbers {
	text, lets, all := snap.arithmetic()
	prog := snap.programOf(text + lets)
	if prog == nil {
		if prog = snap.programOf(text); prog == nil {
			return nil
		}
	}
	out := &numbers{sizes: build.Sizes(snap.program()), prog: prog}
	for _, size := range out.sizes {
		waits := !all && len(wishesOf(snap.file, size)) > 0
		out.waits = append(out.waits, waits)
		if waits {
			out.by = append(out.by, nil)
			continue
		}
		out.by = append(out.by, snap.valuesOf(prog, size, nil))
	}
	return out
}

// valuesOf is one size's values by name; nil where it has none.
func (snap *snapshot) valuesOf(prog *check.Program, size string, settings []build.Setting) (by map[string]panel.Value) {
	defer snap.server.rescue("solving " + size)
	r, _ := build.Size(prog, size, snap.server.opts.Shop, settings)
	if r.Values == nil {
		return nil
	}
	wishes := wishesOf(snap.file, size)
	by = map[string]panel.Value{}
	for _, v := range r.Values {
		name, isLet := strings.CutPrefix(v.Name, standIn)
		if isLet {
			v.From = "let"
		}
		by[name] = wished(v, wishes)
	}
	return by
}

// programOf is the program of another text in this one's place; nil where it has mistakes.
func (snap *snapshot) programOf(text string) *check.Program {
	file, bad := syntax.Parse(diag.NewSource(snap.src.Name, text))
	prog, more := check.Check(file, snap.loader(), builtins(snap.server.opts.Shop))
	if diag.HasErrors(bad) || diag.HasErrors(more) {
		return nil
	}
	return prog
}

// arithmetic is the design without its parts, joins, bodies and the rules and lets
// that speak of them: a text of its own, and the stand-ins for its lets. It is all
// where nothing that can keep a value from being larger or smaller is left out.
func (snap *snapshot) arithmetic() (text, lets string, all bool) {
	all = true
	var b, l strings.Builder
	plain := map[*check.Decl]bool{}
	b.WriteString(snap.file.Design.At.Text() + "\n")
	for _, st := range snap.file.Stmts {
		switch x := st.(type) {
		case *syntax.Param, *syntax.Size:
			b.WriteString(st.Span().Text() + "\n")
		case *syntax.Rule:
			if snap.plain(x.Cond, plain) {
				b.WriteString(st.Span().Text() + "\n")
			} else {
				all = false
			}
		case *syntax.Part, *syntax.Join, *syntax.Body:
			all = false
		case *syntax.Let:
			in := check.Values
			if x.IsFunc {
				in = check.Calls
			}
			d := snap.program().Root.Find(in, x.Name.Name)
			if d == nil || !snap.plainDecl(d, plain) {
				continue
			}
			b.WriteString(st.Span().Text() + "\n")
			if word := typeWord(d.Type); word != "" && !x.IsFunc {
				fmt.Fprintf(&l, "param %[1]s%[2]s: %[3]s\nrule %[1]s%[2]s = %[2]s\n", standIn, d.Name, word)
			}
		}
	}
	return b.String(), l.String(), all
}

// typeWord is the word that declares a quantity's type; "" for other types.
func typeWord(t check.Type) string {
	for _, w := range check.TypeWords {
		if w.Type.Kind == t.Kind && w.Type.Dim == t.Dim && (t.Kind == check.Quantity || t.Kind == check.CountKind) {
			return w.Word
		}
	}
	return ""
}

// plainDecl says that a name of the design is arithmetic over params.
func (snap *snapshot) plainDecl(d *check.Decl, known map[*check.Decl]bool) bool {
	if is, ok := known[d]; ok {
		return is
	}
	known[d] = false // until the contrary is seen; circles are no arithmetic
	is := false
	switch d.Kind {
	case check.Param, check.LetParam, check.Constant:
		is = true
	case check.Let:
		l, ok := d.Node.(*syntax.Let)
		is = ok && d.Module == snap.program().Root && snap.plain(l.Value, known)
	}
	known[d] = is
	return is
}

// plain says that an expression is arithmetic over params.
func (snap *snapshot) plain(e syntax.Expr, known map[*check.Decl]bool) bool {
	ok := true
	syntax.Inspect(e, func(n syntax.Node) bool {
		switch x := n.(type) {
		case *syntax.Member:
			ok = false
		case *syntax.Name:
			if d := snap.program().DeclOf(x); d != nil {
				ok = ok && snap.plainDecl(d, known)
			} else {
				ok = ok && arithmeticFunction(x.Name)
			}
		}
		return ok
	})
	return ok
}

// arithmeticFunction says that a function needs nothing but numbers.
func arithmeticFunction(name string) bool {
	for _, f := range builtin.Forms(name) {
		for _, p := range f.Params {
			for _, t := range p.Types {
				if !t.IsQuantity() && t.Kind != check.ListKind {
					return false
				}
			}
		}
		return f.Follows != nil || f.Result.Kind == check.Quantity || f.Result.Kind == check.FlagKind
	}
	return false
}

// shown writes a value as the language does, to a hundredth.
func shown(v panel.Value) string {
	digits := 2
	if v.Unit == "deg" {
		digits = 3
	}
	return quantity.Decimal(v.Value, digits) + v.Unit
}

// origins says where a value comes from.
var origins = map[string]string{
	"default": "its default", "size": "stated by the size", "setting": "stated outside the design",
	"rule": "solved from the rules", "choice": "chosen near its `about`", "let": "worked out",
	"largest": "the largest that the rules allow", "smallest": "the smallest that the rules allow",
	"free": "fitted to the rules on what is measured",
}
