package sheet

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/cutplan"
	"perch/parts/drawing/layout"
	"perch/parts/measure"
	"perch/parts/nest"
	"perch/parts/outline"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
)

// Order is what to cut: a size of a design, so many times.
type Order struct {
	File  string
	Size  string // "" where the design has one size
	Count int
	Built *build.Result // where it is built already; else it is built by its file
}

// maxPieces are the pieces of one order.
const maxPieces = 10_000

// ParseOrders reads orders, each FILE.perch[:SIZE][*COUNT].
func ParseOrders(texts []string) ([]Order, []diag.Diagnostic) {
	var out []Order
	var diags []diag.Diagnostic
	for _, text := range texts {
		o := Order{Count: 1}
		rest := text
		if at := strings.LastIndex(text, "*"); at >= 0 {
			n, err := strconv.Atoi(text[at+1:])
			if err != nil || n < 1 || n > maxPieces {
				diags = append(diags, mistake("P8001", fmt.Sprintf("%s: %q is no count", text, text[at+1:]),
					fmt.Sprintf("behind * stands how many are to be cut, from 1 to %d", maxPieces)))
				continue
			}
			rest, o.Count = text[:at], n
		}
		file, size, ok := strings.Cut(rest, ".perch:")
		if ok {
			file += ".perch"
		} else if stem, size, asked := cutLast(filepath.Base(rest), ":"); asked && stem != "" { // step:low for step.perch:low
			whole := strings.TrimSuffix(rest, ":"+size)
			diags = append(diags, mistake("P8001", fmt.Sprintf("%s: a size is asked for behind a design's whole name", text), fmt.Sprintf("write %s.perch:%s", whole, size+text[len(rest):])))
			continue
		}
		o.File, o.Size = file, size
		out = append(out, o)
	}
	return out, diags
}

// Remnant is what is left of a sheet, in a file.
type Remnant struct {
	File      string
	Material  string // "" where the file tells it
	Thickness float64
}

// ParseRemnants reads remnants, each FILE or FILE=MATERIAL,THICKNESS.
func ParseRemnants(texts []string) ([]Remnant, []diag.Diagnostic) {
	var out []Remnant
	var diags []diag.Diagnostic
	for _, text := range texts {
		file, stock, told := cutLast(text, "=")
		if !told {
			out = append(out, Remnant{File: text})
			continue
		}
		material, thick, ok := strings.Cut(stock, ",")
		t, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(thick, "mm")), 64)
		if !ok || err != nil || !(t > 0) || t > 1000 || file == "" || material == "" {
			diags = append(diags, mistake("P8009", fmt.Sprintf("the remnant %s: %q is no metal and thickness", text, stock),
				"write FILE=MATERIAL,THICKNESS in mm, as in rest.dxf=mild_steel,1.5"))
			continue
		}
		out = append(out, Remnant{File: file, Material: strings.TrimSpace(material), Thickness: t})
	}
	return out, diags
}

func cutLast(s, sep string) (before, after string, found bool) {
	if i := strings.LastIndex(s, sep); i >= 0 {
		return s[:i], s[i+len(sep):], true
	}
	return s, "", false
}

// work builds the orders' sizes and lists their blanks and what there is to cut
// them from: remnants first, then the shop's sheets.
func (n Nesting) work(ctx context.Context) (*worklist, []diag.Diagnostic, error) {
	w := &worklist{in: measure.Inches, Job: nest.Job{Margin: n.Margin, Spacing: n.Spacing, Kerf: n.Shop.Cutter.Kerf}}
	var diags []diag.Diagnostic
	for _, o := range n.Orders {
		r, of, ds, err := n.build(ctx, o)
		if diags = append(diags, ds...); err != nil || r == nil {
			return nil, diags, err
		}
		if r.Program().Shown != measure.Inches {
			w.in = measure.Millimetres
		}
		for _, b := range r.Assembly.Blanks {
			w.Blanks = append(w.Blanks, n.blank(b, o.Count))
			w.blanks, w.of, w.revisions = append(w.blanks, b), append(w.of, of), append(w.revisions, r.Assembly.Revision)
		}
	}
	if len(w.Blanks) == 0 {
		return nil, append(diags, mistake("P8001", "what is ordered has no blanks to cut")), nil
	}
	if d := n.lay(w); d != nil {
		return nil, append(diags, *d), nil
	}
	if d := n.feeds(w); d != nil {
		return nil, append(diags, *d), nil
	}
	for _, r := range n.Remnants {
		s, d := n.remnant(r)
		if d != nil {
			return nil, append(diags, *d), nil
		}
		if !slices.ContainsFunc(w.Blanks, func(b nest.Blank) bool {
			return sameStock(b.Material, b.Thickness, s.Material, s.Thickness)
		}) {
			d := mistake("P8009", fmt.Sprintf("the remnant %s is not used: no blank is of %s", r.File, stockOf(s.Material, s.Thickness).In(w.in)))
			d.Severity = diag.Warning
			diags = append(diags, d)
			continue
		}
		w.Sheets, w.stock = append(w.Sheets, s), append(w.stock, measure.Plain(s.Name))
	}
	w.wholeSheets(n.Shop)
	return w, diags, nil
}

