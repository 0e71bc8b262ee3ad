package editor_test

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/editor"
	"perch/lang/family"
	"perch/lang/load"
	"perch/lang/quantity"
	"perch/parts/shop"
)

// fold is a stretch of lines, from 0, the last included.
type fold struct {
	StartLine, EndLine int
	Kind               string
}

// laidOut are the folds that the layout of a canonical text tells of: a line that ends
// in an open bracket goes to the line before the next that is no further in, runs of
// lines that are comments, and from the first use to the last.
func laidOut(text string) []fold {
	rows := strings.Split(text, "\n")
	var out []fold
	indent := func(row string) int { return len(row) - len(strings.TrimLeft(row, " ")) }
	add := func(f fold) {
		if f.EndLine > f.StartLine {
			out = append(out, f)
		}
	}
	firstUse, lastUse := -1, -1
	for i := 0; i < len(rows); i++ {
		code, _, _ := strings.Cut(rows[i], "//")
		code = strings.TrimRight(code, " ")
		if strings.HasPrefix(code, "use ") {
			lastUse = i
			if firstUse < 0 {
				firstUse = i
			}
		}
		if code != "" && strings.ContainsRune("{([", rune(code[len(code)-1])) {
			j := i + 1
			for strings.TrimSpace(rows[j]) == "" || indent(rows[j]) > indent(rows[i]) {
				j++
			}
			add(fold{i, j - 1, ""})
		}
	}
	for i := 0; i < len(rows); i++ {
		j := i
		for j < len(rows) && strings.HasPrefix(strings.TrimSpace(rows[j]), "//") {
			j++
		}
		add(fold{i, j - 1, "comment"})
		i = max(i, j)
	}
	add(fold{firstUse, lastUse, "imports"})
	slices.SortFunc(out, byPlace)
	return out
}

func byPlace(a, b fold) int {
	switch {
	case a.StartLine != b.StartLine:
		return a.StartLine - b.StartLine
	case a.EndLine != b.EndLine:
		return b.EndLine - a.EndLine
	}
	return strings.Compare(a.Kind, b.Kind)
}

// TestFolds wants the folds of every text to lie in it, one inside another or apart, and
// those of the canonical ones to be those of their layout.
func TestFolds(t *testing.T) {
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize("")
	for name, text := range shippedTexts(t) {
		u := uri.URI("untitled:" + strings.ReplaceAll(name, " ", "_"))
		c.open(u, text)
		var got []fold
		if err := json.Unmarshal(c.call("textDocument/foldingRange", map[string]any{"textDocument": map[string]any{"uri": u}}), &got); err != nil {
			t.Fatal(err)
		}
		slices.SortFunc(got, byPlace)
		for i, f := range got {
			if f.StartLine < 0 || f.EndLine <= f.StartLine || f.EndLine >= len(rowsOf(text)) {
				t.Errorf("%s: %v in %d lines", name, f, len(rowsOf(text)))
			}
			for _, o := range got[:i] {
				if o.EndLine >= f.StartLine && o.EndLine < f.EndLine {
					t.Errorf("%s: %v and %v cross", name, o, f)
				}
			}
		}
		if name == "broken" {
			continue
		}
		plain := strings.TrimPrefix(strings.ReplaceAll(text, "\r\n", "\n"), "\ufeff")
		if want := laidOut(plain); !slices.Equal(got, want) {
			t.Errorf("%s: folds %v, want %v", name, got, want)
		}
	}
	c.finish()
}

// atSize asks for the values of a size between the lines of a design, and for them.
func (c *client) atSize(u uri.URI, size string) []protocol.InlayHint {
	c.t.Helper()
	if got := string(c.call("workspace/executeCommand", map[string]any{"command": editor.CommandSize, "arguments": []any{u, size}})); got != "null" {
		c.t.Fatalf("size %s: %s", size, got)
	}
	var hints []protocol.InlayHint
	answer := c.call("textDocument/inlayHint", map[string]any{"textDocument": map[string]any{"uri": u},
		"range": protocol.Range{End: protocol.Position{Line: 1 << 20}}})
	if err := protocol.Unmarshal(answer, &hints); err != nil {
		c.t.Fatalf("%v in %s", err, answer)
	}
	return hints
}

