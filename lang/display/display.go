// Package display puts together what a page shows of a design: of every size the scene, the picture,
// values with where they are from, what the shop should know and where on the piece that is. It
// lays out no page and never changes a size.
package display

import (
	"bytes"
	"context"
	"fmt"
	"path"
	"runtime"
	"strings"
	"sync"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/reason"
	"perch/parts/drawing"
	"perch/parts/joining"
	"perch/parts/measure"
	"perch/parts/page"
	"perch/parts/panel"
	"perch/parts/scene"
)

// PageFile is what a design's page is called in its folder, beside its sizes.
const PageFile = "page.html"

// mostDrawn are the sizes up to which the still pictures are drawn as lines; those of more are
// rastered, which takes a tenth of the bytes.
const mostDrawn = 1

// Options of a page.
type Options struct {
	Plain  bool // for a customer: no flats, no values, no warnings
	Sheets bool // nest each size for the sheets it takes
}

// built is one size with what was said of it.
type built struct {
	result *build.Result
	diags  []diag.Diagnostic
}

// Page builds every size of a design and makes its page. With an error among the diagnostics
// there is none.
func Page(ctx context.Context, job family.Job, opt Options) (*page.Document, []diag.Diagnostic, error) {
	sizes, diags := all(job)
	if diag.HasErrors(diags) {
		return nil, diags, nil
	}
	doc := Document(job, opt.Plain)
	out := make([]page.Size, len(sizes))
	errs := make([]error, len(sizes))
	each(len(sizes), func(i int) {
		z, err := Size(job, sizes[i].result, sizes[i].diags)
		if err == nil && !opt.Plain && opt.Sheets {
			z.Facts = append(z.Facts, sheets(ctx, job, sizes[i].result)...)
		}
		if err == nil {
			z.Type, z.Picture, err = picture(job, sizes[i].result, len(sizes) <= mostDrawn)
		}
		out[i], errs[i] = z, err
	})
	for _, err := range errs {
		if err != nil {
			return nil, diags, err
		}
	}
	doc.Sizes = out
	return doc, diags, ctx.Err()
}

// Document is a page without sizes.
func Document(job family.Job, plain bool) *page.Document {
	d := &page.Document{Plain: plain, Inches: job.Program.Shown == measure.Inches}
	if head := job.Program.Root.File.Design; head != nil {
		d.Design = head.Name.Value
		if head.Revision != nil {
			d.Revision = head.Revision.Value
		}
	}
	return d
}

// all builds every size; what is said of it is both apart, by size, and gathered.
func all(job family.Job) ([]built, []diag.Diagnostic) {
	names := job.Sizes
	if len(names) == 0 {
		names = build.Sizes(job.Program)
	} else if _, diags := job.Known(); len(diags) > 0 {
		return nil, diags
	}
	out := make([]built, len(names))
	each(len(names), func(i int) {
		one := job
		one.Sizes, one.Progress = names[i:i+1], nil
		results, diags := one.Marked()
		if len(results) == 1 {
			out[i].result = results[0]
		}
		out[i].diags = diags
	})
	told := diag.Gathered{Sizes: names}
	for i := range out {
		for _, d := range out[i].diags {
			told.Add(d, names[i])
		}
	}
	return out, told.Diagnostics()
}

// each does n things, as many at once as there are processors.
func each(n int, do func(i int)) {
	next := make(chan int)
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				do(i)
			}
		}()
	}
	for i := range n {
		next <- i
	}
	close(next)
	wg.Wait()
}

// Size is what a page shows of one size, but for its picture and the sheets it takes.
func Size(job family.Job, r *build.Result, diags []diag.Diagnostic) (page.Size, error) {
	plan := joining.New(r.Assembly, job.Shop)
	s, err := scene.New(r.Assembly, &plan)
	if err != nil {
		return page.Size{}, err
	}
	z := page.Size{Name: r.Size, Scene: s}
	paper := job.Output(false).Paper
	if len(s.Copies) > 0 {
		over := s.Hi.Sub(s.Lo)
		for _, f := range []struct {
			name string
			mm   float64
		}{{"width", over.X}, {"depth", over.Y}, {"height", over.Z}} {
			z.Overall = append(z.Overall, page.Fact{Name: f.name, Text: paper.Overall(f.mm) + paper.Unit()})
		}
	}
	mass := 0.0
	for i, b := range r.Assembly.Blanks {
		mass += float64(b.Flat.Mass() * float64(b.Count))
		z.Blanks = append(z.Blanks, blank(s, i, b, paper))
	}
	z.Facts = []page.Fact{
		{Name: "mass", Text: measure.Say("%.3g", measure.Mass(mass)).In(paper.System)},
		{Name: "pieces", Text: fmt.Sprintf("%s of %s", measure.Counted(len(s.Copies), "piece"), measure.Counted(len(s.Shapes), "blank"))},
	}
	if n := len(s.Fasteners); n > 0 {
		z.Facts = append(z.Facts, page.Fact{Name: "fasteners and welds", Text: fmt.Sprint(n)})
	}
	z.Values = values(job.Program, r)
	for _, d := range diag.Sorted(diags) {
		z.Warnings = append(z.Warnings, warning(s, d))
	}
	return z, nil
}

