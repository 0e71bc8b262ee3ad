package spelling

import (
	"strings"
	"testing"
	"unicode"
)

// TestLookAlikes: each of the letters is of the alphabet that it is said to be of, and none of
// the plain ones is there; names with them are found by plain ones, and the other way.
func TestLookAlikes(t *testing.T) {
	tables := map[string]*unicode.RangeTable{"Greek": unicode.Greek, "Cyrillic": unicode.Cyrillic, "Armenian": unicode.Armenian, "foreign": unicode.Latin}
	for r, p := range alike {
		if p > '~' || r <= '~' {
			t.Errorf("%c looks like %c", r, p)
		}
		if table := tables[alphabet(r)]; table != nil && !unicode.Is(table, r) {
			t.Errorf("%c is said to be %s", r, alphabet(r))
		}
	}
	for _, c := range []struct{ wrong, known, told string }{
		{"stеel", "steel", "the `е` in `stеel` is U+0435, a Cyrillic character; it only looks like a plain e"},
		{"οne", "one", "the `ο` in `οne` is U+03BF, a Greek character; it only looks like a plain o"},
		{"ｗide", "wide", "the `ｗ` in `ｗide` is U+FF57, a full-width character; it only looks like a plain w"},
		{"аb", "ab", "the `а` in `аb` is U+0430, a Cyrillic character; it only looks like a plain a"},
		{"ab", "аb", ""},
		{"größe", "grösse", ""},
		{"осень", "x", ""}, // a word of its own alphabet has its own letters
	} {
		if got := strings.Join(Strangers(c.wrong), "; "); got != c.told && !(c.known == "x") {
			t.Errorf("%s: told %q", c.wrong, got)
		}
		if got := Nearest(c.wrong, []string{"apart", c.known, "zebra"}); c.known != "x" && c.wrong != "größe" && got != c.known {
			t.Errorf("%s: nearest is %q", c.wrong, got)
		}
	}
}
