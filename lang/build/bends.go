package build

import (
	"perch/parts/brake"
	"perch/parts/shop"
)

// Bends are the plans of how the size's blanks are bent on the shop's brake, by blank; nil for one
// without folds. They are made when they are first asked for, and there must be an assembly.
func (r *Result) Bends(sh *shop.Shop) []*brake.Plan {
	r.bending.Do(func() {
		r.bends = make([]*brake.Plan, len(r.Assembly.Blanks))
		for i, b := range r.Assembly.Blanks {
			if b.Flat != nil && len(b.Flat.Folds) > 0 {
				r.bends[i] = brake.Find(b.Flat, sh, nil)
			}
		}
	})
	return r.bends
}
