package eval

import (
	"perch/lang/value"
	"perch/parts/join"
	"perch/parts/panel"
)

// hardware is what a fastener takes from the shop's drawers for a grip of mm, and the room
// that setting it takes.
func (ev *evaluator) hardware(f value.Fastener, grip float64) panel.Hardware {
	h := panel.Hardware{Closing: f.Closing, Countersunk: f.Countersunk, Inner: f.Inner}
	tools := ev.shop.Tools
	switch f.Kind {
	case join.Rivet:
		h.Shank = ev.shop.RivetShank(f.Size, f.Closing, f.Countersunk, grip)
		if r, ok := ev.shop.SolidRivet(f.Size); ok && f.Closing.Solid() {
			h.Head = r.Head
		} else if r, ok := ev.shop.Rivet(f.Size); ok && !f.Closing.Solid() {
			h.Head = r.Head
		}
		h.Reach = tools.RivetReach(f.Size, max(h.Head, f.Size), f.Closing, h.Shank.Longest(), grip)
	case join.Bolt:
		h.Shank = ev.shop.BoltShank(f.Size, grip)
		h.Reach = tools.BoltReach(h.Shank.Longest())
	default:
		h.Reach.Head = tools.Torch
	}
	return h
}
