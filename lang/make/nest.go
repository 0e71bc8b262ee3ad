package make

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/bend"
	"perch/parts/cutplan"
	"perch/parts/drawing/layout"
	"perch/parts/nest"
	"perch/parts/output"
	"perch/parts/panel"
	"perch/parts/plane"
)

// Order is what to cut: a size of a design, so many times.
type Order struct {
	File  string
	Size  string // "" where the design has one size
	Count int
}

// ParseOrder reads FILE.perch[:SIZE][*COUNT].
func ParseOrder(text string) (Order, error) {
	o := Order{Count: 1}
	if at := strings.LastIndex(text, "*"); at >= 0 {
		n, err := strconv.Atoi(text[at+1:])
		if err != nil || n < 1 || n > maxPieces {
			return o, fmt.Errorf("%s: behind * stands how many, from 1 to %d", text, maxPieces)
		}
		text, o.Count = text[:at], n
	}
	file, size, ok := strings.Cut(text, ".perch:")
	if ok {
		file += ".perch"
	}
	o.File, o.Size = file, size
	return o, nil
}

// maxPieces are the pieces of one order.
const maxPieces = 10_000

// Nesting is a job for the cutting table.
type Nesting struct {
	Orders  []Order
	Shop    *bend.Shop
	Profile *cutplan.Profile // nil: no program is written
	Spacing float64          // between blanks, mm
	Margin  float64          // along the sheets' edges, mm
	Steps   float64          // rotation step in degrees
	Grain   bool             // blanks keep their direction along the sheet
	Effort  float64          // of the search; 1 is the default
	Best    func(best float64)
}

// SheetReport tells of one sheet.
type SheetReport struct {
	Name    string // sheet-1
	Stock   string
	Tally   cutplan.Tally
	Density float64 // of the blanks on the sheet
	Remnant plane.Point
	Cut     float64 // length, mm
	Travel  float64 // mm
	Time    *cutplan.Estimate
}

// Run builds what is ordered, nests it, plans the cuts, proves what it wrote and
// puts it into a folder: one folder a sheet. Mistakes are diagnostics; the error
// is one of reading or writing. When ctx ends, the best so far is taken.
func (n Nesting) Run(ctx context.Context, dir string) ([]SheetReport, []diag.Diagnostic, error) {
	job, blanks, diags, err := n.job()
	if err != nil || diag.HasErrors(diags) {
		return nil, diags, err
	}
	res, err := nest.Sheets(ctx, job, nest.Options{Effort: n.Effort, Best: n.Best})
	if err != nil {
		return nil, append(diags, nestMistake(err)), nil
	}
	if got, want := placed(res), ordered(job); got != want {
		return nil, append(diags, mistake("P8008", fmt.Sprintf("%d of %d blanks were placed", got, want))), nil
	}
	stage, err := output.NewStage(dir, output.Options{})
	if err != nil {
		return nil, diags, err
	}
	defer stage.Discard()
	var reports []SheetReport
	for i, u := range res.Sheets {
		r, err := n.sheet(stage, fmt.Sprintf("sheet-%d", i+1), job, blanks, u)
		if err != nil {
			var m mistaken
			if errors.As(err, &m) {
				return nil, append(diags, m.Diagnostic), nil
			}
			return nil, diags, err
		}
		reports = append(reports, r)
	}
	return reports, diags, stage.Commit()
}

func placed(r *nest.Result) int {
	n := 0
	for _, u := range r.Sheets {
		n += len(u.Placed)
	}
	return n
}

func ordered(j nest.Job) int {
	n := 0
	for _, b := range j.Blanks {
		n += b.Count
	}
	return n
}

// job builds the orders' sizes and lists their blanks and the shop's sheets.
func (n Nesting) job() (nest.Job, []*panel.Blank, []diag.Diagnostic, error) {
	j := nest.Job{Margin: n.Margin, Spacing: n.Spacing, Kerf: n.Shop.Cutter.Kerf}
	var blanks []*panel.Blank
	var diags []diag.Diagnostic
	for _, o := range n.Orders {
		prog, ds, err := load.Design(o.File, n.Shop)
		diags = append(diags, ds...)
		if err != nil || diag.HasErrors(ds) {
			return j, nil, diags, err
		}
		sizes := build.Sizes(prog)
		if o.Size == "" && len(sizes) > 1 {
			return j, nil, append(diags, mistake("P8001", fmt.Sprintf("%s has several sizes", o.File),
				"say which: "+o.File+":"+sizes[0], "it has "+list(sizes))), nil
		}
		if o.Size != "" {
			sizes = []string{o.Size}
		}
		results, ds := Job{Program: prog, Shop: n.Shop, Sizes: sizes}.Results()
		diags = append(diags, ds...)
		if diag.HasErrors(ds) {
			return j, nil, diags, nil
		}
		for _, b := range results[0].Assembly.Blanks {
			j.Blanks = append(j.Blanks, n.blank(b, o.Count))
			blanks = append(blanks, b)
		}
	}
	for _, s := range n.Shop.Sheets {
		j.Sheets = append(j.Sheets, nest.Sheet{
			Name: s.Material, Material: s.Material, Thickness: s.Thickness,
			Width: min(s.Width, s.Length), Length: max(s.Width, s.Length), Price: s.Price,
		})
	}
	return j, blanks, diags, nil
}

