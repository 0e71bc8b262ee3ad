package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/reason"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
)

type showCmd struct {
	design
	Part        string `short:"p" help:"A part with all its copies, one of them, or a blank, to show flats and bend tables." placeholder:"NAME"`
	Sensitivity bool   `help:"How values, mass and flat sizes move with each stated value."`
	Joining     bool   `help:"How the piece is put together: the order, what is drilled, welded and fastened, what to fetch."`
}

func (c *showCmd) Run(s *session) error {
	job, diags, err := c.job(s)
	if err != nil {
		return err
	}
	if diag.HasErrors(diags) {
		return s.tell(diags, false)
	}
	if c.Sensitivity {
		return c.sensitivity(s, job, diags)
	}
	results, more := job.Results()
	var errs []diag.Diagnostic
	for _, d := range append(diags, more...) {
		if d.Severity == diag.Error || d.Mark&diag.Beside != 0 {
			errs = append(errs, d)
		}
	}
	if c.Joining {
		return c.joining(s, job, results, errs)
	}
	view := newView(results, c.Part)
	switch {
	case c.Part != "" && len(view.Blanks()) == 0 && len(errs) == 0:
		names := blankNames(results)
		return fmt.Errorf("no size has a blank called %s; %sthere are %s", c.Part, meant(c.Part, strings.Split(names, ", ")), names)
	case c.JSON:
		enc := json.NewEncoder(s.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		if err := enc.Encode(view); err != nil {
			return err
		}
	case c.Part != "":
		view.printBlanks(s.out)
	default:
		view.printValues(s.out)
	}
	return s.tell(errs, false)
}

// view is what show prints.
type view struct {
	Sizes []sizeView     `json:"sizes"`
	in    measure.System // that people read it in
}

type sizeView struct {
	Size      string               `json:"size"`
	Status    string               `json:"status"`
	Solutions []map[string]float64 `json:"solutions"`
	Values    []panel.Value        `json:"values"`
	Choice    *reason.ChoiceView   `json:"choice,omitempty"`   // of a name that is largest or smallest
	Fits      []reason.FitView     `json:"fits,omitempty"`     // of free names, to rules on what is made
	GaveWay   []reason.YieldView   `json:"gave_way,omitempty"` // abouts that did not get their value
	Blanks    []blankView          `json:"blanks,omitempty"`
	Loads     []steadyView         `json:"loads,omitempty"` // that the design names
	notes     []string             // of both, for people
}

type blankView struct {
	Name     string     `json:"name"`
	Count    int        `json:"count"`
	Mirrored int        `json:"mirrored"`
	Stock    string     `json:"stock"`
	Width    float64    `json:"width_mm"`
	Height   float64    `json:"height_mm"`
	Area     float64    `json:"area_mm2"`
	Mass     float64    `json:"mass_kg"`
	Bends    []bendView `json:"bends"`
	stock    measure.Text
	note     string // for whom it is, where it is for more than was asked for
}

type bendView struct {
	Name      string  `json:"name"`
	Angle     float64 `json:"angle_deg"`
	Direction string  `json:"direction"`
	Radius    float64 `json:"radius_mm"`
	K         float64 `json:"k"`
	Allowance float64 `json:"allowance_mm"`
	Deduction float64 `json:"deduction_mm"`
	SetBackA  float64 `json:"set_back_a_mm"`
	SetBackB  float64 `json:"set_back_b_mm"`
	Length    float64 `json:"length_mm"`
	Along     string  `json:"u,omitempty"` // an arrow: which way u runs on the flat of the face that hangs on this bend
}

func newView(results []*build.Result, part string) view {
	var v view
	for _, r := range results {
		v.in = r.Program().Shown
		sv := sizeView{Size: r.Size, Status: r.Status, Solutions: r.Solutions, Values: r.Values}
		if sv.Solutions == nil {
			sv.Solutions = []map[string]float64{}
		}
		if sv.Values == nil {
			sv.Values = []panel.Value{}
		}
		sv.explain(r)
		if r.Assembly != nil {
			sv.Blanks = asked(r.Assembly, part)
			if part == "" {
				sv.stand(r)
			}
		}
		v.Sizes = append(v.Sizes, sv)
	}
	return v
}

// steadyView is how many times a load until the piece tips; null for never.
type steadyView struct {
	Name string   `json:"name"`
	Tips *float64 `json:"tips"`
}

// stand adds when the loads that the design names tip it over. What they do beside that
// takes longer: perch strength tells.
func (v *sizeView) stand(r *build.Result) {
	var told []string
	for _, s := range r.Steadies() {
		note := s.Name + " never"
		one := steadyView{Name: s.Name}
		if !math.IsInf(s.Times, 1) {
			t := math.Round(s.Times*1e4) / 1e4
			one.Tips = &t
			note = fmt.Sprintf("%s at %.2f times the load", s.Name, s.Times)
		}
		v.Loads = append(v.Loads, one)
		told = append(told, note)
	}
	if told != nil {
		v.notes = append(v.notes, "it tips over: "+strings.Join(told, ", ")+"; an estimate, by statics. perch strength tells how far it sags and sways, and how much of its strength is used")
	}
}

// asked are the blanks of a part, or all where none is asked for; copies that are alike
// are one.
func asked(a *panel.Assembly, part string) []blankView {
	var out []blankView
	if part == "" {
		for _, b := range a.Blanks {
			out = append(out, blankOf(b))
		}
		return out
	}
	for _, p := range reason.Pieces(a, part) {
		b := blankOf(p.Blank)
		b.note = pieceNote(p)
		out = append(out, b)
	}
	return out
}

// explain adds what gave way and what was chosen.
func (v *sizeView) explain(r *build.Result) {
	if !r.Stands() {
		return
	}
	for _, y := range r.Yields() {
		v.GaveWay = append(v.GaveWay, reason.ViewYield(y))
		v.notes = append(v.notes, reason.DescribeYield(y, r.Program().Shown))
	}
	if names := r.Unproved(); names != nil {
		v.notes = append(v.notes, strings.Join(names, ", ")+": found by search; that there are no other values is not proved")
	}
	for i := range r.Fits {
		v.Fits = append(v.Fits, reason.ViewFit(&r.Fits[i]))
		v.notes = append(v.notes, reason.DescribeFit(&r.Fits[i], r.Program().Shown))
	}
	if r.Choice != nil {
		c := reason.ViewChoice(r.Choice)
		v.Choice = &c
		v.notes = append(v.notes, reason.DescribeChoice(r.Choice, r.Program().Shown))
	}
}

func blankOf(b *panel.Blank) blankView {
	w, h := b.Flat.Size()
	st := b.Flat.Panel.Stock
	out := blankView{
		Name: b.Name, Count: b.Count, Mirrored: b.Mirrored, Stock: fmt.Sprintf("%s %.4g mm", st.Material, st.Thickness), stock: st.Told(),
		Width: w, Height: h, Area: b.Flat.Area(), Mass: b.Flat.Mass(),
	}
	for _, f := range b.Flat.Folds {
		dir := "up"
		if f.Down {
			dir = "down"
		}
		along := ""
		if u, ok := b.Flat.Along(f.B); ok {
			along = arrow(u)
		}
		out.Bends = append(out.Bends, bendView{
			Along: along,
			Name:  f.Name, Angle: f.Bend.Angle * 180 / math.Pi, Direction: dir, Radius: f.Bend.Radius, K: f.Bend.K,
			Allowance: f.Bend.Allowance(), Deduction: f.Bend.Deduction(), SetBackA: f.SetBackA, SetBackB: f.SetBackB,
			Length: f.From.Dist(f.To),
		})
	}
	return out
}

// Blanks are the blanks of all sizes.
func (v view) Blanks() []blankView {
	var out []blankView
	for _, s := range v.Sizes {
		out = append(out, s.Blanks...)
	}
	return out
}

func blankNames(results []*build.Result) string {
	seen := map[string]bool{}
	out := ""
	for _, r := range results {
		if r.Assembly == nil {
			continue
		}
		for _, b := range r.Assembly.Blanks {
			if !seen[b.Name] {
				if out != "" {
					out += ", "
				}
				out += b.Name
				seen[b.Name] = true
			}
		}
	}
	return out
}

// printValues prints the solved values, sizes side by side, each with where it
// came from.
func (v view) printValues(w io.Writer) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprint(t, "name")
	for _, s := range v.Sizes {
		fmt.Fprintf(t, "\t%s\t", s.Size)
	}
	fmt.Fprintln(t)
	var names []string
	for _, s := range v.Sizes {
		if len(s.Values) > len(names) {
			names = names[:0]
			for _, x := range s.Values {
				names = append(names, x.Name)
			}
		}
	}
	for _, n := range names {
		fmt.Fprint(t, n)
		for _, s := range v.Sizes {
			cell, from := "–", ""
			for _, x := range s.Values {
				if x.Name == n {
					cell, from = reason.Reading(x.Value, x.Unit, v.in), x.From
				}
			}
			fmt.Fprintf(t, "\t%s\t%s", cell, from)
		}
		fmt.Fprintln(t)
	}
	t.Flush()
	for _, s := range v.Sizes {
		for _, n := range s.notes {
			fmt.Fprintf(w, "%s: %s\n", s.Size, n)
		}
	}
}

