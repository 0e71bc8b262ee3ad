package panel

import "unicode/utf8"

// letterWidth is what a letter takes, of a capital's height: an ordinary sans-serif has
// 0.6 to 0.7 in a drawing program's default style (common practice, no source).
const letterWidth = 0.65

// TextWidth is about how wide marked text is, in mm, its capitals height mm high: the
// letters are the cutter's.
func TextWidth(text string, height float64) float64 {
	return float64(float64(utf8.RuneCountInString(text)) * letterWidth * height)
}