func (n Nesting) blank(b *panel.Blank, count int) nest.Blank {
	st := b.Flat.Panel.Stock
	steps := n.Steps
	if steps == 0 {
		steps = 90
	}
	return nest.Blank{
		Name: b.Name, Count: b.Count * count, Material: st.Material, Thickness: st.Thickness,
		Region:    append(plane.Region{b.Flat.Outer}, layout.Openings(b.Flat)...),
		Rotations: nest.Steps(steps), Grain: n.Grain,
	}
}

// sheet plans one sheet, writes it into the stage and proves what was written.
func (n Nesting) sheet(stage *output.Stage, name string, j nest.Job, blanks []*panel.Blank, u nest.Used) (SheetReport, error) {
	of := j.Sheets[u.Sheet]
	s := &cutplan.Sheet{Name: name, Material: of.Material, Thickness: of.Thickness, Metal: of.Outline, Remnant: u.Remnant}
	if len(s.Metal) == 0 {
		s.Metal = plane.Region{plane.RectAt(plane.Point{}, plane.Point{X: of.Length, Y: of.Width})}
	}
	for i, p := range u.Placed {
		m := p.Transform()
		part := cutplan.Part{Number: i + 1, Name: j.Blanks[p.Piece].Name, Region: j.Blanks[p.Piece].Region.Transform(m)}
		for _, pt := range blanks[p.Piece].Flat.Points {
			for _, l := range layout.Strokes(pt) {
				part.Marks = append(part.Marks, plane.Loop{{P: m.Apply(l[0])}, {P: m.Apply(l[1])}})
			}
		}
		s.Parts = append(s.Parts, part)
	}
	k := n.Shop.Cutter.Kerf
	plan, err := cutplan.New(s, cutplan.Options{
		Kerf: k, LeadIn: min(4, n.Spacing/2-k/4), LeadOut: 0, SmallHole: 2 * n.Shop.Cutter.RoundHole(of.Thickness), Drill: n.Shop.Cutter.RoundHole(of.Thickness),
	})
	if err != nil {
		return SheetReport{}, mistaken{mistake("P8006", "the cuts of "+name+" cannot be planned", err.Error())}
	}
	size := u.Remnant.Size()
	r := SheetReport{
		Name: name, Stock: fmt.Sprintf("%s %.4g mm, %.0f × %.0f mm", of.Material, of.Thickness, of.Length, of.Width),
		Density: u.Density, Remnant: size, Cut: plan.Length, Travel: plan.Travel,
	}
	if u.Remnant.Empty() {
		r.Remnant = plane.Point{}
	}
	return r, n.files(stage, &r, plan)
}

// files writes and proves a sheet's drawing, picture, labels and program.
func (n Nesting) files(stage *output.Stage, r *SheetReport, plan *cutplan.Plan) error {
	var dxf, svg, labels, program bytes.Buffer
	if err := cutplan.Drawing(&dxf, plan); err != nil {
		return err
	}
	tally, err := cutplan.ProveDrawing(dxf.String(), plan)
	if err != nil {
		return mistaken{mistake("P8008", "the drawing of "+r.Name+" is not what was planned; nothing is handed over", err.Error())}
	}
	r.Tally = tally
	if err := errors.Join(cutplan.Picture(&svg, plan), cutplan.Labels(&labels, plan)); err != nil {
		return err
	}
	files := map[string][]byte{r.Name + ".dxf": dxf.Bytes(), r.Name + ".svg": svg.Bytes(), output.LabelsFile: labels.Bytes()}
	if n.Profile != nil {
		if err := cutplan.Program(&program, plan, n.Profile); err != nil {
			return mistaken{mistake("P8007", "no program can be written for "+r.Name, err.Error())}
		}
		if _, err := cutplan.ProveProgram(program.String(), plan, n.Profile); err != nil {
			return mistaken{mistake("P8008", "the program of "+r.Name+" is not what was planned; nothing is handed over", err.Error())}
		}
		e, err := n.Profile.Estimate(plan)
		if err != nil {
			return mistaken{mistake("P8007", "no program can be written for "+r.Name, err.Error())}
		}
		r.Time = &e
		files[r.Name+".nc"] = program.Bytes()
	}
	return stage.Put(r.Name, files)
}

// mistaken carries a diagnostic as an error.
type mistaken struct{ diag.Diagnostic }

func (m mistaken) Error() string { return m.Summary }

func mistake(code, summary string, notes ...string) diag.Diagnostic {
	return diag.Diagnostic{Code: code, Severity: diag.Error, Summary: summary, Notes: notes}
}

// nestMistake words what nesting refuses.
func nestMistake(err error) diag.Diagnostic {
	var large *nest.TooLargeError
	var sheet *nest.NoSheetError
	var room *nest.NoRoomError
	var spacing *nest.SpacingError
	switch {
	case errors.As(err, &large):
		return mistake("P8003", "a blank is larger than every sheet", err.Error(), "add a larger sheet to the shop file, or split the part")
	case errors.As(err, &sheet):
		return mistake("P8002", "the shop has no sheet of this metal and thickness", err.Error(), "add it to the shop file's sheets")
	case errors.As(err, &room):
		return mistake("P8004", "the blanks do not fit on the sheets that there are", err.Error())
	case errors.As(err, &spacing):
		return mistake("P8005", "blanks would lie closer than the cut is wide", err.Error())
	}
	return mistake("P8004", "the blanks could not be nested", err.Error())
}

// Percent is a share for a person to read.
func Percent(x float64) string { return fmt.Sprintf("%.1f %%", math.Round(x*1000)/10) }
