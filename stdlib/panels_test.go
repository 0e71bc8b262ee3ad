package stdlib_test

import (
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/lang/syntax"
	"perch/parts/shop"
	"perch/parts/shopcheck"
	"perch/stdlib"
)

// panels are the library's panels by name.
func panels(t *testing.T) map[string]*syntax.Panel {
	t.Helper()
	out := map[string]*syntax.Panel{}
	for _, m := range stdlib.Modules() {
		name, text, err := stdlib.Module(m)
		if err != nil {
			t.Fatal(err)
		}
		file, _ := syntax.Parse(diag.NewSource(name, text))
		for _, s := range file.Stmts {
			if p, ok := s.(*syntax.Panel); ok {
				out[p.Name.Name] = p
			}
		}
	}
	if len(out) == 0 {
		t.Fatal("the library has no panels")
	}
	return out
}

// shown is the small design that shows a panel with what is left out left out.
func shown(t *testing.T, panel string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("shown", panel+".perch"))
	if err != nil {
		t.Fatal("a panel has no design that shows it:", err)
	}
	return string(b)
}

// says builds a design at all its sizes, holds it to a shop's rules and
// returns all that there is to say.
func says(t *testing.T, text string, shop *shop.Shop) []diag.Diagnostic {
	t.Helper()
	prog, diags, err := load.Source(diag.NewSource("shown.perch", text), load.Library(), shop)
	if err != nil {
		t.Fatal(err)
	}
	if !diag.HasErrors(diags) {
		diags = append(diags, family.Job{Program: prog, Shop: shop}.Check()...)
	}
	return diags
}

func rendered(diags []diag.Diagnostic) string {
	var s strings.Builder
	diag.Render(&s, diags, diag.Style{})
	return s.String()
}

// byHand are the panels that no brake bends whole, and why.
var byHand = map[string]string{
	"lapped_pan": "a tab lies beside the next wall, in line with its fold: it is turned by hand, or with the wall",
	"hemmed_rim": "a ring closes round whatever holds it",
}

// TestDefaults builds every panel as its design shows it, with every default: no
// mistake, no warning, no metal through metal, and the brake of a small shop bends it.
func TestDefaults(t *testing.T) {
	for name := range panels(t) {
		diags := says(t, shown(t, name), shop.Default())
		if _, hand := byHand[name]; hand {
			if len(diags) != 1 || diags[0].Code != shopcheck.Unbendable.Code {
				t.Errorf("%s is bent by hand, and told is:\n%s", name, rendered(diags))
			}
			continue
		}
		if len(diags) > 0 {
			t.Errorf("%s:\n%s", name, rendered(diags))
		}
	}
}

// mild finds the mild steel sheets of a design.
var mild = regexp.MustCompile(`sheet\(mild_steel, [0-9.]+mm`)

// TestThicknesses builds every panel with its defaults in the sheets that a small
// shop bends. Hems in 2 mm are told, by the shop's own limit, and sheets that it has
// not; two braces that cross are nearly alike in thin sheet. What the brake does not bend of
// some in thicker or thinner sheet than they are shown in is told too.
func TestThicknesses(t *testing.T) {
	for _, thick := range []string{"0.8mm", "1mm", "1.2mm", "2mm"} {
		for name := range panels(t) {
			text := mild.ReplaceAllString(unjoined(t, shown(t, name)), "sheet(mild_steel, "+thick)
			for _, d := range says(t, text, shop.Default()) {
				if !slices.Contains([]string{"P6004", "P6033", "P6039", shopcheck.Unbendable.Code}, d.Code) {
					t.Errorf("%s in %s:\n%s", name, thick, rendered([]diag.Diagnostic{d}))
				}
			}
		}
	}
}

// call is where a design makes a part of a panel: what is stated there, and where
// the last argument ends, or the opening bracket.
type call struct {
	stated map[string]bool
	end    int
}

// callOf finds the first part that a design makes of a panel.
func callOf(t *testing.T, text string, p *syntax.Panel) call {
	t.Helper()
	file, _ := syntax.Parse(diag.NewSource("shown.perch", text))
	for _, s := range file.Stmts {
		part, ok := s.(*syntax.Part)
		if !ok {
			continue
		}
		c, ok := part.Value.(*syntax.Call)
		if !ok || syntax.Print(c.Fun) != p.Name.Name {
			continue
		}
		found := call{stated: map[string]bool{}, end: int(c.Fun.Span().End) + 1}
		for i, a := range c.Args {
			found.end = int(a.Value.Span().End)
			if a.Label != nil {
				found.stated[a.Label.Name] = true
			} else {
				found.stated[p.Params[i].Name.Name] = true
			}
		}
		return found
	}
	t.Fatalf("the design of %s makes no part of it", p.Name.Name)
	return call{}
}

