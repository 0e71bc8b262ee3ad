package compare

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"

	"perch/lang/eval"
	"perch/parts/measure"
	"perch/parts/nest"
	"perch/parts/panel"
	"perch/parts/shop"
)

// Metal is what a size takes of one metal, before and after: Old or New is nil
// where it takes none of it.
type Metal struct {
	Stock string `json:"stock"`           // material and thickness
	Sheet *Sheet `json:"sheet,omitempty"` // that it is bought in, where a stock states it
	Old   *Need  `json:"old,omitempty"`
	New   *Need  `json:"new,omitempty"`
	told  measure.Text
}

// Sheet is the size of a sheet.
type Sheet struct {
	Length float64 `json:"length_mm"`
	Width  float64 `json:"width_mm"`
}

// Need is how much of a metal it takes. Sheets are whole ones that the blanks were
// nested on, 0 where they were not; Trouble says why they can't be. Cost is of those
// sheets, else of the blanks' area at the price of a sheet of the least price by
// area; 0 where the shop tells no price.
type Need struct {
	Area    float64 `json:"area_mm2"`
	Sheets  int     `json:"sheets,omitempty"`
	Cost    float64 `json:"cost,omitempty"`
	Trouble string  `json:"trouble,omitempty"`
}

// Charge adds, for each size at which a part changed, what the two sides take of
// each metal that changed. Where nested, the blanks are nested on sheets as
// sheets() does; ctx ends that early, with an error.
func (d *Difference) Charge(ctx context.Context, old, new Side, shop *shop.Shop, nested bool) error {
	d.currency = shop.Currency
	var work sync.WaitGroup
	room := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i := range d.Sizes {
		s := &d.Sizes[i]
		o, n := old.result(s.before()), new.result(s.Name)
		if o == nil || n == nil || !s.partChanged() {
			continue
		}
		s.Metals = metals(o.Assembly, n.Assembly)
		for k := range s.Metals {
			m := &s.Metals[k]
			for _, side := range []struct {
				need *Need
				of   *panel.Assembly
			}{{m.Old, o.Assembly}, {m.New, n.Assembly}} {
				if side.need == nil {
					continue
				}
				work.Go(func() {
					room <- struct{}{}
					defer func() { <-room }()
					side.need.charge(ctx, side.of, m.bought(), shop, nested)
				})
			}
		}
	}
	work.Wait()
	for i := range d.Sizes {
		d.Sizes[i].Metals = changedMetals(d.Sizes[i].Metals)
	}
	return ctx.Err()
}

// before is the size's name in the old design.
func (s *Size) before() string {
	if s.Was != "" {
		return s.Was
	}
	return s.Name
}

func (s *Size) partChanged() bool {
	for _, p := range s.Parts {
		if p.Change != Renamed {
			return true
		}
	}
	return false
}

// metals lists the metals of both sides, those of the new one first.
func metals(old, new *panel.Assembly) []Metal {
	var out []Metal
	at := map[bought]int{}
	for side, a := range []*panel.Assembly{new, old} {
		for _, b := range a.Blanks {
			metal := boughtAs(b)
			i, seen := at[metal]
			if !seen {
				i = len(out)
				at[metal] = i
				m := Metal{Stock: metal.stock, told: stockTold(b)}
				if metal.sheet != (Sheet{}) {
					m.Sheet = &metal.sheet
				}
				out = append(out, m)
			}
			need := &out[i].New
			if side == 1 {
				need = &out[i].Old
			}
			if *need == nil {
				*need = &Need{}
			}
			(*need).Area += float64(float64(b.Count) * b.Flat.Area())
		}
	}
	return out
}

// changedMetals leaves out what is as before; none are an empty list.
func changedMetals(all []Metal) []Metal {
	out := []Metal{}
	for _, m := range all {
		if m.Old == nil || m.New == nil || *m.Old != *m.New {
			out = append(out, m)
		}
	}
	return out
}

