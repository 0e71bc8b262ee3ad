package syntax

import (
	"strings"
	"testing"

	"perch/lang/diag"
)

// TestFamiliesOfEverything reads indices and guards of the statements that can have
// them; what they hold is printed.
func TestFamiliesOfEverything(t *testing.T) {
	for text, want := range map[string]string{
		"let spoke[i in 1..12] = polar(60mm, 30deg * i)":                        "spoke [i in 1..12] = polar(60mm, 30deg * i)",
		"let cell[i in 1..2, s in b.sides] = s":                                 "cell [i in 1..2, s in b.sides] = s",
		"body tier[i in 1..3] = box(9mm, 9mm, 9mm * i)":                         "tier [i in 1..3] = box(9mm, 9mm, 9mm * i)",
		"fold wall[i in 1..n - 1] to wall[i + 1] by bend(radius: 3mm) if n > 2": "[i in 1..n - 1] wall[i] to wall[i + 1] by bend(radius: 3mm) if n > 2",
		"fold a[i in xs, 2] to b[i]":                                            "[i in xs] a[i, 2] to b[i]",
		"seam wall[i in xs] to wall[i + 1] by open(1mm) if odd(i)":              "[i in xs] wall[i] to wall[i + 1] by open(1mm) if odd(i)",
		"seam wall by closed() if n > 1":                                        "wall by closed() if n > 1",
		`rule a = b if c "why"`:                                                 "a = b if c \"why\"",
		`rule a = b "why" if c`:                                                 "a = b if c \"why\"",
		"rule a = (if b then c else d) if e":                                    "a = (if b then c else d) if e",
	} {
		in := text
		if strings.HasPrefix(text, "fold") || strings.HasPrefix(text, "seam") {
			in = "panel p() { " + text + " }"
		}
		s := clean(t, in).Stmts[0]
		if p, ok := s.(*Panel); ok {
			s = p.Body[0]
		}
		var got []string
		say := func(word string, e Expr) {
			if e != nil {
				got = append(got, strings.TrimSpace(word+" "+Print(e)))
			}
		}
		index := func(es []Each) {
			var out []string
			for _, e := range es {
				text := e.Name.Name + " in " + Print(e.Domain.Lo)
				if e.Domain.Hi != nil {
					text += ".." + Print(e.Domain.Hi)
				}
				out = append(out, text)
			}
			if out != nil {
				got = append(got, "["+strings.Join(out, ", ")+"]")
			}
		}
		switch x := s.(type) {
		case *Let:
			got = append(got, x.Name.Name)
			index(x.Index)
			say("=", x.Value)
		case *Body:
			got = append(got, x.Name.Name)
			index(x.Index)
			say("=", x.Value)
		case *Fold:
			index(x.Index)
			say("", x.A)
			say("to", x.B)
			say("by", x.By)
			say("if", x.Guard)
		case *Seam:
			index(x.Index)
			say("", x.A)
			say("to", x.B)
			say("by", x.By)
			say("if", x.Guard)
		case *Rule:
			say("", x.Cond)
			say("if", x.Guard)
			if x.Label != nil {
				got = append(got, Quote(x.Label.Value))
			}
		}
		if got := strings.Join(got, " "); got != want {
			t.Errorf("%s is read as\n%s, not\n%s", text, got, want)
		}
	}
	if _, ds := Parse(diag.NewSource("two.perch", "rule a = b if c \"why\" if d")); len(ds) != 1 || ds[0].Code != "P1102" {
		t.Errorf("two guards: %v", ds)
	}
}
