// Package tolerance tells what real metal does to matched holes: which hole is made when,
// how far fastened sheets miss each other, and with what force their holes are pinned. It
// moves no hole, and knows nothing of the language or of output files.
package tolerance

import (
	"slices"

	"perch/parts/panel"
	"perch/parts/shop"
)

// Misfits is what is off of a piece, worked out as far as somebody asks and kept for who asks
// next. It is for one goroutine at a time, and for as long as the holes are made as Decide has them.
type Misfits struct {
	a *panel.Assembly
	s *shop.Shop

	begun  bool
	ground *ground
	err    error
	pins   *pins // of the holes made in the flat on both sides, where they are known
}

// New is for a piece as a shop makes it; nothing is worked out yet.
func New(a *panel.Assembly, s *shop.Shop) *Misfits { return &Misfits{a: a, s: s} }

// Unknown is why what was asked for so far is not known; nil where it is.
func (m *Misfits) Unknown() error { return m.err }

// settled is the piece with no pin in it.
func (m *Misfits) settled() (*ground, error) {
	if !m.begun {
		m.begun = true
		var of *model
		if of, m.err = newModel(m.a, m.s); m.err == nil {
			m.ground, m.err = newGround(of)
		}
	}
	return m.ground, m.err
}

// pinned is the piece with the pins in that its points ask for.
func (m *Misfits) pinned() (*pins, error) {
	g, err := m.settled()
	if err != nil {
		return nil, err
	}
	if rows := g.made(); m.pins == nil || !slices.Equal(m.pins.rows, rows) {
		p, ok := g.pin(rows)
		if !ok {
			m.err = errSingular
			return nil, m.err
		}
		m.pins = p
	}
	return m.pins, nil
}

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
