package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/signal"
	"syscall"

	"perch/lang/diag"
	"perch/lang/make"
	"perch/parts/cutplan"
)

type nestCmd struct {
	Orders   []string `arg:"" help:"What to cut: FILE.perch, FILE.perch:SIZE, FILE.perch:SIZE*COUNT." placeholder:"ORDER"`
	Out      string   `short:"o" default:"sheets" help:"The folder to write to. Default: sheets." placeholder:"FOLDER"`
	Shop     string   `help:"A shop file: its sheets, its cutter. Default: the built-in shop." placeholder:"FILE"`
	Table    string   `help:"A table profile: write an RS-274 program for it too." placeholder:"FILE"`
	Spacing  float64  `default:"6" help:"Millimetres between blanks." placeholder:"MM"`
	Margin   float64  `default:"8" help:"Millimetres kept free along a sheet's edge." placeholder:"MM"`
	Rotation float64  `default:"90" help:"Step in degrees by which blanks may be turned." placeholder:"DEG"`
	Grain    bool     `help:"Blanks keep their direction along the sheet."`
	Effort   float64  `default:"1" help:"How much to search, in work, not in seconds." placeholder:"TIMES"`
	JSON     bool     `name:"json" help:"Write the answer as JSON."`
}

func (c *nestCmd) Run(s *session) error {
	n := make.Nesting{Spacing: c.Spacing, Margin: c.Margin, Steps: c.Rotation, Grain: c.Grain, Effort: c.Effort}
	var err error
	if n.Shop, err = readShop(c.Shop); err != nil {
		return err
	}
	for _, o := range c.Orders {
		order, err := make.ParseOrder(o)
		if err != nil {
			return err
		}
		n.Orders = append(n.Orders, order)
	}
	if c.Table != "" {
		text, err := os.ReadFile(c.Table)
		if err != nil {
			return fmt.Errorf("cannot read the table profile: %w", err)
		}
		if n.Profile, err = cutplan.ReadProfile(string(text)); err != nil {
			return fmt.Errorf("the table profile %s: %w", c.Table, err)
		}
	}
	if s.live {
		n.Best = func(left float64) { fmt.Fprintf(s.err, "\rbest so far leaves %.0f cm²  ", left/100) }
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	reports, diags, err := n.Run(ctx, c.Out)
	if s.live {
		fmt.Fprint(s.err, "\r\x1b[K")
	}
	if told := s.tell(diags, c.JSON && diag.HasErrors(diags)); told != nil {
		return told
	}
	if err != nil {
		return err
	}
	if c.JSON {
		enc := json.NewEncoder(s.out)
		enc.SetIndent("", "  ")
		return enc.Encode(reports)
	}
	for i, r := range reports {
		fmt.Fprintf(s.out, "sheet %d of %d: %s\n  %s, %s used", i+1, len(reports), r.Tally, r.Stock, make.Percent(r.Density))
		if r.Remnant.X > 0 && r.Remnant.Y > 0 {
			fmt.Fprintf(s.out, ", %.0f × %.0f mm left over", r.Remnant.X, r.Remnant.Y)
		}
		fmt.Fprintf(s.out, "\n  cut %.1f m, travel %.1f m", r.Cut/1000, r.Travel/1000)
		if r.Time != nil {
			fmt.Fprintf(s.out, ", about %.0f min at the table", r.Time.Seconds/60)
		}
		fmt.Fprintln(s.out)
	}
	fmt.Fprintf(s.out, "wrote %s; dry run first, mind eyes, fumes and fire, never leave the table alone\n", c.Out)
	return nil
}