// build gives what an order is of, and its name in lists; nil where there are mistakes.
func (n Nesting) build(ctx context.Context, o Order) (*build.Result, string, []diag.Diagnostic, error) {
	of := strings.TrimSuffix(filepath.Base(o.File), ".perch")
	if o.Size != "" {
		of += ":" + o.Size
	}
	if o.Built != nil {
		return o.Built, of, nil, nil
	}
	prog, diags, err := load.Design(o.File, n.Shop)
	if err != nil || diag.HasErrors(diags) {
		return nil, of, diags, err
	}
	prog.Stopped = func() bool { return ctx.Err() != nil }
	sizes := build.Sizes(prog)
	if o.Size == "" && len(sizes) > 1 {
		return nil, of, append(diags, mistake("P8001", fmt.Sprintf("%s has several sizes", o.File),
			"say which: "+o.File+":"+sizes[0], "it has "+diag.List(sizes))), nil
	}
	if o.Size != "" {
		sizes = []string{o.Size}
	}
	if n.Asked != nil {
		prog.Shown = *n.Asked
	}
	results, ds := family.Job{Program: prog, Shop: n.Shop, Sizes: sizes}.Marked()
	diags = append(diags, ds...)
	if ctx.Err() != nil && len(results) > 0 && results[0] == nil {
		return nil, of, diags, ErrStopped
	}
	if diag.HasErrors(ds) {
		return nil, of, diags, nil
	}
	return results[0], of, diags, nil
}

// wholeSheets adds the sheets to cut from: those that the blanks' stocks state, and of a
// metal of which some stock states none the shop's.
func (w *worklist) wholeSheets(facts *shop.Shop) {
	for i, b := range w.blanks {
		st := b.Flat.Panel.Stock
		if st.SheetWidth == 0 || slices.ContainsFunc(w.Sheets, func(s nest.Sheet) bool {
			return len(s.Outline) == 0 && s.Width == st.SheetWidth && s.Length == st.SheetLength && sameStock(s.Material, s.Thickness, st.Material, st.Thickness)
		}) {
			continue
		}
		own := shop.Sheet{Material: st.Material, Thickness: w.Blanks[i].Thickness, Width: st.SheetWidth, Length: st.SheetLength}
		for _, s := range facts.SheetsOf(st.Material, st.Thickness) {
			if min(s.Width, s.Length) == st.SheetWidth && max(s.Width, s.Length) == st.SheetLength {
				own.Price, own.Count = s.Price, s.Count
			}
		}
		w.wholeSheet(own)
	}
	for _, s := range facts.Sheets {
		all := true // stocks of this metal state their sheets, and there are some
		some := false
		for _, b := range w.blanks {
			if st := b.Flat.Panel.Stock; sameStock(s.Material, s.Thickness, st.Material, st.Thickness) {
				some, all = true, all && st.SheetWidth > 0
			}
		}
		if !some || !all {
			w.wholeSheet(s)
		}
	}
}

func (w *worklist) wholeSheet(s shop.Sheet) {
	wide, long := min(s.Width, s.Length), max(s.Width, s.Length)
	told := measure.Say("%s, %#.0f × %.0f", stockOf(s.Material, s.Thickness), measure.Length(long), measure.Length(wide))
	w.stock = append(w.stock, told)
	w.Sheets = append(w.Sheets, nest.Sheet{
		Name:     told.In(w.in),
		Material: s.Material, Thickness: s.Thickness, Width: wide, Length: long, Price: s.Price, Count: s.Count,
	})
}

