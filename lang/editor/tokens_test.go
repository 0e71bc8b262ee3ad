package editor_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/editor"
	"perch/stdlib"
)

// shippedTexts are the examples and the library, name to text, and texts that are
// hard to count in: characters outside the BMP, CRLF, a byte order mark, mistakes.
func shippedTexts(t *testing.T) map[string]string {
	t.Helper()
	texts := map[string]string{}
	files, err := filepath.Glob("../../examples/*/*.perch")
	if err != nil || len(files) < 6 {
		t.Fatal("no examples", err)
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		texts[filepath.Base(name)] = string(b)
	}
	for _, dotted := range stdlib.Modules() {
		_, text, err := stdlib.Module(dotted)
		if err != nil {
			t.Fatal(err)
		}
		texts[dotted] = text
	}
	texts["beyond the BMP"] = "design \"😀 of 𝄞\" // 😀😀 let x\n\nlet a = 3mm /* no */ + 2 // 𝄞\nparam 𝑥: length = 1mm \"😀\"\n"
	texts["lines"] = strings.ReplaceAll(texts["stool.perch"], "\n", "\r\n")
	texts["marked"] = "\ufeff" + texts["tote.perch"]
	texts["broken"] = strings.ReplaceAll(texts["wall_hook.perch"], "face", "fac3 {\n(")
	return texts
}

// span is a stretch of one line in UTF-16 code units, with what it is.
type span struct {
	line, from, to uint32
	kind           string
	how            uint32
	text           string
}

// kinds and modifiers of the legend that the service announces.
func legendOf(t *testing.T, initialized json.RawMessage) (kinds, modifiers []string) {
	t.Helper()
	var p struct {
		Capabilities struct {
			SemanticTokensProvider struct {
				Legend struct{ TokenTypes, TokenModifiers []string }
			}
		}
	}
	if err := json.Unmarshal(initialized, &p); err != nil {
		t.Fatal(err)
	}
	l := p.Capabilities.SemanticTokensProvider.Legend
	if len(l.TokenTypes) == 0 {
		t.Fatalf("no legend in %s", initialized)
	}
	return l.TokenTypes, l.TokenModifiers
}

// decoded takes tokens apart as LSP 3.17 codes them: five numbers each, line and
// start relative to the token before, length in UTF-16 units, type, modifier bits.
func decoded(t *testing.T, answer json.RawMessage, text string, kinds, modifiers []string) []span {
	t.Helper()
	var p struct{ Data []uint32 }
	if err := json.Unmarshal(answer, &p); err != nil || len(p.Data)%5 != 0 {
		t.Fatalf("%v, %d numbers in %.200s", err, len(p.Data), answer)
	}
	rows := rowsOf(text)
	var out []span
	var line, from uint32
	for i := 0; i < len(p.Data); i += 5 {
		d := p.Data[i : i+5]
		if line += d[0]; d[0] > 0 {
			from = 0
		}
		from += d[1]
		s := span{line: line, from: from, to: from + d[2], how: d[4]}
		switch {
		case int(line) >= len(rows) || int(s.to) > len(rows[line]):
			t.Fatalf("token %d is at %d:%d-%d, out of the text", i/5, line, from, s.to)
		case d[2] == 0 || int(d[3]) >= len(kinds) || d[4] >= 1<<len(modifiers):
			t.Fatalf("token %d is %v", i/5, d)
		}
		s.kind, s.text = kinds[d[3]], utf16Text(rows[line][s.from:s.to])
		if n := len(out); n > 0 && (out[n-1].line > s.line || out[n-1].line == s.line && out[n-1].to > s.from) {
			t.Fatalf("%v comes after %v", s, out[n-1])
		}
		out = append(out, s)
	}
	return out
}

// word finds what a person would colour, line by line: comments, texts and words.
var word = regexp.MustCompile(`//[^\n\r]*|"(?:[^"\\\n\r]|\\.)*"|[\p{L}_][\p{L}_0-9]*`)

