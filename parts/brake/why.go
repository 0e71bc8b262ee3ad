package brake

import "perch/parts/measure"

// why tells what speaks for doing this now.
func (f *finder) why(moves []move, n int) measure.Text {
	m := moves[n]
	h := f.holds[m.hold]
	if h.kind == Flatten {
		return measure.Plain("while nothing stands in the way of pressing it flat")
	}
	others, after := false, none
	for i, g := range f.holds {
		if g.ops&h.ops != 0 || !f.can(g, m.from) {
			continue
		}
		if !f.dead[m.from|g.ops] && f.try(i, m.from).ok {
			others = true
			break
		}
	}
	if !others && n < len(moves)-1 {
		return measure.Plain("nothing else can be bent now, or it would leave no way to bend the rest")
	}
	// What comes later and would stop this one.
	for _, later := range moves[n+1:] {
		g := f.holds[later.hold]
		if !f.can(g, m.from) || !f.try(later.hold, m.from).ok {
			continue
		}
		stopped := true
		for i, x := range f.holds {
			if x.ops == h.ops && f.can(x, m.from|g.ops) && f.try(i, m.from|g.ops).ok {
				stopped = false
				break
			}
		}
		if stopped {
			after = g.folds[0]
			break
		}
	}
	switch {
	case after != none:
		return measure.Say("before %s, which would be in the way", f.p.names.Fold(after))
	case len(h.folds) > 1:
		return measure.Plain("folds on one line, bent in one stroke")
	case n > 0 && f.sameWay(f.holds[moves[n-1].hold], h):
		return measure.Plain("as the piece lies, without turning it")
	case n == len(moves)-1:
		return measure.Plain("the last")
	}
	return measure.Plain("short flanges first")
}

// sameWay tells whether the piece lies the same way round for two holds.
func (f *finder) sameWay(g, h *hold) bool {
	return g.drawnUp == h.drawnUp && sameBack(g, h)
}
