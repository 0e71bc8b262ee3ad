package build

import (
	"perch/parts/brake"
	"perch/parts/shop"
)

// Bends are the plans of how the size's blanks are bent on the shop's brake, by blank, the best
// of each; nil for one without folds. They are made when they are first asked for, and
// there must be an assembly.
func (r *Result) Bends(sh *shop.Shop) []*brake.Plan {
	r.bending.Do(func() {
		for _, p := range r.Bendable(sh) {
			r.bends = append(r.bends, p.Best())
		}
	})
	return r.bends
}

// Bendable are plans as Bends has them for who asks no more than whether a blank can be bent, and
// why not: any that works is as good, and found in a fraction of the time.
func (r *Result) Bendable(sh *shop.Shop) []*brake.Plan {
	r.trying.Do(func() {
		r.tried = make([]*brake.Plan, len(r.Assembly.Blanks))
		for i, b := range r.Assembly.Blanks {
			if b.Flat != nil && len(b.Flat.Folds) > 0 {
				r.tried[i] = brake.First(b.Flat, sh, nil)
			}
		}
	})
	return r.tried
}