// measured has values that only a build of its parts tells: mass() holds deep down.
const measured = `design "m"

stock s = sheet(mild_steel, 2mm)

param wide: length in 50mm..400mm = 100mm
param deep: length in 50mm..400mm
param half: length

rule mass() <= 0.5kg
rule half = deep / 2

size a: deep largest
size b: wide = 200mm, deep smallest
size c: deep = 80mm
size d like a: wide = 300mm

panel plate(w: length, d: length) {
  face top on level(0mm) { outline rect(w, d) }
}

part p of s = plate(wide, deep)
`

// TestHintsAreShown wants the hints at every size of every example to be the values that
// the whole build gives, of just the params that no text states, behind their declarations.
func TestHintsAreShown(t *testing.T) {
	texts := shippedTexts(t)
	texts["measured.perch"] = measured
	label := regexp.MustCompile(`^= (-?)(.*)$`)
	hinted := 0
	for name, text := range texts {
		if !strings.HasSuffix(name, ".perch") {
			continue
		}
		dir := t.TempDir()
		path := filepath.Join(dir, name)
		write(t, path, text)
		prog, _, err := load.Design(path, shop.Default())
		if err != nil {
			t.Fatal(err)
		}
		results, _ := family.Job{Program: prog, Shop: shop.Default()}.Results()
		c := start(t, editor.Options{})
		c.initialize(dir)
		u := uri.File(path)
		c.open(u, text)
		c.wait(u, 1)
		rows := rowsOf(text)
		for _, r := range results {
			got := map[string]string{}
			for _, h := range c.atSize(u, r.Size) {
				line := utf16Text(rows[h.Position.Line][:h.Position.Character])
				decl := regexp.MustCompile(`^param (\w+): (.*)$`).FindStringSubmatch(line)
				if decl == nil || strings.HasSuffix(line, " ") || strings.Contains(line, `"`) {
					t.Fatalf("%s: a hint stands after %q", name, line)
				}
				got[decl[1]] = string(h.Label.(protocol.String))
			}
			for _, v := range r.Values {
				if v.From == "default" || v.From == "size" {
					continue
				}
				hinted++
				m := label.FindStringSubmatch(got[v.Name])
				delete(got, v.Name)
				if m == nil {
					t.Errorf("%s, size %s: %s is hinted nothing, want %g%s", name, r.Size, v.Name, v.Value, v.Unit)
					continue
				}
				lit, err := quantity.ParseLiteral(m[2])
				if err != nil {
					t.Errorf("%s, size %s: %s is hinted %q, want %g%s", name, r.Size, v.Name, m[0], v.Value, v.Unit)
					continue
				}
				tol := 0.0051
				if s, length := lit.System(); length && s != prog.Units {
					t.Errorf("%s, size %s: %s is hinted %s, the design is in %s", name, r.Size, v.Name, m[0], prog.Units)
				} else if length && s == quantity.Inches {
					tol = 0.00051 * quantity.InchMM
				}
				if lit.Dim == quantity.Angle {
					lit.Value *= 180 / math.Pi
				}
				if m[1] == "-" {
					lit.Value = -lit.Value
				}
				if math.Abs(lit.Value-v.Value) > tol {
					t.Errorf("%s, size %s: %s is hinted %s, want %g%s", name, r.Size, v.Name, m[0], v.Value, v.Unit)
				}
			}
			if len(got) > 0 {
				t.Errorf("%s, size %s: hints for what is stated: %v", name, r.Size, got)
			}
		}
		c.finish()
	}
	if hinted < 20 {
		t.Errorf("%d hints are too few to tell", hinted)
	}
}

