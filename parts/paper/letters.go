package paper

import (
	"fmt"
	"strings"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"perch/parts/decimal"
)

// The fonts are Go's own, embedded in the font module under a BSD licence: Latin, Greek and
// Cyrillic. In them a capital is 0.7227 of the letters' size.
const (
	Body    = 10 / perMM // of all text, least: a capital is 2.55 mm
	Large   = 14 / perMM // of headings
	Huge    = 22 / perMM // of a cover's name
	Leading = 1.28       // from line to line, in sizes
	ascent  = 0.945      // of the fonts over the baseline, in sizes
	descent = 0.211      // … and below it
)

// perMM is how many points, the unit of a PDF and of letters, make a mm.
const perMM = 72 / 25.4

// Style of text.
type Style struct {
	Size float64 // Body where it is 0
	Bold bool
	Ink  Ink
}

func (s Style) size() float64 {
	if s.Size == 0 {
		return Body
	}
	return s.Size
}

// Lead is the distance from line to line.
func (s Style) Lead() float64 { return float64(s.size() * Leading) }

// Widths of the text in the style. A sign that the fonts lack counts as it is drawn.
func (s Style) Width(text string) float64 {
	return float64(face(s.Bold).width(spelled(text)) * s.size())
}

// Lacking are the signs of a text that the fonts have no letter for, each once, in order.
func Lacking(text string) []rune {
	var out []rune
	for _, r := range text {
		if !shown(r) && !strings.ContainsRune(string(out), r) {
			out = append(out, r)
		}
	}
	return out
}

// spelled is the text as it is drawn: a sign that the fonts lack by its number, U+6F22, and
// ends of lines, tabs and signs of control as a blank.
func spelled(text string) string {
	plain, thin, bold := true, face(false), face(true)
	for _, r := range text {
		plain = plain && r >= ' ' && thin.has(r) && bold.has(r)
	}
	if plain {
		return text
	}
	var b strings.Builder
	for _, r := range text {
		switch {
		case r < ' ' || r == 0x7f:
			b.WriteByte(' ')
		case shown(r):
			b.WriteRune(r)
		default:
			fmt.Fprintf(&b, "[U+%04X]", r)
		}
	}
	return b.String()
}

func shown(r rune) bool { return r < ' ' || face(false).has(r) && face(true).has(r) }

// typeface measures a font's letters.
type typeface struct {
	data []byte
	font *sfnt.Font

	common [0x500]float64 // widths, in sizes, of Latin, Greek and Cyrillic; below 0: there is none

	mu     sync.Mutex
	buf    sfnt.Buffer
	widths map[rune]float64 // of all others
}

var faces = [2]func() *typeface{
	sync.OnceValue(func() *typeface { return readFace(goregular.TTF) }),
	sync.OnceValue(func() *typeface { return readFace(gobold.TTF) }),
}

func face(bold bool) *typeface {
	if bold {
		return faces[1]()
	}
	return faces[0]()
}

// readFace reads an embedded font, which is part of the program: it can't fail.
func readFace(ttf []byte) *typeface {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		panic(fmt.Sprintf("the embedded font can't be read: %v", err))
	}
	t := &typeface{data: ttf, font: f, widths: map[rune]float64{}}
	for r := range t.common {
		t.common[r] = t.look(rune(r))
	}
	return t
}

// advance of a letter in sizes, to a thousandth as a PDF has it; −1 where there is none.
func (t *typeface) advance(r rune) float64 {
	if r >= 0 && int(r) < len(t.common) {
		return t.common[r]
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	w, ok := t.widths[r]
	if !ok {
		w = t.look(r)
		t.widths[r] = w
	}
	return w
}

// look asks the font for an advance.
func (t *typeface) look(r rune) float64 {
	em := fixed.I(int(t.font.UnitsPerEm()))
	if i, err := t.font.GlyphIndex(&t.buf, r); err == nil && i != 0 {
		if a, err := t.font.GlyphAdvance(&t.buf, i, em, font.HintingNone); err == nil {
			return decimal.Round(float64(a)/float64(em), 3)
		}
	}
	return -1
}

func (t *typeface) has(r rune) bool { return t.advance(r) >= 0 }

func (t *typeface) width(text string) float64 { return t.on(0, text) }

// on is how far a line goes, in sizes, that went to w before the text.
func (t *typeface) on(w float64, text string) float64 {
	for _, r := range text {
		w += max(0, t.advance(r))
	}
	return w
}

// Wrap breaks a text into lines no wider than wide, at blanks; a word that is wider than a
// line is broken where it must be. There is always a line.
func Wrap(text string, style Style, wide float64) []string {
	var lines []string
	for _, part := range strings.Split(text, "\n") {
		lines = append(lines, wrapLine(part, style, wide)...)
	}
	return lines
}

// sumTol is what a column that is as wide as its text may miss by rounding, in mm.
const sumTol = 1e-6

func wrapLine(text string, style Style, wide float64) []string {
	var lines []string
	letters := face(style.Bold)
	line, far := "", 0.0 // and how far it goes, in sizes
	for _, word := range strings.Fields(text) {
		if line != "" {
			if with := letters.on(far, spelled(" "+word)); float64(with*style.size()) <= wide+sumTol {
				line, far = line+" "+word, with
				continue
			}
			lines = append(lines, line)
		}
		for style.Width(word) > wide+sumTol {
			n := fitting(word, style, wide)
			lines = append(lines, word[:n])
			word = word[n:]
		}
		line, far = word, letters.width(spelled(word))
	}
	if line != "" || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// fitting is how many bytes of a word go into a line, at least one letter.
func fitting(word string, style Style, wide float64) int {
	end := 0
	for i, r := range word {
		next := i + len(string(r))
		if end > 0 && style.Width(word[:next]) > wide+sumTol {
			break
		}
		end = next
	}
	return end
}

// Shorten leaves out of a text's middle what does not go into wide, and shows by … that
// something is left out.
func Shorten(text string, style Style, wide float64) string {

	if style.Width(text) <= wide {
		return text
	}
	rs := []rune(text)
	for keep := len(rs) - 1; keep > 0; keep-- {
		head := (keep + 1) / 2
		if s := string(rs[:head]) + "…" + string(rs[len(rs)-(keep-head):]); style.Width(s) <= wide {
			return s
		}
	}
	return "…"
}