// with is the design with more arguments in the panel's call.
func (c call) with(text string, args []string) string {
	var before string
	if len(c.stated) > 0 && len(args) > 0 {
		before = ", "
	}
	return text[:c.end] + before + strings.Join(args, ", ") + text[c.end:]
}

// at is an argument at a share of its range, 0 its lower end and 1 its upper; ""
// where the parameter has no range of its own.
func at(d syntax.Decl, share float64) string {
	if d.Type.Name == "flag" {
		return fmt.Sprintf("%s: %t", d.Name.Name, share >= 0.5)
	}
	if d.Domain == nil || d.Domain.Hi == nil {
		return ""
	}
	lo, hi := syntax.Print(d.Domain.Lo), syntax.Print(d.Domain.Hi)
	return fmt.Sprintf("%s: %s + (%s - %s) * %.3f", d.Name.Name, lo, hi, lo, share)
}

// refused says whether a design is refused for rules of a panel alone, which say why.
func refused(diags []diag.Diagnostic) bool {
	for _, d := range diags {
		if d.Severity == diag.Error && d.Code != "P3006" {
			return false
		}
	}
	return diag.HasErrors(diags)
}

// laser is a shop whose cutter takes small holes and large blanks, so that what is
// warned of is the panel's doing.
const laser = `[cutter]
kind = "laser"
kerf = 0.3
min_hole = 1
hole_sheets = 0.5
hole_kerfs = 1
width = 3000
length = 4000
`

// unjoined is a design without its joins, its parts lying loose: whether a row of rivets
// finds room is its own affair.
func unjoined(t *testing.T, text string) string {
	t.Helper()
	file, diags := syntax.Parse(diag.NewSource("shown.perch", text))
	if len(diags) > 0 {
		t.Fatal(diags)
	}
	var out strings.Builder
	end := int32(0)
	for _, s := range file.Stmts {
		switch x := s.(type) {
		case *syntax.Join:
			out.WriteString(text[end:x.At.Start])
			end = x.At.End
		case *syntax.Part:
			if !x.Loose && x.Guard == nil {
				out.WriteString(text[end:x.At.End] + " loose")
				end = x.At.End
			}
		}
	}
	return out.String() + text[end:]
}

// TestRanges builds every panel at both ends of each of its parameters and at
// drawn values of all of them together. What a panel does not refuse by a rule of
// its own builds, breaks no rule of the shop and keeps metal out of metal. Whether a brake
// bends what stands at a range's end is the brake's own matter.
func TestRanges(t *testing.T) {
	draws := 40
	if testing.Short() {
		draws = 6
	}
	for name, p := range panels(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			text := unjoined(t, shown(t, name))
			shop, err := shop.Load(laser)
			if err != nil {
				t.Fatal(err)
			}
			c := callOf(t, text, p)
			var free []syntax.Decl
			for _, d := range p.Params {
				if !c.stated[d.Name.Name] && at(d, 0) != "" {
					free = append(free, d)
				}
			}
			var tries [][]string
			for _, d := range free {
				tries = append(tries, []string{at(d, 0)}, []string{at(d, 1)})
			}
			rng := rand.New(rand.NewSource(7))
			for range draws {
				var args []string
				for _, d := range free {
					args = append(args, at(d, rng.Float64()))
				}
				tries = append(tries, args)
			}
			built, bad := 0, 0
			for _, args := range tries {
				diags := slices.DeleteFunc(says(t, c.with(text, args), shop), func(d diag.Diagnostic) bool { return d.Code == shopcheck.Unbendable.Code })
				if len(diags) == 0 {
					built++
				} else if !refused(diags) {
					t.Errorf("%s(%s):\n%s", name, strings.Join(args, ", "), rendered(diags))
					if bad++; bad > 3 {
						return
					}
				}
			}
			if 3*built < len(tries) {
				t.Errorf("%s: of %d drawn only %d were built: its ranges are wider than its rules", name, len(tries), built)
			}
		})
	}
}