// TestHintsWait wants nothing to be said of a value that only a build tells, before
// that is done.
func TestHintsWait(t *testing.T) {
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize("")
	u := uri.URI("untitled:m")
	c.open(u, measured)
	if got := c.atSize(u, "a"); len(got) != 0 {
		t.Errorf("before a build there is %v", got)
	}
	if got := c.atSize(u, "c"); len(got) != 1 {
		t.Errorf("of what is stated there is %v", got)
	}
	if got := string(c.call("textDocument/hover", at(u, place(t, measured, "param de|ep")))); !strings.Contains(got, "| a | – | known when the parts are built |") {
		t.Errorf("hover: %s", got)
	}
	c.finish()
}

// TestLenses wants every lens of every example to stand at the design line or at a size's
// name, and to name a command that the service announces; and each to do what it says.
func TestLenses(t *testing.T) {
	for name, text := range shippedTexts(t) {
		if !strings.HasSuffix(name, ".perch") {
			continue
		}
		dir := t.TempDir()
		path := filepath.Join(dir, name)
		write(t, path, text)
		c := start(t, editor.Options{Pause: 1 << 40})
		var caps struct {
			Capabilities struct{ ExecuteCommandProvider struct{ Commands []string } }
		}
		if err := json.Unmarshal(c.initialize(dir), &caps); err != nil {
			t.Fatal(err)
		}
		u := uri.File(path)
		c.open(u, text)
		type lens struct {
			Range   protocol.Range
			Command struct {
				Title, Command string
				Arguments      []string
			}
		}
		ask := func() (out []lens) {
			if err := json.Unmarshal(c.call("textDocument/codeLens", map[string]any{"textDocument": map[string]any{"uri": u}}), &out); err != nil {
				t.Fatal(err)
			}
			return out
		}
		rows := rowsOf(text)
		sizes := regexp.MustCompile(`(?m)^size (\w+)`).FindAllStringSubmatch(text, -1)
		all := ask()
		if want := 1 + 3*len(sizes); len(all) != want {
			t.Errorf("%s: %d lenses, want %d", name, len(all), want)
		}
		for _, l := range all {
			line := utf16Text(rows[l.Range.Start.Line])
			switch {
			case l.Range.Start.Line != l.Range.End.Line || !slices.Contains(caps.Capabilities.ExecuteCommandProvider.Commands, l.Command.Command):
				t.Errorf("%s: %v", name, l)
			case len(l.Command.Arguments) == 1 && strings.HasPrefix(line, "design "):
			case len(l.Command.Arguments) == 2 && strings.HasPrefix(line, "size "+l.Command.Arguments[1]):
			default:
				t.Errorf("%s: %v stands in %q", name, l, line)
			}
			if l.Command.Arguments[0] != string(u) {
				t.Errorf("%s: %v is about another text", name, l)
			}
			if l.Command.Command != editor.CommandSize && name != "tote.perch" && name != "1_plate.perch" {
				continue // building takes long
			}
			got := string(c.call("workspace/executeCommand", map[string]any{"command": l.Command.Command, "arguments": l.Command.Arguments}))
			if strings.Contains(got, "error") {
				t.Errorf("%s: %s: %s", name, l.Command.Title, got)
				continue
			}
			var made uri.URI
			switch json.Unmarshal([]byte(got), &made); l.Command.Command {
			case editor.CommandSize:
				if n := len(ask()); n != 1+3*len(sizes) { // all sizes are offered in place of the one that is shown
					t.Errorf("%s: at size %s there are %d lenses", name, l.Command.Arguments[1], n)
				}
				for _, again := range ask() {
					if again.Command.Command == editor.CommandSize && slices.Equal(again.Command.Arguments, l.Command.Arguments) {
						t.Errorf("%s: size %s is shown and offered", name, l.Command.Arguments[1])
					}
				}
			default:
				if _, err := os.Stat(made.FsPath()); err != nil || !strings.HasPrefix(made.FsPath(), dir) {
					t.Errorf("%s: %s made %q: %v", name, l.Command.Title, got, err)
				}
			}
		}
		c.finish()
	}
}
