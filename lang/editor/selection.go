package editor

import (
	"context"
	"slices"

	"go.lsp.dev/protocol"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// SelectionRange grows a selection from the word at each place outward: word, value,
// argument list, clause, statement, panel, text.
func (s *server) SelectionRange(ctx context.Context, p *protocol.SelectionRangeParams) ([]protocol.SelectionRange, error) {
	snap, err := s.snap(ctx, p.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	out := []protocol.SelectionRange{}
	for _, at := range p.Positions {
		out = append(out, snap.selection(snap.idx.offset(at)))
	}
	return out, nil
}

// selection is the innermost range around offset, with all those around it.
func (snap *snapshot) selection(offset int) protocol.SelectionRange {
	spans := snap.spansAround(offset)
	slices.SortStableFunc(spans, func(a, b diag.Span) int { return int(a.End-a.Start) - int(b.End-b.Start) })
	nested := spans[:0] // where two touch at offset, the lesser counts
	for _, sp := range spans {
		if n := len(nested); n == 0 || sp != nested[n-1] && sp.Start <= nested[n-1].Start && nested[n-1].End <= sp.End {
			nested = append(nested, sp)
		}
	}
	at := &protocol.SelectionRange{Range: snap.idx.rangeOf(0, len(snap.idx.text))}
	for _, sp := range slices.Backward(nested) {
		if r := snap.rangeOf(sp); r != at.Range {
			at = &protocol.SelectionRange{Range: r, Parent: at}
		}
	}
	return *at
}

// spansAround are the tree's nodes, the declarations, and the brackets with and without
// what encloses them, that hold offset, and the token there.
func (snap *snapshot) spansAround(offset int) []diag.Span {
	var out []diag.Span
	add := func(start, end int) {
		if start <= offset && offset <= end && start < end {
			out = append(out, diag.Span{Source: snap.src, Start: int32(start), End: int32(end)})
		}
	}
	syntax.InspectFile(snap.file, func(n syntax.Node) bool {
		sp := n.Span()
		add(int(sp.Start), int(sp.End))
		switch x := n.(type) {
		case *syntax.Param:
			add(int(x.Decl.At.Start), int(x.Decl.At.End))
		case *syntax.Panel:
			for i := range x.Params {
				add(int(x.Params[i].At.Start), int(x.Params[i].At.End))
			}
		case *syntax.Call:
			for i := range x.Args {
				from := x.Args[i].Value.Span()
				if l := x.Args[i].Label; l != nil {
					from = diag.Cover(l.At, from)
				}
				add(int(from.Start), int(from.End))
			}
		}
		return int(sp.Start) <= offset && offset <= int(sp.End)
	})
	var open []token
	for _, t := range code0(snap.tokens()) {
		switch t.text {
		case "(", "[", "{":
			open = append(open, t)
		case ")", "]", "}":
			if n := len(open); n > 0 {
				add(open[n-1].start, t.end)
				add(open[n-1].end, t.start)
				open = open[:n-1]
			}
		default:
			if t.kind != syntax.PunctToken {
				add(t.start, t.end)
			}
		}
	}
	return out
}
