package editor

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"go.lsp.dev/protocol"

	"perch/lang/build"
	"perch/lang/syntax"
)

// unstated are the origins of values that no text gives.
var unstated = map[string]bool{"rule": true, "choice": true, "largest": true, "smallest": true, "free": true}

// maxInlaid is how many sizes are shown between the lines; the rest stand in the tooltip.
const maxInlaid = 6

// InlayHint shows, behind each param, what it came to at the sizes at which nothing
// states it: at all of them, or at the one that was asked for.
func (s *server) InlayHint(ctx context.Context, p *protocol.InlayHintParams) ([]protocol.InlayHint, error) {
	snap, err := s.snap(ctx, p.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	out := []protocol.InlayHint{}
	n := snap.numbers()
	if n == nil {
		return out, nil
	}
	only := s.shownSize(snap)
	from, to := snap.idx.offset(p.Range.Start), snap.idx.offset(p.Range.End)
	for _, st := range snap.file.Stmts {
		x, ok := st.(*syntax.Param)
		if !ok {
			continue
		}
		at := int(behind(x))
		if at < from || at > to {
			continue
		}
		if label, tip := snap.inlay(n, x.Decl.Name.Name, only); label != "" {
			out = append(out, protocol.InlayHint{
				Position: snap.idx.position(at), Label: protocol.String(label), PaddingLeft: ptr(true), Tooltip: protocol.String(tip)})
		}
	}
	return out, nil
}

// behind is where a param's value is shown: behind all that is stated of it.
func behind(x *syntax.Param) int32 {
	at := x.Decl.Type.At.End
	if x.Decl.Domain != nil {
		at = x.Decl.Domain.At.End
	}
	if x.Decl.Default != nil {
		at = x.Decl.Default.Span().End
	}
	return at
}

// inlay is what to show of a param, and where each value is from; "" for nothing.
func (snap *snapshot) inlay(n *numbers, name, only string) (label, tip string) {
	var sizes, values, tips []string
	for i, size := range n.sizes {
		v, ok := n.by[i][name]
		if !ok || !unstated[v.From] || only != "" && size != only {
			continue
		}
		text := shown(v, snap.program().Shown)
		sizes, values = append(sizes, size), append(values, text)
		tips = append(tips, fmt.Sprintf("at size %s: %s, %s", size, text, origins[v.From]))
	}
	if len(values) == 0 {
		return "", ""
	}
	tip = strings.Join(tips, "\n")
	if everywhere := len(slices.Compact(slices.Clone(values))) == 1; everywhere && (only != "" || len(values) == len(n.sizes)) {
		return "= " + values[0], tip
	}
	for i, v := range values {
		if i == maxInlaid {
			label += ", …"
			break
		}
		if i > 0 {
			label += ", "
		}
		label += sizes[i] + " " + v
	}
	return "= " + label, tip
}

// shownSize is the size whose values alone are shown between the lines, "" for all.
func (s *server) shownSize(snap *snapshot) string {
	s.mu.Lock()
	name := s.sizes[snap.uri]
	s.mu.Unlock()
	if name != "" && !slices.Contains(build.Sizes(snap.program()), name) {
		return "" // it was taken out since
	}
	return name
}

// showSize has the values of one size shown, or of all where none is named.
func (s *server) showSize(ctx context.Context, snap *snapshot, sizes []string) {
	s.mu.Lock()
	if len(sizes) == 0 {
		delete(s.sizes, snap.uri)
	} else {
		s.sizes[snap.uri] = sizes[0]
	}
	s.mu.Unlock()
	s.client.InlayHintRefresh(ctx)
	s.client.CodeLensRefresh(ctx)
}
