// Package lettering is how perch writes on metal: letters of single strokes, drawn for
// this, that a scribe, an engraver or a marking torch can follow and that need no font.
// It says which strokes a text has and how wide it is; it never says where a text goes.
package lettering

import (
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"perch/parts/plane"
)

// Advance is from a letter's start to the next one's, of a capital's height: every
// letter takes the same, so that a number stays as wide as it was. An ordinary
// sans-serif takes 0.6 to 0.7 in a drawing program's default style (common practice, no
// source), so that text drawn in its font takes about the same room.
const Advance = 0.65

const (
	gridWide = 0.5 / 4 // of a capital's height: a letter is 4 steps of the grid wide …
	gridHigh = 1.0 / 6 // … and a capital 6 high
	accentUp = 2       // steps that a capital's accent stands higher
)

// Width is how wide text is, in mm, its capitals height mm high.
func Width(text string, height float64) float64 {
	return float64(float64(utf8.RuneCountInString(norm.NFC.String(text))) * Advance * height)
}

// Known tells whether every sign of text has strokes of its own; one that has none is
// an empty box.
func Known(text string) bool {
	for _, c := range norm.NFC.String(text) {
		if _, ok := glyph(c); !ok {
			return false
		}
	}
	return true
}

// Strokes are the open lines of text, in mm, its capitals height mm high: its baseline
// starts at the point at and runs along dir, a unit vector.
func Strokes(text string, height float64, at, dir plane.Point) [][]plane.Point {
	var out [][]plane.Point
	for i, c := range []rune(norm.NFC.String(text)) {
		strokes, ok := glyph(c)
		if !ok {
			strokes = []string{box}
		}
		from := float64(float64(i) * Advance)
		for _, s := range strokes {
			var line []plane.Point
			for k := 0; k+1 < len(s); k += 2 {
				x := float64((from + float64(float64(s[k]-'0')*gridWide)) * height)
				y := float64(float64(rise(s[k+1])) * gridHigh * height)
				line = append(line, plane.Point{
					X: at.X + float64(dir.X*x) - float64(dir.Y*y),
					Y: at.Y + float64(dir.Y*x) + float64(dir.X*y),
				})
			}
			out = append(out, line)
		}
	}
	return out
}

// rise is a step of the grid above the baseline; a and b are one and two below it.
func rise(c byte) int {
	if c >= 'a' {
		return 'a' - 1 - int(c)
	}
	return int(c - '0')
}

// glyph is a sign's strokes: its own, or those of a letter and of what stands on it.
func glyph(c rune) ([]string, bool) {
	if s, ok := signs[c]; ok {
		return strings.Fields(s), true
	}
	parts := []rune(norm.NFD.String(string(c)))
	base, ok := signs[parts[0]]
	if !ok || len(parts) == 1 {
		return nil, false
	}
	out := strings.Fields(base)
	if parts[0] == 'i' || parts[0] == 'j' {
		out = out[:len(out)-1] // its dot makes room
	}
	for _, m := range parts[1:] {
		accent, ok := accents[m]
		if !ok {
			return nil, false
		}
		for _, s := range strings.Fields(accent) {
			if 'A' <= parts[0] && parts[0] <= 'Z' && s[1] < 'a' && s[1] > '2' {
				s = lifted(s)
			}
			out = append(out, s)
		}
	}
	return out, true
}

// lifted is a stroke as it stands on a capital.
func lifted(s string) string {
	b := []byte(s)
	for i := 1; i < len(b); i += 2 {
		b[i] += accentUp
	}
	return string(b)
}