// values are those of a size, with where they are from and what the design says of them.
func values(p *check.Program, r *build.Result) []page.Value {
	docs := map[string]string{}
	for _, d := range p.Root.Order {
		if d.Param != nil && d.Param.Doc != nil {
			docs[d.Name] = d.Param.Doc.Value
		}
	}
	var out []page.Value
	for _, v := range r.Values {
		out = append(out, page.Value{Name: v.Name, Text: reason.Reading(v.Value, v.Unit, p.Shown), From: v.From, Where: v.Where, Doc: docs[v.Name]})
	}
	return out
}

func blank(s *scene.Scene, number int, b *panel.Blank, paper measure.Paper) page.Blank {
	w, h := b.Flat.Size()
	out := page.Blank{
		Name: b.Name, Called: s.Shapes[number].Called, Stock: strings.ReplaceAll(b.Flat.Panel.Stock.Told().In(paper.System), "_", " "), Count: b.Count,
		Size: paper.Size(w) + " × " + paper.Size(h) + paper.Unit(), Mass: measure.Say("%.3g", measure.Mass(b.Flat.Mass())).In(paper.System),
	}
	for i, c := range s.Copies {
		if c.Shape == number {
			out.Copies, out.Names = append(out.Copies, i), append(out.Names, c.Called)
		}
	}
	for i, f := range b.Flat.Folds {
		way := "up"
		if f.Down {
			way = "down"
		}
		out.Bends = append(out.Bends, page.Bend{Name: s.Shapes[number].Folds[i].Called, Angle: reason.Spaced(degrees(f.Bend.Angle), "°", paper.System), Way: way,
			Radius: paper.Fine(f.Bend.Radius), Allowance: paper.Fine(f.Bend.Allowance())})
	}
	return out
}

// warning finds where on the piece a diagnostic is: of alike copies on the first.
func warning(s *scene.Scene, d diag.Diagnostic) page.Warning {
	w := page.Warning{Code: d.Code, Text: d.Summary, Notes: d.Notes, Error: d.Severity == diag.Error}
	if d.Span.Source != nil {
		at := d.Span.Source.Position(d.Span.Start)
		w.Where = fmt.Sprintf("%s:%d:%d", path.Base(d.Span.Source.Name), at.Line, at.Column)
	}
	for _, spot := range d.Spots {
		if p, ok := place(s, spot); ok {
			w.Places = append(w.Places, p)
		}
	}
	return w
}

func place(s *scene.Scene, spot diag.Spot) (page.Place, bool) {
	for i, c := range s.Copies {
		shape := s.Shapes[c.Shape]
		if c.Name != spot.Part && shape.Name != spot.Part {
			continue
		}
		p := page.Place{Copy: i}
		switch spot.On {
		case diag.Face:
			for k, f := range shape.Faces {
				if f.Name == spot.Name {
					return page.Place{Copy: i, Kind: page.Face, Of: k}, true
				}
			}
		case diag.Fold:
			for k, f := range shape.Folds {
				if f.Name == spot.Name {
					return page.Place{Copy: i, Kind: page.Fold, Of: k}, true
				}
			}
		case diag.Hole:
			for k, h := range shape.Holes {
				if h.Name == spot.Name {
					return page.Place{Copy: i, Kind: page.Hole, Of: k}, true
				}
			}
		}
		return p, true
	}
	return page.Place{}, false
}

// picture draws a size as it stands, as lines or rastered; a size without parts has none.
func picture(job family.Job, r *build.Result, lines bool) (kind string, data []byte, err error) {
	a := r.Assembly
	if len(a.Copies) == 0 {
		return "", nil, nil
	}
	facets, err := drawing.Facets(a)
	if err != nil {
		return "", nil, err
	}
	p, err := drawing.NewPicture(facets, drawing.PictureOptions{Paper: job.Output(false).Paper, Design: a.Design, Size: a.Size, Revision: a.Revision})
	if err != nil {
		return "", nil, err
	}
	var b bytes.Buffer
	if lines {
		err = p.SVG(&b)
		return "image/svg+xml", b.Bytes(), err
	}
	err = p.PNG(&b)
	return "image/png", b.Bytes(), err
}
