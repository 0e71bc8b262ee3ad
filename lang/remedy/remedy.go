// Package remedy tells what one change of a design at a time is worth to how the piece
// carries its loads: it rebuilds a size with a family of parts left out, with thicker sheet,
// with one more of a count or with more fasteners, and holds what comes out to what was. It
// changes no file, and never says which change to make.
package remedy

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/strength"
)

// Most is how many changes of one size are tried.
const Most = 16

// finer is by how much smaller the triangles are that tell how much is their own doing.
const finer = 0.8

// Of tries changes of a size that was built with settings, and tells what each is worth,
// the one that stiffens most first. left is how many were not tried. The error is ctx's, or
// an *strength.Error of the size as it is.
func Of(ctx context.Context, r *build.Result, sh *shop.Shop, settings []build.Setting, o strength.Options) (all []strength.Help, left int, err error) {
	cases := r.Cases()
	without, err := strength.Roughly(ctx, r.Assembly, r.Flats, cases, o)
	if err != nil {
		return nil, 0, err
	}
	of := o
	of.Side = finer * without.Side
	fine, err := strength.Roughly(ctx, r.Assembly, r.Flats, cases, of)
	if err != nil {
		return nil, 0, err
	}
	try := changes(r, sh, settings)
	if len(try) > Most {
		left, try = len(try)-Most, try[:Most]
	}
	t := trial{r: r, shop: sh, options: o, cases: cases, without: without, finer: fine}
	found := make([]*strength.Help, len(try))
	errs := make([]error, len(try))
	var trying sync.WaitGroup
	next := make(chan int)
	for range min(runtime.GOMAXPROCS(0), len(try)) {
		trying.Go(func() {
			for i := range next {
				found[i], errs[i] = t.run(ctx, &try[i])
			}
		})
	}
	for i := range try {
		next <- i
	}
	close(next)
	trying.Wait()
	for i, h := range found {
		if errs[i] != nil {
			return nil, 0, errs[i]
		}
		if h != nil {
			all = append(all, *h)
		}
	}
	slices.SortStableFunc(all, func(a, b strength.Help) int {
		switch x, y := stiffens(a), stiffens(b); {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	return all, left, nil
}

// trial is what every change is tried against.
type trial struct {
	r              *build.Result
	shop           *shop.Shop
	options        strength.Options
	cases          []strength.Case
	without, finer *strength.Report
}

// run tries one change; nil where it leaves no piece that can be held to the one that was.
func (t *trial) run(ctx context.Context, c *change) (*strength.Help, error) {
	h := &strength.Help{Change: c.text}
	nothing := func(why string) (*strength.Help, error) {
		if c.less != nil {
			return t.run(ctx, c.less)
		}
		if c.without {
			return nil, nil
		}
		h.Why = why
		return h, nil
	}
	p, diags, err := again(t.r.Program(), c.edits, t.shop)
	if err != nil {
		return nil, err
	}
	if why := firstError(diags); why != "" {
		return nothing(why)
	}
	with, diags := build.Size(p, t.r.Size, t.shop, c.settings)
	if with.Assembly == nil {
		return nothing(firstError(diags))
	}
	cases := with.Cases()
	if !same(t.r.Assembly, t.cases, with.Assembly, cases) {
		return nothing("the loads would be others")
	}
	if c.join != "" {
		was, is := fasteners(t.r.Assembly, c.join), fasteners(with.Assembly, c.join)
		h.Change += fmt.Sprintf(" (%d in all for %d)", is, was)
	}
	h.Mass = mass(with.Assembly) - mass(t.r.Assembly)
	report, err := strength.Roughly(ctx, with.Assembly, with.Flats, cases, t.options)
	var e *strength.Error
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case errors.As(err, &e):
		return nothing(e.Reason.String())
	case err != nil:
		return nil, err
	}
	if h.Worth = strength.Compared(t.without, t.finer, report); len(h.Worth) == 0 {
		return nothing("no balance was found with it or without it")
	}
	return h, nil
}

func firstError(diags []diag.Diagnostic) string {
	for _, d := range diags {
		if d.Severity == diag.Error {
			return d.Summary
		}
	}
	return ""
}

// same tells whether cases are the same loads on the same parts of two pieces.
func same(a *panel.Assembly, of []strength.Case, b *panel.Assembly, with []strength.Case) bool {
	return slices.EqualFunc(of, with, func(x, y strength.Case) bool {
		return x.Name == y.Name && x.Assumed == y.Assumed && slices.EqualFunc(x.On, y.On, func(i, j int) bool {
			was, _, _ := strings.Cut(a.Copies[i].Name, ".")
			is, _, _ := strings.Cut(b.Copies[j].Name, ".")
			return was == is
		})
	})
}

func mass(a *panel.Assembly) (kg float64) {
	for _, b := range a.Blanks {
		kg += float64(b.Flat.Mass() * float64(b.Count))
	}
	return kg
}

// stiffens is how far a change stiffens a piece, the most that it surely does of anything:
// negative where it softens it.
func stiffens(h strength.Help) (most float64) {
	if h.Worth == nil {
		return math.Inf(-1)
	}
	for _, w := range h.Worth {
		switch {
		case w.Folds:
			return -1
		case w.Stands:
			return math.Inf(1)
		}
		for _, gain := range []float64{-w.Sag.Part[1], -w.Sag.Part[0], w.Racking.Part[0], w.Racking.Part[1], -w.Sway.Part[1], -w.Sway.Part[0]} {
			if math.Abs(gain) > math.Abs(most) {
				most = gain
			}
		}
	}
	return most
}
