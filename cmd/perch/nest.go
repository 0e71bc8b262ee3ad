package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"perch/lang/diag"
	"perch/lang/load"
	"perch/lang/sheet"
	"perch/parts/cutplan"
	"perch/parts/measure"
	"perch/parts/nest"
	"perch/parts/shop"
)

type nestCmd struct {
	Orders   []string      `arg:"" help:"What to cut: FILE.perch, FILE.perch:SIZE, FILE.perch:SIZE*COUNT." placeholder:"ORDER"`
	Out      string        `short:"o" default:"sheets" help:"The folder to write to. Default: sheets." placeholder:"FOLDER"`
	Shop     string        `help:"A shop file: its sheets, its cutter, its table. Default: the built-in shop." placeholder:"FILE"`
	Table    string        `help:"A table profile in a file of its own, instead of the shop file's: write an RS-274 program for it too." placeholder:"FILE"`
	Remnant  []string      `help:"What is left of a sheet, as a DXF or SVG outline, used before whole sheets. Repeatable. Where the file does not tell its metal: FILE=mild_steel,1.5." placeholder:"FILE[=MATERIAL,MM]" sep:"none"`
	Spacing  float64       `default:"6" help:"Millimetres between blanks." placeholder:"MM"`
	Margin   float64       `default:"8" help:"Millimetres kept free along a sheet's edge." placeholder:"MM"`
	Rotation float64       `default:"90" help:"Step in degrees by which blanks may be turned; 0: not at all." placeholder:"DEG"`
	Grain    bool          `help:"Blanks keep their direction along the sheet."`
	Mirror   bool          `help:"Blanks may be turned over: both faces are alike, and marks may lie on either."`
	Lay      []string      `help:"How one blank may lie, instead of the three above: a step in degrees, and the words grain and mirror: --lay leg=180,grain. Repeatable." placeholder:"BLANK=HOW" sep:"none"`
	Tabs     int           `default:"0" help:"Hold each blank by so many tabs, fewer where it is short. Default: 0." placeholder:"COUNT"`
	TabWidth float64       `default:"0.8" help:"Width of a tab in millimetres." placeholder:"MM"`
	Only     []string      `help:"Cut these blanks only, by number, name or DESIGN:SIZE, where they were nested." placeholder:"BLANK,…"`
	Start    string        `help:"Go on with a sheet from a pierce: --start 2:17." placeholder:"SHEET:PIERCE"`
	Place    []string      `help:"Put a blank on the remnant, or a sheet, with the lower left corner of its box at a place, turned; what is placed is all that is cut. Repeatable." placeholder:"BLANK@X,Y,DEG" sep:"none"`
	Price    string        `enum:"area,sheets" default:"area" help:"Charge what is used up of a sheet, or sheets as a whole: ${enum}." placeholder:"HOW"`
	Pictures bool          `default:"true" negatable:"" help:"Draw every sheet, as SVG, PNG and PDF."`
	Effort   float64       `default:"1" help:"How much to search, in work, not in seconds." placeholder:"TIMES"`
	Limit    time.Duration `help:"Take the best so far after a time: --limit 30s. The same order may then give other sheets." placeholder:"TIME"`
	Unit     string        `enum:"design,mm,in" default:"design" help:"Units to read the job in: ${enum}. Default: inches where all its designs are in inches. What this command line states stays in millimetres."`
	All      bool          `help:"Tell every mistake, warning and note. Default: 50 at most, the others counted by code."`
	JSON     bool          `name:"json" help:"Write the answer as JSON."`
	taking
}

func (c *nestCmd) Run(s *session) error {
	s.all = &c.All
	n, diags, err := c.nesting()
	if err != nil {
		return err
	}
	if diag.HasErrors(diags) {
		return s.tell(diags, c.JSON)
	}
	if s.live {
		n.Progress, n.Stage = s.nesting(), s.staging()
	}
	ctx, best := context.WithCancel(context.Background()) // so far
	defer best()
	var report *sheet.JobReport
	if stopped := until(best, func() { report, diags, err = n.Run(ctx, c.Out) }); stopped != nil {
		return stopped
	}
	if s.live {
		fmt.Fprint(s.err, "\r\x1b[K")
	}
	if told := s.tell(diags, c.JSON && diag.HasErrors(diags)); told != nil {
		return told
	}
	if errors.Is(err, sheet.ErrStopped) && ctx.Err() == nil {
		return fmt.Errorf("%w; the time limit of %v is too short", err, c.Limit)
	}
	if err != nil {
		return err
	}
	if c.JSON {
		enc := json.NewEncoder(s.out)
		enc.SetIndent("", "  ")
		err = enc.Encode(report)
	} else {
		c.say(s, report)
	}
	if err == nil && len(report.Unplaced) > 0 {
		return exit(exitMistake)
	}
	return err
}

