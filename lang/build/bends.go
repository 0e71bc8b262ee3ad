package build

import (
	"perch/parts/brake"
	"perch/parts/panel"
	"perch/parts/shop"
)

// Bends are the plans of how the size's blanks are bent on the shop's brake, by blank, the best
// of each; nil for one without folds. They are made when they are first asked for, and
// there must be an assembly.
func (r *Result) Bends(sh *shop.Shop) []*brake.Plan {
	r.bending.Do(func() { r.bends = r.recalled(sh, (*brake.Known).Best) })
	return r.bends
}

// Bendable are plans as Bends has them for who asks no more than whether a blank can be bent, and
// why not: any that works is as good, and found in a fraction of the time.
func (r *Result) Bendable(sh *shop.Shop) []*brake.Plan {
	r.trying.Do(func() { r.tried = r.recalled(sh, (*brake.Known).First) })
	return r.tried
}

// recalled are what is known of the bends of the size's blanks.
func (r *Result) recalled(sh *shop.Shop, plan func(*brake.Known, *panel.Flat) *brake.Plan) []*brake.Plan {
	out := make([]*brake.Plan, len(r.Assembly.Blanks))
	for i, b := range r.Assembly.Blanks {
		if b.Flat != nil && len(b.Flat.Folds) > 0 {
			out[i] = plan(brake.Recall(b.Flat, sh), b.Flat)
		}
	}
	return out
}