// feeds errs where the table profile cannot cut a blank's metal, so that nobody
// waits for sheets that no program can be written for.
func (n Nesting) feeds(w *worklist) *diag.Diagnostic {
	if n.Profile == nil {
		return nil
	}
	for _, b := range w.Blanks {
		var feed *cutplan.FeedError
		if !errors.As(n.Profile.Cuts(b.Material, b.Thickness), &feed) {
			continue
		}
		has := "it has no feed at all"
		if len(feed.Has) > 0 {
			var have []string
			for _, metal := range feed.Has {
				have = append(have, metal.In(w.in))
			}
			has = "it has feeds for " + diag.List(have)
		}
		name := "the table profile"
		if feed.Profile != "" {
			name += fmt.Sprintf(" %q", feed.Profile)
		}
		d := mistake("P8007", name+" has no feed for "+stockOf(b.Material, b.Thickness).In(w.in), "blank "+b.Name+" is of it", has)
		return &d
	}
	return nil
}

// remnant reads a remnant's outline and what it is of.
func (n Nesting) remnant(r Remnant) (nest.Sheet, *diag.Diagnostic) {
	var none nest.Sheet
	fail := func(summary string, notes ...string) (nest.Sheet, *diag.Diagnostic) {
		d := mistake("P8009", "the remnant "+r.File+": "+summary, notes...)
		return none, &d
	}
	text, err := load.Plain(r.File)
	if err != nil {
		return fail("it cannot be read", bareError(err))
	}
	read := outline.ReadDXF
	if strings.EqualFold(filepath.Ext(r.File), ".svg") {
		read = outline.ReadSVG
	}
	outline, err := read(filepath.Base(r.File), string(text))
	if err != nil {
		return fail("it has no outline to cut from", measure.Of(err).String())
	}
	if r.Material == "" {
		var ok bool
		if r.Material, r.Thickness, ok = cutplan.RemnantStock(string(text)); !ok {
			return fail("its metal is not told", "write it behind the file: "+r.File+"=mild_steel,1.5")
		}
	}
	if _, ok := n.Shop.Material(r.Material); !ok {
		var names []string
		for _, m := range n.Shop.Materials {
			names = append(names, m.Name)
		}
		return fail("the shop has no metal "+r.Material, orElse(r.Material, names, "it has "+diag.List(names))...)
	}
	return nest.Sheet{
		Name: filepath.Base(r.File), Material: r.Material, Thickness: r.Thickness, Outline: outline, Count: 1,
	}, nil
}

// leastStep bounds the positions of a blank that a search looks at, in degrees.
const leastStep = 1.0

// blank is what is packed: its outline without nicks, which take metal off and never ask for room, so that who
// counts sheets of blanks that are not marked yet comes to the same.
func (n Nesting) blank(b *panel.Blank, count int) nest.Blank {
	st := b.Flat.Panel.Stock
	return nest.Blank{
		Name: b.Name, Count: b.Count * count, Material: st.Material, Thickness: st.Thickness,
		Region:    append(plane.Region{b.Flat.Outer}, layout.Openings(b.Flat)...),
		Rotations: nest.Steps(n.Steps), Grain: n.Grain, Mirror: n.Mirror,
	}
}

// check holds the job's own numbers to what they may be.
func (n Nesting) check() []diag.Diagnostic {
	var out []diag.Diagnostic
	bad := func(flag string, v float64, must string) {
		out = append(out, mistake("P8001", fmt.Sprintf("--%s %g: it must be %s", flag, v, must)))
	}
	least := func(flag string, v float64) {
		if !(v >= 0) || math.IsInf(v, 0) {
			bad(flag, v, "0 or more")
		}
	}
	least("spacing", n.Spacing)
	least("margin", n.Margin)
	if n.Steps != 0 && !(n.Steps >= leastStep && n.Steps <= 360) {
		bad("rotation", n.Steps, fmt.Sprintf("0, for no turning, or from %g to 360 degrees", leastStep))
	}
	if !(n.Effort > 0) || n.Effort > 1000 {
		bad("effort", n.Effort, "above 0, and at most 1000")
	}
	if n.Tabs < 0 || n.Tabs > 100 {
		bad("tabs", float64(n.Tabs), "from 0 to 100")
	}
	if n.Tabs > 0 && !(n.Tab > 0 && n.Tab <= 50) {
		bad("tab-width", n.Tab, "above 0, and at most 50 millimetres")
	}
	if len(n.Places) > 0 && len(n.Only) > 0 {
		out = append(out, mistake("P8011", "--place and --only do not go together", "what is placed is all that is cut"))
	}
	return out
}
