package rules_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/shop"
)

// family is a sound design of n frames that hang together by rules, one
// statement a line.
func family(r *rand.Rand, n int) []string {
	lines := []string{`design "Frames"`}
	for i := range n {
		h, w := 300+10*r.IntN(40), 200+10*r.IntN(30)
		lines = append(lines,
			fmt.Sprintf("param h%d: length in 100mm..2000mm = %dmm", i, h),
			fmt.Sprintf("param w%d: length in 50mm..3000mm = %dmm", i, w),
			fmt.Sprintf("param s%d: angle in 0deg..30deg = %ddeg", i, 2+r.IntN(10)),
			fmt.Sprintf("param f%d: length in 50mm..6000mm", i),
			fmt.Sprintf("param g%d: length in 10mm..9000mm", i),
			fmt.Sprintf("rule f%d = w%d + 2 * h%d * tan(s%d)", i, i, i, i),
			fmt.Sprintf("rule g%d ^ 2 = f%d ^ 2 + h%d ^ 2", i, i, i),
		)
	}
	return lines
}

// plant breaks a design in one of four ways and returns what was broken, a part
// of a line or a name, and whether the fault leaves names open.
func plant(r *rand.Rand, lines []string, kind int) (text []string, fault string, open bool) {
	k := 1 + 7*r.IntN((len(lines)-1)/7) // the first line of a frame
	i := (k - 1) / 7
	text = append([]string{}, lines...)
	switch kind {
	case 0: // a rule dropped
		at := k + 5 + r.IntN(2)
		name := fmt.Sprintf("%s%d", "fg"[at-k-5:at-k-4], i)
		return append(text[:at:at], text[at+1:]...), name, true
	case 1: // a rule again, with another number in it
		dup := strings.Replace(text[k+5], "+ 2 *", "+ 3 *", 1)
		return append(text, dup), dup, false
	case 2: // a rule that contradicts what is stated
		c := fmt.Sprintf("rule f%d = %dmm", i, 5000+r.IntN(900))
		return append(text, c), c, false
	default: // a digit too many in a number
		text[k+1] = strings.Replace(text[k+1], "mm..3000mm = ", "mm..30000mm = 9", 1)
		return text, text[k+1][strings.LastIndex(text[k+1], " ")+1:], false
	}
}

// TestBrokenDesignsAreUnderstood plants one fault in each of 200 designs: the
// report speaks of it, and of few other statements.
func TestBrokenDesignsAreUnderstood(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	shop := shop.Default()
	others := map[int]int{}
	for n := range 200 {
		lines, fault, open := plant(r, family(r, 1+r.IntN(8)), n%4)
		text := strings.Join(lines, "\n") + "\n"
		prog, diags, err := load.Source(diag.NewSource("frames.perch", text), load.Library(), shop)
		if err != nil || diag.HasErrors(diags) {
			t.Fatalf("%d: %v %v\n%s", n, err, diags, text)
		}
		_, diags = build.Size(prog, "only", shop, nil)
		if len(diags) != 1 {
			t.Fatalf("%d: %d diagnostics\n%s", n, len(diags), text)
		}
		d := diags[0]
		if open {
			if d.Code != "P3002" || !strings.Contains(d.Summary, fault) {
				t.Errorf("%d: %s is open, but the report is %s %s", n, fault, d.Code, d.Summary)
			}
			others[strings.Count(strings.TrimPrefix(d.Summary, "nothing fixes "), " and ")+strings.Count(d.Summary, ",")]++
			continue
		}
		spans := []string{d.Span.Text()}
		for _, rel := range d.Related {
			if !strings.Contains(rel.Message, "range") {
				spans = append(spans, rel.Span.Text())
			}
		}
		found := false
		for _, s := range spans {
			found = found || s == fault
		}
		if !found || d.Code != "P3001" {
			t.Errorf("%d: %q is not in the report %s %q", n, fault, d.Code, spans)
		}
		others[len(spans)-1]++
	}
	few := 0
	for k := range 20 {
		if others[k] > 0 {
			t.Logf("%d other statements: %d designs", k, others[k])
		}
		if k <= 3 {
			few += others[k]
		}
	}
	if few < 190 {
		t.Errorf("only %d of 200 reports name at most 3 other statements", few)
	}
}
