package explain

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"perch/lang/diag"
)

var (
	metricLiteral = regexp.MustCompile(`\b(\d+(?:\.\d+)?)( ?)(mm|cm|kg|N)\b`)
	metricWord    = regexp.MustCompile(`\d ?(mm|cm|kg|N|MPa)\b|mm²|mm³|\bmillimetres? of\b`)
	inchWord      = regexp.MustCompile(`\d ?(in|lb|lbf|psi)\b|in²|in³`)
	designLine    = regexp.MustCompile(`(?m)^design "[^"]*"( in [a-z]+)?`)
)

// inInches is an example written in inches and pounds, all but its texts.
func inInches(text string) string {
	text = metricLiteral.ReplaceAllStringFunc(text, func(l string) string {
		m := metricLiteral.FindStringSubmatch(l)
		v, _ := strconv.ParseFloat(m[1], 64)
		to := map[string]struct {
			unit string
			each float64
		}{"mm": {"in", 25.4}, "cm": {"in", 2.54}, "kg": {"lb", 0.45359237}, "N": {"lbf", 4.4482216152605}}[m[3]]
		return strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(v/to.each, 'f', 9, 64), "0"), ".") + m[2] + to.unit
	})
	return asDesign(text, "inches")
}

// asDesign names the units that a design is read in.
func asDesign(text, units string) string {
	return designLine.ReplaceAllStringFunc(text, func(l string) string {
		return l[:strings.LastIndexByte(l, '"')+1] + " in " + units
	})
}

// said is all that a reader is told.
func said(d diag.Diagnostic) []string {
	out := append([]string{d.Summary, d.Label}, d.Notes...)
	for _, r := range d.Related {
		out = append(out, r.Message)
	}
	if d.Fix != nil {
		out = append(out, d.Fix.Message)
		for _, e := range d.Fix.Edits {
			out = append(out, e.Text)
		}
	}
	return out
}

// badInput are the designs that the command line's scripts refuse, with the files beside
// each.
func badInput(t *testing.T) map[string]*Example {
	t.Helper()
	scripts, err := filepath.Glob("../../cmd/perch/testdata/script/bad_*.txtar")
	if err != nil || len(scripts) < 8 {
		t.Fatal(err, scripts)
	}
	out := map[string]*Example{}
	for _, script := range scripts {
		text, err := os.ReadFile(script)
		if err != nil {
			t.Fatal(err)
		}
		files := map[string]string{}
		for _, part := range strings.Split("\n"+string(text), "\n-- ")[1:] {
			name, content, _ := strings.Cut(part, " --\n")
			if strings.HasSuffix(name, ".perch") {
				files[name] = content + "\n"
			}
		}
		for name, content := range files {
			if strings.HasPrefix(content, "design ") {
				out[filepath.Base(script)+" "+name] = &Example{Text: content, Files: files}
			}
		}
	}
	return out
}

// TestUnitsOfRefusals holds what is told of designs that are refused to their units.
func TestUnitsOfRefusals(t *testing.T) {
	told := 0
	for name, e := range badInput(t) {
		inch := Example{Text: inInches(e.Text), Files: map[string]string{}}
		for file, text := range e.Files {
			inch.Files[file] = inInches(text)
		}
		for _, c := range []struct {
			of    *Example
			never *regexp.Regexp
		}{{&inch, metricWord}, {&Example{Text: asDesign(e.Text, "millimetres"), Files: e.Files}, inchWord}} {
			for _, d := range compile(t, c.of) {
				told++
				for _, s := range said(d) {
					if c.never.MatchString(s) {
						t.Errorf("%s, by %s: %s\n%s", d.Code, name, s, c.of.Text)
					}
				}
			}
		}
	}
	if told < 250 {
		t.Errorf("only %d things were told", told)
	}
}

// TestUnitsOfMessages holds what is told of every example to the units of its design:
// written and read in inches no message, label, note or mend has millimetres or
// kilograms in it, and read in millimetres none has inches.
func TestUnitsOfMessages(t *testing.T) {
	told := map[string]bool{}
	for _, code := range Codes() {
		p, _ := Get(code)
		for _, e := range []*Example{p.Wrong, p.Right} {
			if e == nil || strings.Contains(e.Text, "in millimetres") && code == "P2071" || code == "P1008" { // a unit that the maker means
				continue
			}
			inch := *e
			inch.Text = inInches(e.Text)
			inch.Files = map[string]string{}
			for name, text := range e.Files {
				inch.Files[name] = inInches(text)
			}
			for _, c := range []struct {
				of    *Example
				never *regexp.Regexp
			}{{&inch, metricWord}, {&Example{Text: asDesign(e.Text, "millimetres"), Files: e.Files}, inchWord}} {
				for _, d := range compile(t, c.of) {
					for _, s := range said(d) {
						told[d.Code] = true
						if c.never.MatchString(s) {
							t.Errorf("%s, by the page of %s: %s\n%s", d.Code, code, s, c.of.Text)
						}
					}
				}
			}
		}
	}
	if len(told) < 80 {
		t.Errorf("only %d codes were told: %s", len(told), fmt.Sprint(told))
	}
}
