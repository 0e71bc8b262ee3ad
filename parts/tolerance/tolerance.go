// Package tolerance tells what real metal does to matched holes: which hole is made when,
// how far fastened sheets miss each other, and with what force their holes are pinned. It
// moves no hole, and knows nothing of the language or of output files.
package tolerance

import (
	"perch/parts/panel"
	"perch/parts/shop"
)

// Begin says of a fastener's holes, outermost sheet first, which are made in the flat
// before anything else is known: the outermost one, which guides the drill, and where
// matched is shop.MatchedAll or the sheet has an opening there anyway all others too. The
// rest is drilled in place.
func Begin(p panel.Point, k int, open bool, matched string, by shop.Joining) panel.Point {
	switch {
	case p.Marked():
		return p
	case k == 0 || open || matched == shop.MatchedAll:
		p.When = panel.Before
		return p
	}
	p.When, p.Kind, p.Bare = panel.InPlace, panel.Drill, !by.Centres
	return p
}
