package editor

import (
	"math/rand"
	"strings"
	"testing"
	"unicode/utf16"

	"go.lsp.dev/protocol"
)

// TestPositions compares places with a count over the text as UTF-16, and wants
// offset and position to be inverses at every character.
func TestPositions(t *testing.T) {
	for _, text := range []string{
		"", "a", "\n", "a\r\nb\rc\nd", "\ufeffdesign \"x\"\r\n", "“a😀é𝔘”\n😀😀\n", "x\n\n\n", "bad\xffbyte\n\xc3", "\r\r\n\n",
	} {
		x := newLineIndex(text)
		line, char := uint32(0), uint32(0)
		for i, r := range text {
			if i > 0 && text[i-1] == '\r' && r == '\n' {
				continue // inside a line end
			}
			want := protocol.Position{Line: line, Character: char}
			if got := x.position(i); got != want {
				t.Errorf("%q at byte %d: %v, want %v", text, i, got, want)
			}
			if got := x.offset(want); got != i {
				t.Errorf("%q at %v: byte %d, want %d", text, want, got, i)
			}
			if r == '\n' || r == '\r' {
				line, char = line+1, 0
			} else {
				char += uint32(len(utf16.Encode([]rune{r})))
			}
		}
		if got, want := x.position(len(text)), (protocol.Position{Line: line, Character: char}); got != want {
			t.Errorf("%q at its end: %v, want %v", text, got, want)
		}
	}
	x := newLineIndex("😀b\nc")
	for p, want := range map[protocol.Position]int{
		{Line: 0, Character: 1}: 0, {Line: 0, Character: 2}: 4, {Line: 0, Character: 99}: 5,
		{Line: 7, Character: 0}: 7, {Line: 1<<32 - 1, Character: 1<<32 - 1}: 7, {Line: 1, Character: 1 << 31}: 7,
	} {
		if got := x.offset(p); got != want {
			t.Errorf("%v is byte %d, want %d", p, got, want)
		}
	}
}

// TestApply makes random changes one by one and wants the stretch that apply
// returns to be all that changed.
func TestApply(t *testing.T) {
	rnd := rand.New(rand.NewSource(1))
	letters := []string{"a", "b\n", "😀", "é\r\n", "", "xyz", "\r"}
	for range 2000 {
		var b strings.Builder
		for range rnd.Intn(12) {
			b.WriteString(letters[rnd.Intn(len(letters))])
		}
		old := newLineIndex(b.String())
		text := old.text
		var changes []protocol.TextDocumentContentChangeEvent
		x := old
		for range 1 + rnd.Intn(3) {
			put := letters[rnd.Intn(len(letters))]
			if rnd.Intn(9) == 0 {
				changes = append(changes, &protocol.TextDocumentContentChangeWholeDocument{Text: put})
				text = put
			} else {
				r := x.rangeOf(rnd.Intn(len(text)+1), rnd.Intn(len(text)+1))
				from, to := x.offset(r.Start), x.offset(r.End)
				to = max(from, to)
				changes = append(changes, &protocol.TextDocumentContentChangePartial{Range: r, Text: put})
				text = text[:from] + put + text[to:]
			}
			x = newLineIndex(text)
		}
		got, ch := apply(old, changes)
		if got.text != text {
			t.Fatalf("%q became %q, want %q", old.text, got.text, text)
		}
		if ch.start < 0 || ch.end > len(old.text) || old.text[:ch.start]+text[ch.start:ch.start+ch.fresh]+old.text[ch.end:] != text {
			t.Fatalf("%q became %q, which is not what %v says", old.text, text, ch)
		}
	}
}
