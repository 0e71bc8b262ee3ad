package diag

import (
	"math"
	"sort"
	"strings"
	"unicode/utf8"
)

const byteOrderMark = "\ufeff"

// Position is a place as an editor shows it: both counts start at 1 and the
// column counts Unicode code points. The zero Position means "no place".
type Position struct{ Line, Column int }

// NewSource indexes text by line. A line ends at '\n'; a '\r' before it and a
// byte order mark at the start belong to no column. Offsets count the bytes of
// text as given, marks included. Texts past 2 GiB are cut there, since offsets
// are 32 bits wide.
func NewSource(name, text string) *Source {
	if len(text) > math.MaxInt32 {
		text = text[:math.MaxInt32]
	}
	return &Source{Name: name, Text: text, lines: lineStarts(text)}
}

func lineStarts(text string) []int32 {
	lines := make([]int32, 1, strings.Count(text, "\n")+1)
	for i := 0; ; {
		k := strings.IndexByte(text[i:], '\n')
		if k < 0 {
			return lines
		}
		i += k + 1
		lines = append(lines, int32(i))
	}
}

// starts returns the line index, also for a Source made without NewSource.
func (s *Source) starts() []int32 {
	if s.lines == nil {
		return lineStarts(s.Text)
	}
	return s.lines
}

// LineCount is the number of lines; an empty text has one.
func (s *Source) LineCount() int {
	if s == nil {
		return 0
	}
	return len(s.starts())
}

// lineBounds gives the byte range of line n (from 1) without its line end and
// without a leading byte order mark.
func (s *Source) lineBounds(n int) (start, end int) {
	lines := s.starts()
	if n < 1 || n > len(lines) {
		return 0, 0
	}
	start, end = int(lines[n-1]), len(s.Text)
	if n < len(lines) {
		end = int(lines[n]) - 1
	}
	if end > start && s.Text[end-1] == '\r' {
		end--
	}
	if n == 1 && strings.HasPrefix(s.Text[:end], byteOrderMark) {
		start += len(byteOrderMark)
	}
	return start, end
}

// Line returns the text of line n, counted from 1, without its line end; ""
// where there is no such line.
func (s *Source) Line(n int) string {
	if s == nil {
		return ""
	}
	start, end := s.lineBounds(n)
	return s.Text[start:end]
}

// Position finds the line and column of a byte offset; offsets outside the
// text are moved to its nearest end.
func (s *Source) Position(offset int32) Position {
	if s == nil {
		return Position{}
	}
	off := min(max(int(offset), 0), len(s.Text))
	lines := s.starts()
	n := sort.Search(len(lines), func(i int) bool { return int(lines[i]) > off })
	start, end := s.lineBounds(n)
	off = max(min(off, end), start)
	for off > start && off < len(s.Text) && !utf8.RuneStart(s.Text[off]) {
		off--
	}
	return Position{Line: n, Column: utf8.RuneCountInString(s.Text[start:off]) + 1}
}

// Offset is the inverse of Position: the byte offset of a line and column, each
// moved to the nearest one that exists.
func (s *Source) Offset(p Position) int32 {
	if s == nil {
		return 0
	}
	n := min(max(p.Line, 1), s.LineCount())
	start, end := s.lineBounds(n)
	for col := 1; col < p.Column && start < end; col++ {
		_, size := utf8.DecodeRuneInString(s.Text[start:end])
		start += size
	}
	return int32(start)
}

// IsZero reports whether sp is "no place".
func (sp Span) IsZero() bool { return sp.Source == nil }

// clamp returns sp's bounds moved into its source and put in order.
func (sp Span) clamp() (start, end int) {
	if sp.Source == nil {
		return 0, 0
	}
	n := len(sp.Source.Text)
	start = min(max(int(sp.Start), 0), n)
	end = min(max(int(sp.End), start), n)
	return start, end
}

// Text is the text under sp; "" for no place.
func (sp Span) Text() string {
	if sp.Source == nil {
		return ""
	}
	start, end := sp.clamp()
	return sp.Source.Text[start:end]
}

// Position is where sp starts; zero for no place.
func (sp Span) Position() Position { return sp.Source.Position(sp.Start) }

// EndPosition is the place just after sp; zero for no place.
func (sp Span) EndPosition() Position { return sp.Source.Position(sp.End) }

// Before is the empty span at sp's start, where a Fix inserts text.
func (sp Span) Before() Span { return Span{sp.Source, sp.Start, sp.Start} }

// After is the empty span at sp's end, where a Fix appends text.
func (sp Span) After() Span { return Span{sp.Source, sp.End, sp.End} }

// Cover is the shortest span that holds both a and b. No place adds nothing;
// of spans from two sources, a wins.
func Cover(a, b Span) Span {
	switch {
	case a.Source == nil:
		return b
	case b.Source == nil || a.Source != b.Source:
		return a
	}
	return Span{a.Source, min(a.Start, b.Start), max(a.End, b.End)}
}