// printBlanks prints a blank's flat and bend table at every size.
func (v view) printBlanks(w io.Writer) {
	for _, s := range v.Sizes {
		for _, b := range s.Blanks {
			fmt.Fprintf(w, "%s, size %s: %d %s", b.Name, s.Size, b.Count, measure.Plural(b.Count, "piece"))
			if b.Mirrored > 0 {
				fmt.Fprintf(w, ", %d of them bent the other way", b.Mirrored)
			}
			fmt.Fprintf(w, "%s\n%s, flat %s × %s %s, %s, %s each\n", b.note, b.stock.In(v.in), reason.Length(b.Width, v.in), reason.Length(b.Height, v.in), v.in.Unit(), reason.Spaced(b.Area, "mm²", v.in), reason.Spaced(b.Mass, "kg", v.in))
			if len(b.Bends) == 0 {
				fmt.Fprintln(w, "no bends")
				continue
			}
			t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
			fmt.Fprintln(t, "bend\tangle °\tdirection\tradius\tK\tallowance\tdeduction\tset-back\tlength\tu")
			for _, f := range b.Bends {
				fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s / %s\t%s\t%s\n", f.Name, reason.Trimmed(f.Angle), f.Direction, reason.Length(f.Radius, v.in), reason.Trimmed(f.K),
					reason.Length(f.Allowance, v.in), reason.Length(f.Deduction, v.in), reason.Length(f.SetBackA, v.in), reason.Length(f.SetBackB, v.in), reason.Length(f.Length, v.in), f.Along)
			}
			t.Flush()
			fmt.Fprintln(w)
		}
	}
}

// arrow is the arrow that is nearest to a direction on the flat, as it is drawn.
func arrow(u plane.Point) string {
	eighth := int(math.Round(u.Angle()/(math.Pi/4))+8) % 8
	return string([]rune("→↗↑↖←↙↓↘")[eighth])
}
