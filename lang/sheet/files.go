package sheet

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"perch/lang/diag"
	"perch/parts/cutplan"
	"perch/parts/measure"
	"perch/parts/nest"
	"perch/parts/output"
	"perch/parts/plane"
)

// Start is where cutting goes on: a sheet and a pierce, both counted from 1.
type Start struct{ Sheet, Pierce int }

// ParseStart reads SHEET:PIERCE.
func ParseStart(text string) (Start, []diag.Diagnostic) {
	sheet, pierce, ok := strings.Cut(text, ":")
	s, err1 := strconv.Atoi(sheet)
	p, err2 := strconv.Atoi(pierce)
	if !ok || errors.Join(err1, err2) != nil || s < 1 || p < 1 {
		return Start{}, []diag.Diagnostic{mistake("P8011", fmt.Sprintf("--start %s: it is no sheet and pierce", text),
			"write SHEET:PIERCE, both counted from 1, as in 2:17")}
	}
	return Start{s, p}, nil
}

// planned is one sheet's plan; nil where nothing of it is asked for.
type planned struct {
	name  string
	whole *cutplan.Plan // all its cuts
	plan  *cutplan.Plan // what is asked for
}

// plans plans every sheet and takes from it what is asked for. A sheet like one before is
// planned as that one. Orders of cuts are bettered until searching ends.
func (n Nesting) plans(ctx, searching context.Context, w *worklist, layout []nest.Used) ([]planned, error) {
	out := make([]planned, len(layout))
	first := make([]int, len(layout)) // number of the first blank, less one
	var own []int                     // sheets that are like none before
	like := make([]int, len(layout))
	number := 0
	for i, u := range layout {
		first[i], out[i].name = number, sheetName(i+1)
		number += len(u.Placed)
		if like[i] = slices.IndexFunc(layout[:i], func(o nest.Used) bool { return alike(o, u) }); like[i] < 0 {
			own = append(own, i)
		}
	}
	err := sideBySide(ctx, len(own), func(k int) (err error) {
		i := own[k]
		out[i].whole, err = n.plan(searching, w, out[i].name, first[i], layout[i])
		return err
	}, func(done int) { n.stage("planning the cuts", done, len(own)) })
	if err != nil {
		return nil, err
	}
	for i := range out {
		if like[i] >= 0 {
			out[i].whole = out[like[i]].whole.Again(out[i].name, first[i]+1)
		}
		out[i].plan = out[i].whole
	}
	if err := n.only(out); err != nil {
		return nil, err
	}
	return out, n.from(out)
}

// alike tells whether two sheets are of one kind with the same blanks in the same places.
func alike(a, b nest.Used) bool {
	return a.Sheet == b.Sheet && a.Remnant == b.Remnant && slices.Equal(a.Placed, b.Placed)
}

// plan plans one sheet; its blanks are numbered on from the sheets before.
func (n Nesting) plan(ctx context.Context, w *worklist, name string, number int, u nest.Used) (*cutplan.Plan, error) {
	of := &w.Sheets[u.Sheet]
	s := &cutplan.Sheet{Name: name, Material: of.Material, Thickness: of.Thickness, Metal: metalOf(of), Remnant: u.Remnant}
	for i, p := range u.Placed {
		m := p.Transform()
		part := cutplan.Part{Number: number + i + 1, Name: w.Blanks[p.Piece].Name, Of: w.of[p.Piece], Revision: w.revisions[p.Piece], Region: cutOf(w.blanks[p.Piece]).Transform(m),
			Marks: marksOf(w.blanks[p.Piece], m, p.Mirrored), Nicks: nicksOf(w.blanks[p.Piece], m)}
		s.Parts = append(s.Parts, part)
	}
	k := w.Kerf
	round := n.Shop.Cutter.RoundHole(of.Thickness)
	opt := cutplan.Options{Kerf: k, LeadIn: min(4, float64(n.Spacing/2)-float64(k/4)), SmallHole: 2 * round, Drill: round}
	if n.Tabs > 0 {
		opt.Tab, opt.Tabs = n.Tab, n.Tabs
	}
	plan, err := cutplan.Within(ctx, s, opt)
	if err != nil {
		return nil, mistaken{mistake("P8006", "the cuts of "+name+" cannot be planned", measure.Of(err).In(w.in))}
	}
	return plan, nil
}

