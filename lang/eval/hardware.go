package eval

import (
	"fmt"
	"slices"

	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/join"
	"perch/parts/joining"
	"perch/parts/panel"
	"perch/parts/shop"
)

// hardware is what a fastener takes from the shop's drawers for a grip of mm, and the room
// that setting it takes.
func (ev *evaluator) hardware(f value.Fastener, grip float64) panel.Hardware {
	h := panel.Hardware{Closing: f.Closing, Countersunk: f.Countersunk}
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

// row is the fasteners of one patch, with the parts that they hold.
type row struct {
	of    []*part
	fixes []join.Fixing
	turn  func() []join.Fixing // lays them with their heads on the other side; nil of what has none
}

// headed settles on which side the heads of a join's rivets or bolts lie: where the join
// says it there, else on the outermost sheets, unless parts that they hold are in the way
// of a tool there and in the way of fewer on the other side. It tells whether that is inside.
func (ev *evaluator) headed(rows []row, f value.Fastener, says wish) bool {
	if f.Head != "" || f.Kind != join.Rivet && f.Kind != join.Bolt {
		return f.Head == "inner"
	}
	outer := ev.hindered(rows, f, says)
	if outer == (hindered{}) {
		return false
	}
	turned := slices.Clone(rows)
	for i := range turned {
		if turned[i].turn != nil {
			turned[i].fixes = turned[i].turn()
		}
	}
	if inner := ev.hindered(turned, f, says); inner.set > outer.set || inner.set == outer.set && inner.drilled >= outer.drilled {
		return false
	}
	for i := range rows {
		rows[i] = turned[i]
	}
	return true
}

// hindered counts the fasteners that can't be set, or whose holes can't be drilled in
// place, since a part that they hold is in the way.
type hindered struct{ set, drilled int }

func (ev *evaluator) hindered(rows []row, f value.Fastener, says wish) (n hindered) {
	for _, r := range rows {
		for i := range r.fixes {
			x := &r.fixes[i]
			j := panel.JoinPoint{Kind: x.Kind, Diameter: x.Diameter, At: x.At, Axis: x.Axis, Grip: x.Grip, Line: x.Line, Hardware: ev.hardware(f, x.Grip)}
			var of []*joining.Metal
			for _, m := range x.Members {
				of = append(of, ev.stands(r.of[m.Member]))
			}
			set, drilled := joining.Free(&j, of, ev.shop.Tools.Drill)
			if !set {
				n.set++
			}
			if !drilled && says.matched != shop.MatchedAll {
				n.drilled++
			}
		}
	}
	return n
}

// stands is a part's metal where it stands, worked out once.
func (ev *evaluator) stands(p *part) *joining.Metal {
	if ev.metals[p] == nil {
		if ev.metals == nil {
			ev.metals = map[*part]*joining.Metal{}
		}
		ev.metals[p] = joining.MetalOf(p.flattened)
	}
	return ev.metals[p]
}

// turnedFasteners lays the fasteners of a patch with their heads on the other side.
func (ev *evaluator) turnedFasteners(s *syntax.Join, p join.Patch, f join.Fastener, own stated, made int) []join.Fixing {
	f.Inner = !f.Inner
	return ev.fasten(s, p, f, own, made)
}

// otherHead proposes to have the heads of a join on the other side.
func (ev *evaluator) otherHead(s *syntax.Join) *diag.Fix {
	call, ok := s.By.(*syntax.Call)
	if !ok || !ev.prog.Own(call.At.Source) {
		return nil
	}
	edit, other := diag.Edit{Span: call.At, Text: ", head: inner"}, "inner"
	edit.Span.Start, edit.Span.End = call.At.End-1, call.At.End-1
	for _, a := range call.Args {
		if a.Label == nil || a.Label.Name != "head" {
			continue
		}
		if n, ok := a.Value.(*syntax.Name); ok && n.Name == "inner" {
			other = "outer"
		}
		edit = diag.Edit{Span: a.Value.Span(), Text: other}
	}
	return &diag.Fix{Message: fmt.Sprintf("write `head: %s`: from the other side it is reached", other), Edits: []diag.Edit{edit}}
}
