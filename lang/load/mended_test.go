package load

import (
	"math/rand"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"perch/lang/diag"
	"perch/parts/shop"
)

// slips of meaning: what a hand makes of a word or a number, "" where it does not apply.
var slips = map[string]func(token string) string{
	"two letters swapped": func(t string) string {
		if len(t) < 4 || t[1] == t[2] || t[0] >= '0' && t[0] <= '9' {
			return ""
		}
		return t[:1] + t[2:3] + t[1:2] + t[3:]
	},
	"a letter dropped": func(t string) string {
		if len(t) < 4 || t[0] >= '0' && t[0] <= '9' {
			return ""
		}
		return t[:2] + t[3:]
	},
	"no unit": func(t string) string { return unit(t, "") },
	"another unit": func(t string) string {
		if m := number.FindStringSubmatch(t); m != nil && m[2] == "deg" {
			return unit(t, "mm")
		}
		return unit(t, "deg")
	},
}

var (
	token  = regexp.MustCompile(`[A-Za-z_]\w*|\d[\d.]*(mm|deg)\b`)
	number = regexp.MustCompile(`^(\d[\d.]*)(mm|deg)$`)
)

func unit(t, other string) string {
	m := number.FindStringSubmatch(t)
	if m == nil {
		return ""
	}
	return m[1] + other
}

// TestFixesOfSlipsMend slips once in a design, in a word or a number, and applies each fix
// that is offered for it, by itself: fewer mistakes are left.
func TestFixesOfSlipsMend(t *testing.T) {
	files, err := filepath.Glob("../../examples/*/*.perch")
	if err != nil || len(files) == 0 {
		t.Fatal("no examples", err)
	}
	facts := shop.Default()
	check := func(text string) []diag.Diagnostic {
		_, diags, err := Source(diag.NewSource("slip.perch", text), Library(), facts)
		if err != nil {
			t.Fatal(err)
		}
		return diags
	}
	every := 12
	if testing.Short() {
		every = 60
	}
	rnd := rand.New(rand.NewSource(3))
	tried, told, once := 0, 0, 0
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		source := string(b)
		if len(check(source)) > 0 { // it uses files of its own
			continue
		}
		for _, at := range token.FindAllStringIndex(source, -1) {
			for _, kind := range []string{"two letters swapped", "a letter dropped", "no unit", "another unit"} {
				if rnd.Intn(every) > 0 {
					continue
				}
				wrong := slips[kind](source[at[0]:at[1]])
				if wrong == "" {
					continue
				}
				text := source[:at[0]] + wrong + source[at[1]:]
				got := check(text)
				if len(got) == 0 {
					continue
				}
				told++
				if len(got) == 1 {
					once++
				}
				for _, d := range got {
					if d.Fix == nil || d.Fix.Edits[0].Span.Source.Name != "slip.perch" {
						continue
					}
					tried++
					if left := check(d.Fix.Apply(text)); len(left) >= len(got) {
						t.Errorf("%s: %s %s: %d mistakes, and %d with the fix\n%s\nthen\n%s", name, source[at[0]:at[1]], kind, len(got), len(left), d, left[0])
					}
				}
			}
		}
	}
	t.Logf("%d slips told, %d of them once, %d fixes tried", told, once, tried)
	if tried < 50 {
		t.Error("too few fixes were tried")
	}
}