// only keeps the cuts of the blanks that are asked for, by number, by name, or all of
// a design's size.
func (n Nesting) only(sheets []planned) error {
	if len(n.Only) == 0 {
		return nil
	}
	var numbers []int
	var names []string
	total := 0
	found := make([]bool, len(n.Only))
	for _, s := range sheets {
		for _, part := range s.whole.Sheet.Parts {
			total++
			if !slices.Contains(names, part.Name) {
				names = append(names, part.Name)
			}
			for i, o := range n.Only {
				if o == part.Name || o == part.Of || o == strconv.Itoa(part.Number) {
					found[i] = true
					numbers = append(numbers, part.Number)
				}
			}
		}
	}
	for i, ok := range found {
		if !ok {
			return mistaken{mistake("P8011", fmt.Sprintf("there is no blank %s to cut", n.Only[i]),
				orElse(n.Only[i], names, fmt.Sprintf("the job's blanks are %s, numbered from 1 to %d", diag.List(names), total))...)}
		}
	}
	for i := range sheets {
		sheets[i].plan = sheets[i].whole.Only(numbers...)
		if sheets[i].plan.Pierces == 0 {
			sheets[i].plan = nil
		}
	}
	return nil
}

// from drops what is cut already.
func (n Nesting) from(sheets []planned) error {
	if n.Start.Sheet == 0 {
		return nil
	}
	if n.Start.Sheet > len(sheets) {
		return mistaken{mistake("P8011", fmt.Sprintf("there is no sheet %d to start on", n.Start.Sheet), fmt.Sprintf("the job has %s", measure.Counted(len(sheets), "sheet")))}
	}
	for i := range sheets {
		s := &sheets[i]
		if i+1 != n.Start.Sheet {
			s.plan = nil
			continue
		}
		pierces := 0
		if s.plan != nil {
			pierces = s.plan.Pierces
		}
		if n.Start.Pierce > pierces {
			return mistaken{mistake("P8011", fmt.Sprintf("there is no pierce %d on sheet %d", n.Start.Pierce, i+1), fmt.Sprintf("it has %s", measure.Counted(pierces, "pierce")))}
		}
		s.plan = s.plan.Starting(n.Start.Pierce)
	}
	return nil
}

// sheets writes and proves every sheet that something is asked of, and adds up
// what the job takes.
func (n Nesting) sheets(ctx context.Context, stage *output.Stage, w *worklist, layout []nest.Used, plans []planned) (*JobReport, error) {
	r := &JobReport{Currency: n.Shop.Currency, Neglects: neglects, In: w.in, Sheets: make([]SheetReport, len(plans))}
	for i, p := range plans {
		told := w.stock[layout[i].Sheet]
		s := SheetReport{Name: p.name, Stock: told.String(), Told: told, Count: len(p.whole.Sheet.Parts), Used: layout[i].Density}
		if of := &w.Sheets[layout[i].Sheet]; len(of.Outline) > 0 {
			s.Told = measure.Say("%s, remnant %s", stockOf(of.Material, of.Thickness), of.Name)
			s.Stock = s.Told.String()
		}
		r.Sheets[i] = s
	}
	err := sideBySide(ctx, len(plans), func(i int) error {
		if plans[i].plan == nil {
			return nil
		}
		return n.files(stage, &r.Sheets[i], plans[i], w.in, i, len(plans))
	}, func(done int) { n.stage("writing", done, len(plans)) })
	if err != nil {
		return nil, err
	}
	for i, p := range plans {
		if p.plan == nil {
			continue
		}
		if err := n.charge(r, &r.Sheets[i], w, layout[i], p); err != nil {
			return nil, err
		}
	}
	for i, left := range w.left {
		if left > 0 {
			r.Unplaced = append(r.Unplaced, Unplaced{w.Blanks[i].Name, w.of[i], left})
		}
	}
	r.sum()
	return r, nil
}