// nesting reads what the flags say.
func (c *nestCmd) nesting() (sheet.Nesting, []diag.Diagnostic, error) {
	n := sheet.Nesting{
		Spacing: c.Spacing, Margin: c.Margin, Steps: c.Rotation, Grain: c.Grain, Mirror: c.Mirror, Tabs: c.Tabs, Tab: c.TabWidth,
		Only: c.Only, Whole: c.Price == "sheets", Pictures: c.Pictures, Effort: c.Effort, Limit: c.Limit, Replace: c.Replace,
	}
	var diags, more []diag.Diagnostic
	n.Orders, diags = sheet.ParseOrders(c.Orders)
	n.Remnants, more = sheet.ParseRemnants(c.Remnant)
	diags = append(diags, more...)
	n.Lays, more = sheet.ParseLays(c.Lay)
	diags = append(diags, more...)
	n.Places, more = sheet.ParsePlaces(c.Place)
	diags = append(diags, more...)
	if system, ok := measure.Named(c.Unit); ok {
		n.Asked = &system
	}
	if c.Start != "" {
		n.Start, more = sheet.ParseStart(c.Start)
		diags = append(diags, more...)
	}
	var err error
	if n.Shop, err = readShop(c.Shop); err != nil {
		return n, nil, err
	}
	n.Profile = (*cutplan.Profile)(n.Shop.Table)
	if c.Table != "" {
		text, err := load.Plain(c.Table)
		if err != nil {
			return n, nil, fmt.Errorf("cannot read the table profile %s: %w", c.Table, err)
		}
		var bad shop.FileErrors
		if n.Profile, err = cutplan.ReadProfile(text); errors.As(err, &bad) {
			d := diag.Diagnostic{Code: "P8007", Severity: diag.Error, Summary: "the table profile " + c.Table + " is not as it should be"}
			for _, e := range bad {
				d.Notes = append(d.Notes, e.Error())
			}
			diags = append(diags, d)
		} else if err != nil {
			return n, nil, err
		}
	}
	return n, diags, nil
}

// nesting tells on a terminal how far a search is.
func (s *session) nesting() func(nest.Progress) {
	return func(p nest.Progress) {
		text := fmt.Sprintf("nesting: %d of %d blanks on %s", p.Placed, p.Blanks, measure.Counted(p.Sheets, "sheet"))
		if p.Placed == p.Blanks && p.Remnant > 0 {
			text += fmt.Sprintf(", %.2f m² left over in one rectangle", p.Remnant/1e6)
		}
		if p.Placed == p.Blanks {
			text += "; Ctrl-C takes this"
		}
		fmt.Fprintf(s.err, "\r\x1b[K%s", text)
	}
}

// staging tells on a terminal how many sheets are planned or written, where that lasts.
func (s *session) staging() func(doing string, done, of int) {
	start := time.Now()
	return func(doing string, done, of int) {
		if time.Since(start) > time.Second {
			fmt.Fprintf(s.err, "\r\x1b[K%s: %d of %s", doing, done, measure.Counted(of, "sheet"))
		}
	}
}

// say prints the report for people.
func (c *nestCmd) say(s *session, r *sheet.JobReport) {
	for i, h := range r.Sheets {
		if h.Said == "" {
			fmt.Fprintf(s.out, "sheet %d of %d: nothing on request\n", i+1, len(r.Sheets))
			continue
		}
		fmt.Fprintf(s.out, "sheet %d of %d: %s\n  %s, %s used", i+1, len(r.Sheets), h.Said, h.Told.In(r.In), sheet.Percent(h.Used))
		if h.Remnant[0] > 0 && h.Remnant[1] > 0 {
			fmt.Fprint(s.out, measure.Say(", %#.0f × %.0f left over", measure.Length(h.Remnant[0]), measure.Length(h.Remnant[1])).In(r.In))
		}
		if h.Tally.Drills > 0 {
			fmt.Fprintf(s.out, "; mark and drill %d", h.Tally.Drills)
		}
		fmt.Fprintf(s.out, "\n  cut %s, %s, travel %s", sheet.Run(h.Cut, r.In), measure.Counted(h.Pierces, "pierce"), sheet.Run(h.Travel, r.In))
		if r.Timed {
			fmt.Fprintf(s.out, ", about %s at the table", sheet.Minutes(h.Seconds))
		}
		fmt.Fprintln(s.out)
	}
	t := r.Total
	fmt.Fprintf(s.out, "job: %s, cut %s, %s, travel %s", measure.Counted(t.Count, "blank"), sheet.Run(t.Cut, r.In), measure.Counted(t.Pierces, "pierce"), sheet.Run(r.Travel(), r.In))
	if r.Timed {
		fmt.Fprintf(s.out, ", about %s, without acceleration and handling", sheet.Minutes(t.Seconds))
	}
	fmt.Fprintln(s.out)
	if t.Cost > 0 {
		sheets := fmt.Sprintf("sheets %.2f", t.SheetShare)
		if !r.Priced {
			sheets = "sheets without a price"
		}
		fmt.Fprintf(s.out, "costs: table %.2f, consumables %.2f, %s, in all %s\n", t.Machine, t.Wear, sheets, strings.TrimSpace(fmt.Sprintf("%.2f %s", t.Cost, r.Currency)))
	}
	fmt.Fprintf(s.out, "wrote %s; dry run first, mind eyes, fumes and fire, never leave the table alone\n", c.Out)
}