// charge works out sheets and cost of the blanks of a metal.
func (n *Need) charge(ctx context.Context, a *panel.Assembly, metal bought, shop *shop.Shop, nested bool) {
	n.Area = told(n.Area)
	j, least := job(a, metal, shop)
	if len(j.Sheets) == 0 {
		return
	}
	if !math.IsInf(least, 1) {
		n.Cost = told(float64(n.Area * least))
	}
	if !nested {
		return
	}
	r, err := eval.LayOut(ctx, j)
	var large *nest.TooLargeError
	switch {
	case errors.As(err, &large):
		n.Trouble = "a blank is larger than every sheet"
	case err != nil:
		n.Trouble = err.Error()
	default:
		n.Sheets, n.Cost = len(r.Sheets), 0
		for _, u := range r.Sheets {
			n.Cost += j.Sheets[u.Sheet].Price
		}
		n.Cost = told(n.Cost)
	}
}

// job is the blanks of a metal with the sheets they are cut from. A sheet that the
// shop tells no price of costs the least that it takes for as much of the metal.
func job(a *panel.Assembly, metal bought, shop *shop.Shop) (j nest.Job, least float64) {
	blanks := slices.DeleteFunc(slices.Clone(a.Blanks), func(b *panel.Blank) bool { return boughtAs(b) != metal })
	st := blanks[0].Flat.Panel.Stock
	least = math.Inf(1)
	for _, s := range shop.SheetsOf(st.Material, st.Thickness) {
		if s.Price > 0 {
			least = min(least, s.Price/float64(s.Width*s.Length))
		}
	}
	j = eval.SheetJob(&st, blanks, shop)
	for i := range j.Sheets {
		if s := &j.Sheets[i]; s.Price == 0 && !math.IsInf(least, 1) {
			s.Price = float64(float64(s.Width*s.Length) * least)
		}
	}
	return j, least
}

// bought is a metal as it is bought: in a sheet of no size where the shop's will do.
type bought struct {
	stock string
	sheet Sheet
}

func boughtAs(b *panel.Blank) bought {
	s := b.Flat.Panel.Stock
	return bought{stockOf(b), Sheet{s.SheetLength, s.SheetWidth}}
}

func (m *Metal) bought() bought {
	if m.Sheet == nil {
		return bought{stock: m.Stock}
	}
	return bought{m.Stock, *m.Sheet}
}

// metalFacts tells sheets and cost: where the blanks were nested all of it, else
// what changed.
func (d *Difference) metalFacts(metals []Metal) []string {
	var out []string
	var was, is float64
	nested := false
	for _, m := range metals {
		o, n := m.Old.count(), m.New.count()
		what := "sheets of " + m.told.In(d.in)
		if m.Sheet != nil {
			what = fmt.Sprintf("%s × %s %s", d.length(m.Sheet.Length), d.length(m.Sheet.Width), what)
		}
		switch {
		case o != n:
			out = append(out, fmt.Sprintf("%s %s → %s", what, o, n))
		case o != "0":
			out = append(out, fmt.Sprintf("%s %s as before", what, o))
		}
		nested = nested || o != "0" || n != "0"
		if m.Old != nil {
			was += m.Old.Cost
		}
		if m.New != nil {
			is += m.New.Cost
		}
	}
	what := "metal by area"
	if nested {
		what = "their cost"
	}
	switch o, n := fmt.Sprintf("%.2f", was), fmt.Sprintf("%.2f", is); {
	case o != n:
		out = append(out, strings.TrimSpace(fmt.Sprintf("%s %s → %s %s", what, o, n, d.currency)))
	case nested && was > 0:
		out = append(out, fmt.Sprintf("%s %s as before", what, strings.TrimSpace(n+" "+d.currency)))
	}
	return out
}

// count tells how many sheets are needed.
func (n *Need) count() string {
	switch {
	case n == nil:
		return "0"
	case n.Trouble != "":
		return "? (" + n.Trouble + ")"
	}
	return fmt.Sprint(n.Sheets)
}
