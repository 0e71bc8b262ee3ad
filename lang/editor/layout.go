package editor

import (
	"context"
	"strings"

	"go.lsp.dev/protocol"

	"perch/lang/diag"
	"perch/lang/format"
	"perch/lang/syntax"
)

// Formatting brings a text into its canonical form. A text with syntax mistakes
// is left as it is.
func (s *server) Formatting(ctx context.Context, p *protocol.DocumentFormattingParams) ([]protocol.TextEdit, error) {
	snap, err := s.snap(ctx, p.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	edits, bad := format.Edits(snap.src)
	return snap.textEdits(edits, bad)
}

// RangeFormatting does so for the lines of a range.
func (s *server) RangeFormatting(ctx context.Context, p *protocol.DocumentRangeFormattingParams) ([]protocol.TextEdit, error) {
	snap, err := s.snap(ctx, p.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	from, to := snap.idx.offset(p.Range.Start), snap.idx.offset(p.Range.End)
	if to > from && p.Range.End.Character == 0 {
		to-- // an end at the start of a line takes nothing of it
	}
	first, last := snap.src.Position(int32(from)).Line, snap.src.Position(int32(to)).Line
	edits, bad := format.Range(snap.src, first, last)
	return snap.textEdits(edits, bad)
}

func (snap *snapshot) textEdits(edits []diag.Edit, bad []diag.Diagnostic) ([]protocol.TextEdit, error) {
	if len(bad) > 0 {
		return nil, refused("a text with syntax mistakes is not formatted: %s (line %d)", bad[0].Summary, bad[0].Span.Position().Line)
	}
	out := []protocol.TextEdit{}
	for _, e := range edits {
		out = append(out, protocol.TextEdit{Range: snap.rangeOf(e.Span), NewText: e.Text})
	}
	return out, nil
}

// FoldingRanges are the blocks, the brackets over several lines, runs of
// comments, and the imports.
func (s *server) FoldingRanges(ctx context.Context, p *protocol.FoldingRangeParams) ([]protocol.FoldingRange, error) {
	snap, err := s.snap(ctx, p.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	return snap.folds(), nil
}

func (snap *snapshot) folds() []protocol.FoldingRange {
	out := []protocol.FoldingRange{}
	add := func(first, last uint32, kind protocol.FoldingRangeKind) {
		if last > first {
			out = append(out, protocol.FoldingRange{StartLine: first, EndLine: last, Kind: kind})
		}
	}
	line := func(offset int) uint32 { return snap.idx.position(offset).Line }
	var open []token
	comment := [2]uint32{1, 0} // first and last line of the run at hand
	for _, t := range snap.tokens() {
		if t.kind == syntax.CommentToken {
			n := line(t.start)
			start, _ := snap.idx.line(int(n))
			if strings.TrimSpace(snap.idx.text[start:t.start]) != "" {
				continue // behind code
			}
			if n != comment[1]+1 || comment[0] > comment[1] {
				add(comment[0], comment[1], protocol.FoldingRangeKindComment)
				comment[0] = n
			}
			comment[1] = n
			continue
		}
		switch t.text {
		case "{", "(", "[":
			open = append(open, t)
		case "}", ")", "]":
			if n := len(open); n > 0 {
				if last := line(t.start); last > 0 {
					add(line(open[n-1].start), last-1, "")
				}
				open = open[:n-1]
			}
		}
	}
	add(comment[0], comment[1], protocol.FoldingRangeKindComment)
	var uses diag.Span
	for _, st := range snap.file.Stmts {
		if u, ok := st.(*syntax.Use); ok {
			uses = diag.Cover(uses, u.At)
		}
	}
	if !uses.IsZero() {
		add(line(int(uses.Start)), line(int(uses.End)), protocol.FoldingRangeKindImports)
	}
	return out
}