// files writes and proves a sheet's drawing, pictures, lists, remnant and program.
func (n Nesting) files(stage *output.Stage, r *SheetReport, p planned, in measure.System, at, of int) error {
	plan := p.plan
	var dxf, labels, pierces, rest, program bytes.Buffer
	if err := cutplan.Drawing(&dxf, plan, n.drawings()); err != nil {
		return err
	}
	tally, err := cutplan.ProveDrawing(dxf.String(), plan, n.drawings())
	if err != nil {
		return mistaken{mistake("P8008", "the drawing of "+r.Name+" is not what was planned; nothing is handed over", err.Error())}
	}
	r.Tally = tally
	r.Said = tally.String()
	if err := errors.Join(cutplan.Labels(&labels, plan, in), cutplan.Pierces(&pierces, plan, in)); err != nil {
		return err
	}
	files := map[string][]byte{r.Name + ".dxf": dxf.Bytes(), output.LabelsFile: labels.Bytes(), output.PiercesFile: pierces.Bytes()}
	left := plan.Left(n.Spacing)
	if len(left) > 0 {
		if err := cutplan.WriteRemnant(&rest, plan.Sheet, left, n.drawings()); err != nil {
			return err
		}
		files[output.RemnantFile] = rest.Bytes()
		r.Saved, r.left = r.Name+"/"+output.RemnantFile, left.Area()
	}
	if size := plan.Sheet.Remnant.Size(); !plan.Sheet.Remnant.Empty() {
		r.Remnant = [2]float64{size.X, size.Y}
	}
	if n.Profile != nil {
		if err := n.program(&program, r.Name, plan); err != nil {
			return err
		}
		files[r.Name+".nc"] = program.Bytes()
	}
	if err := n.pictures(files, r, plan, left, in, at, of); err != nil {
		return err
	}
	return stage.Put(r.Name, files)
}

// drawings is the unit that drawings for cutting are in: as asked, or as the cutter reads.
func (n Nesting) drawings() measure.System {
	if n.Asked != nil {
		return *n.Asked
	}
	return n.Shop.Cutter.Drawings
}

// program writes a sheet's program and proves it.
func (n Nesting) program(b *bytes.Buffer, name string, plan *cutplan.Plan) error {
	if err := cutplan.Program(b, plan, n.Profile); err != nil {
		return err
	}
	if _, err := cutplan.ProveProgram(b.String(), plan, n.Profile); err != nil {
		return mistaken{mistake("P8008", "the program of "+name+" is not what was planned; nothing is handed over", err.Error())}
	}
	return nil
}

// dotsPerMM of a sheet's PNG: an A3 page has 2520 × 1782.
const dotsPerMM = 6

// pictures draws a sheet.
func (n Nesting) pictures(files map[string][]byte, r *SheetReport, plan *cutplan.Plan, left plane.Region, in measure.System, at, of int) error {
	if !n.Pictures {
		return nil
	}
	m, err := cutplan.Measure(plan, n.Profile)
	if err != nil {
		return err
	}
	c := cutplan.Caption{Title: fmt.Sprintf("sheet %d of %d: %s", at+1, of, r.Told.In(in)), Left: left, Paper: measure.Paper{System: in, Ruler: n.Shop.Ruler}, Lines: []string{r.Said,
		fmt.Sprintf("%s used; cut %s, %s, travel %s", Percent(r.Used), Run(m.Cut, in), measure.Counted(m.Pierces, "pierce"), Run(m.Travel, in))}}
	if r.Remnant[0] > 0 && r.Remnant[1] > 0 { // on a narrow remnant its size finds no room
		c.Lines[1] += measure.Say("; %#.0f × %.0f left over", measure.Length(r.Remnant[0]), measure.Length(r.Remnant[1])).In(in)
	}
	if n.Profile != nil {
		c.Lines[1] += ", about " + Minutes(m.Seconds) + " at the table"
	}
	var svg, png, pdf bytes.Buffer
	page := cutplan.Picture(plan, c)
	if err := errors.Join(page.SVG(&svg), page.PNG(&png, dotsPerMM), page.PDF(&pdf)); err != nil {
		return err
	}
	files[r.Name+".svg"], files[r.Name+".png"], files[r.Name+".pdf"] = svg.Bytes(), png.Bytes(), pdf.Bytes()
	return nil
}

// Minutes is a time for a person to read.
func Minutes(seconds float64) string {
	if seconds < 59.5 {
		return fmt.Sprintf("%.0f s", seconds)
	}
	return fmt.Sprintf("%.0f min", seconds/60)
}
