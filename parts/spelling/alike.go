package spelling

import (
	"fmt"
	"strings"
)

// alike are letters of other alphabets by the Latin ones that they look like in most
// typefaces, one for one; from memory, after the lists by which the Unicode Standard's
// annex 39 tells names apart.
var alike = func() map[rune]rune {
	out := map[rune]rune{}
	for _, s := range [...]struct{ other, latin string }{
		{"аеорсухіјѕԁһԛԝѵ", "aeopcyxijsdhqwv"}, // Cyrillic
		{"АВЕЗКМНОРСТУХІЈЅ", "ABE3KMHOPCTYXIJS"},
		{"οανρυικτωγ", "oavpuiktwy"}, // Greek
		{"ΑΒΕΖΗΙΚΜΝΟΡΤΥΧ", "ABEZHIKMNOPTYX"},
		{"օոսհցզ", "onuhgq"}, // Armenian
		{"ıɡɑ", "iga"},       // Latin letters that no keyboard for English has
	} {
		latin := []rune(s.latin)
		for i, r := range []rune(s.other) {
			out[r] = latin[i]
		}
	}
	for r := rune('!'); r <= '~'; r++ { // full width
		out[r+fullWidth] = r
	}
	return out
}()

// fullWidth is how far the full-width characters stand behind the plain ones.
const fullWidth = 0xFEE0

// LookAlike is the plain character that one of another alphabet looks like.
func LookAlike(r rune) (plain rune, ok bool) {
	plain, ok = alike[r]
	return plain, ok
}

// Plain is a name with plain characters for those of other alphabets that look like them.
func Plain(name string) string {
	return strings.Map(func(r rune) rune {
		if p, ok := alike[r]; ok {
			return p
		}
		return r
	}, name)
}

// Strangers are sentences on the characters of a name that look like plain ones and are
// not, each character once; none of a name without a plain letter beside them, which is
// written in that alphabet.
func Strangers(name string) []string {
	if !strings.ContainsFunc(Plain(name), isPlain) {
		return nil
	}
	var out []string
	told := map[rune]bool{}
	for _, r := range name {
		if p, ok := alike[r]; ok && !told[r] {
			told[r] = true
			out = append(out, Stranger(name, r, p))
		}
	}
	return out
}

// Stranger is a sentence on a character that looks like a plain one.
func Stranger(in string, r, plain rune) string {
	if in == string(r) {
		return fmt.Sprintf("`%c` is U+%04X, a %s character; it only looks like a plain %c", r, r, alphabet(r), plain)
	}
	return fmt.Sprintf("the `%c` in `%s` is U+%04X, a %s character; it only looks like a plain %c", r, in, r, alphabet(r), plain)
}

func isPlain(r rune) bool { return r < 0x80 }

// alphabet is the name of what a look-alike belongs to.
func alphabet(r rune) string {
	switch {
	case r >= 0x0370 && r < 0x0400:
		return "Greek"
	case r >= 0x0400 && r < 0x0530:
		return "Cyrillic"
	case r >= 0x0530 && r < 0x0590:
		return "Armenian"
	case r >= fullWidth:
		return "full-width"
	}
	return "foreign"
}