// TestTokens wants the coloured tokens of every text to be whole words, numbers,
// texts, comments and operators where they stand, each comment and text coloured, the
// declared names as what they are declared, and a part of a text coloured as in the whole.
func TestTokens(t *testing.T) {
	c := start(t, editor.Options{Pause: 1 << 40})
	kinds, modifiers := legendOf(t, c.initialize(""))
	declaration := uint32(1) << slices.Index(modifiers, "declaration")
	declares := regexp.MustCompile(`\b(param|panel|face|cut|mark|size|part|let) ([a-z_]\w*)`)
	edges := regexp.MustCompile(`\) (edge) ([a-z_]\w*)`)
	want := map[string][]string{"param": {"variable"}, "panel": {"class"}, "face": {"property"}, "cut": {"property"}, "mark": {"property"},
		"edge": {"property"}, "size": {"label"}, "part": {"variable"}, "let": {"variable", "function"}}
	seen := map[string]int{}
	for name, text := range shippedTexts(t) {
		u := uri.URI("untitled:" + strings.ReplaceAll(name, " ", "_"))
		c.open(u, text)
		all := decoded(t, c.call("textDocument/semanticTokens/full", map[string]any{"textDocument": map[string]any{"uri": u}}), text, kinds, modifiers)
		if len(all) == 0 {
			t.Fatalf("%s: nothing is coloured", name)
		}
		at := map[[2]uint32]span{}
		for _, s := range all {
			at[[2]uint32{s.line, s.from}] = s
			if !token.MatchString(s.text) {
				t.Errorf("%s: %v is no token", name, s)
			}
		}
		rows := rowsOf(text)
		for n, row := range rows {
			line := utf16Text(row)
			for _, m := range word.FindAllStringIndex(line, -1) {
				k := span{line: uint32(n), from: uint32(len(utf16Of(line[:m[0]]))), text: line[m[0]:m[1]]}
				got, ok := at[[2]uint32{k.line, k.from}]
				switch {
				case strings.HasPrefix(k.text, "//"):
					if !ok || got.kind != "comment" || got.text != k.text {
						t.Errorf("%s: the comment %q is %v", name, k.text, got)
					}
				case strings.HasPrefix(k.text, `"`) && name != "broken" && !strings.ContainsAny(line[:m[0]], "0123456789"):
					if !ok || got.kind != "string" || got.text != k.text {
						t.Errorf("%s: the text %s is %v", name, k.text, got)
					}
				}
			}
			if name == "broken" || name == "beyond the BMP" {
				continue
			}
			code, _, _ := strings.Cut(line, "//")
			for _, m := range append(declares.FindAllStringSubmatchIndex(code, -1), edges.FindAllStringSubmatchIndex(code, -1)...) {
				if strings.Count(code[:m[0]], `"`)%2 == 1 || m[0] > 0 && (code[m[0]-1] == '.' || strings.ContainsAny(code[m[3]:m[4]], ":=")) {
					continue
				}
				how := code[m[2]:m[3]]
				got := at[[2]uint32{uint32(n), uint32(len(utf16Of(line[:m[4]])))}]
				if !slices.Contains(want[how], got.kind) || got.how&declaration == 0 {
					t.Errorf("%s: after %s, %q is %v", name, how, code[m[4]:m[5]], got)
				}
				seen[how]++
			}
		}
		// any part
		for from := 0; from < len(rows); from += 7 {
			to := min(from+9, len(rows)-1)
			part := decoded(t, c.call("textDocument/semanticTokens/range", map[string]any{"textDocument": map[string]any{"uri": u},
				"range": protocol.Range{Start: protocol.Position{Line: uint32(from)}, End: protocol.Position{Line: uint32(to)}}}), text, kinds, modifiers)
			i := slices.IndexFunc(all, func(s span) bool { return int(s.line) >= from })
			j := slices.IndexFunc(all, func(s span) bool { return int(s.line) >= to })
			if i < 0 {
				i = len(all)
			}
			if j < 0 {
				j = len(all)
			}
			if !slices.Equal(part, all[i:max(i, j)]) {
				t.Errorf("%s: lines %d to %d are coloured %v, in the whole %v", name, from, to, part, all[i:max(i, j)])
			}
		}
	}
	for how := range want {
		if seen[how] == 0 {
			t.Errorf("no %s was seen", how)
		}
	}
	c.finish()
}

// token is all that may be coloured at once.
var token = regexp.MustCompile(`^(//.*|".*"?|[\p{L}_][\p{L}_0-9]*|[0-9].*|!=|<=|>=|\.\.|[=<>+*/&^-])$`)

// TestWordsThatAreFunctions: round is a way to relieve a bend, and a function where it
// is called.
func TestWordsThatAreFunctions(t *testing.T) {
	const text = "design \"r\"\nstock s = sheet(mild_steel, 1mm)\npanel tab() {\n  face web on level(0mm) { outline rect(round(30.4) * 1mm, 40mm) }\n" +
		"  face lip off web.top up 90deg { outline strip(20mm) }\n  fold web to lip by bend(relief: round)\n}\npart p of s = tab()\n"
	c := start(t, editor.Options{Pause: 1 << 40})
	kinds, modifiers := legendOf(t, c.initialize(""))
	u := uri.URI("untitled:round")
	c.open(u, text)
	var got []string
	for _, s := range decoded(t, c.call("textDocument/semanticTokens/full", map[string]any{"textDocument": map[string]any{"uri": u}}), text, kinds, modifiers) {
		if s.text == "round" {
			got = append(got, s.kind)
		}
	}
	if want := []string{"function", "enumMember"}; !slices.Equal(got, want) {
		t.Errorf("round is coloured as %v, want %v", got, want)
	}
	c.finish()
}
