package editor

import (
	"sort"
	"strings"
	"unicode/utf8"

	"go.lsp.dev/protocol"
)

// lineIndex finds places in a text as the protocol counts them: lines from 0,
// ended by "\n", "\r\n" or "\r", and columns in UTF-16 code units from 0. A
// byte order mark is a unit of its line, as it is for the client that sent it.
// Bytes that are not UTF-8 count one unit each.
type lineIndex struct {
	text   string
	starts []int // byte offset of each line
}

func newLineIndex(text string) *lineIndex {
	starts := make([]int, 1, strings.Count(text, "\n")+1)
	for i := 0; i < len(text); {
		k := strings.IndexAny(text[i:], "\r\n")
		if k < 0 {
			break
		}
		i += k + 1
		if text[i-1] == '\r' && i < len(text) && text[i] == '\n' {
			i++
		}
		starts = append(starts, i)
	}
	return &lineIndex{text: text, starts: starts}
}

// line gives the byte range of line n, from 0, without its line end.
func (x *lineIndex) line(n int) (start, end int) {
	start, end = x.starts[n], len(x.text)
	if n+1 < len(x.starts) {
		end = x.starts[n+1]
	}
	for end > start && (x.text[end-1] == '\n' || x.text[end-1] == '\r') {
		end--
	}
	return start, end
}

// offset is the byte offset of p; places past the end of a line or of the text
// are moved to it, places inside a character to its start.
func (x *lineIndex) offset(p protocol.Position) int {
	if int64(p.Line) >= int64(len(x.starts)) {
		return len(x.text)
	}
	at, end := x.line(int(p.Line))
	for units := int64(p.Character); units > 0 && at < end; {
		r, size := utf8.DecodeRuneInString(x.text[at:end])
		if units -= int64(width(r)); units < 0 {
			break
		}
		at += size
	}
	return at
}

// position is the inverse of offset.
func (x *lineIndex) position(offset int) protocol.Position {
	offset = min(max(offset, 0), len(x.text))
	n := sort.SearchInts(x.starts, offset+1) - 1
	start, end := x.line(n)
	units := 0
	for at := start; at < min(offset, end); {
		r, size := utf8.DecodeRuneInString(x.text[at:end])
		if at+size > offset {
			break
		}
		units += width(r)
		at += size
	}
	return protocol.Position{Line: uint32(n), Character: uint32(units)}
}

func (x *lineIndex) rangeOf(start, end int) protocol.Range {
	return protocol.Range{Start: x.position(start), End: x.position(end)}
}

// units is how long a text is in UTF-16 code units.
func units(text string) int {
	n := 0
	for _, r := range text {
		n += width(r)
	}
	return n
}

func width(r rune) int {
	if r >= 0x10000 {
		return 2
	}
	return 1
}

// change is a stretch of a text that was replaced: its bytes, and how many
// stand there now.
type change struct{ start, end, fresh int }

// apply makes the changes of one notification, each on the result of the one
// before. It also returns the stretch of the old text outside of which nothing
// changed.
func apply(old *lineIndex, changes []protocol.TextDocumentContentChangeEvent) (*lineIndex, change) {
	x := old
	all := change{start: -1}
	for _, c := range changes {
		switch c := c.(type) {
		case *protocol.TextDocumentContentChangeWholeDocument:
			all = change{0, len(old.text), len(c.Text)}
			x = newLineIndex(c.Text)
		case *protocol.TextDocumentContentChangePartial:
			from, to := x.offset(c.Range.Start), x.offset(c.Range.End)
			to = max(from, to)
			all = all.then(change{from, to, len(c.Text)})
			x = newLineIndex(x.text[:from] + c.Text + x.text[to:])
		}
	}
	if all.start < 0 {
		all = change{}
	}
	return x, all
}

// then is the stretch that c and, after it, next changed together.
func (c change) then(next change) change {
	if c.start < 0 {
		return next
	}
	grown := c.fresh - (c.end - c.start)
	end := next.end // in the text between the two
	if end >= c.start+c.fresh {
		end -= grown
	} else {
		end = c.end
	}
	end = max(end, c.end)
	start := min(c.start, next.start)
	return change{start, end, end - start + grown + next.fresh - (next.end - next.start)}
}
