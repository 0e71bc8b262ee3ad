package editor_test

import (
	"strings"
	"testing"
	"time"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/editor"
)

// pulling is what a client can do that asks for diagnostics itself.
var pulling = map[string]any{
	"textDocument": map[string]any{"diagnostic": map[string]any{}},
	"workspace":    map[string]any{"diagnostics": map[string]any{"refreshSupport": true}},
}

type report struct {
	Kind, ResultID string
	Items          []struct {
		Code     string
		Severity int
		Tags     []int
		Range    protocol.Range
		Message  string
	}
}

func (r report) codes() string {
	var out []string
	for _, d := range r.Items {
		out = append(out, d.Code)
	}
	return strings.Join(out, " ")
}

// TestPull wants a client that asks for diagnostics to be told nothing unasked of open
// texts, to be answered with all there is, and to be told when there is more.
func TestPull(t *testing.T) {
	c := start(t, editor.Options{})
	u, mod := rack(t, c, pulling)
	design := strings.Replace(design, " in millimetres", "", 1)
	c.wait(u, 1)
	c.change(u, 2, design)
	c.wait(u, 2)
	c.call("textDocument/foldingRange", of(u))
	c.mu.Lock()
	if len(c.diags) != 0 {
		t.Errorf("unasked: %s", c.diags)
	}
	told := strings.Join(c.told, "\n")
	c.mu.Unlock()
	if !strings.Contains(told, "workspace/diagnostic/refresh") {
		t.Errorf("the client was not told to ask again: %s", told)
	}
	first := answer[report](c, "textDocument/diagnostic", of(u))
	if first.Kind != "full" || first.ResultID == "" || !strings.Contains(first.codes(), "P2070") {
		t.Errorf("of the design: %v", first)
	}
	again := of(u)
	again["previousResultId"] = first.ResultID
	if got := answer[report](c, "textDocument/diagnostic", again); got.Kind != "unchanged" || got.ResultID != first.ResultID {
		t.Errorf("again: %v", got)
	}
	c.change(u, 3, strings.Replace(design, "angle in 0deg", "angel in 0deg", 1))
	second := answer[report](c, "textDocument/diagnostic", again)
	if second.Kind != "full" || second.codes() != "P2018" || second.ResultID == first.ResultID {
		t.Errorf("after a mistake: %v", second)
	}
	if got := answer[report](c, "textDocument/diagnostic", of(mod)); got.Kind != "full" || len(got.Items) != 0 {
		t.Errorf("of a file that is not open: %v", got)
	}
	if got := string(c.call("textDocument/diagnostic", of("file:///none/there.perch"))); !strings.Contains(got, "error") {
		t.Errorf("of no file: %s", got)
	}
	// what a design finds in a file that it uses is told where that is not open, and
	// asked for where it is
	broken := strings.Replace(module, "rect(50mm, 50mm)", "rect(50mm, 50deg)", 1)
	c.open(mod, broken)
	c.change(u, 4, design)
	if got := answer[report](c, "textDocument/diagnostic", of(mod)); !strings.Contains(got.codes(), "P20") {
		t.Errorf("of the open module: %v", got)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(c.diags) != 0 {
		t.Errorf("unasked: %s", c.diags)
	}
}

// TestPushStays: a client that does not ask is told, and so is one that could not be
// told when to ask again; to it the service does not offer to be asked.
func TestPushStays(t *testing.T) {
	for name, caps := range map[string]map[string]any{
		"plain": {}, "no refresh": {"textDocument": map[string]any{"diagnostic": map[string]any{}}},
	} {
		c := start(t, editor.Options{})
		got := string(c.initializeAs("", caps))
		if strings.Contains(got, "diagnosticProvider") {
			t.Errorf("%s: offered: %s", name, got)
		}
		u := uri.URI("untitled:d")
		c.open(u, "design \"d\"\nparam a: angel\n")
		c.wait(u, 1)
		if _, ds := c.published(u); len(ds) != 1 {
			t.Errorf("%s: told %v", name, ds)
		}
		c.finish()
	}
	c := start(t, editor.Options{})
	if got := string(c.initializeAs("", pulling)); !strings.Contains(got, `"diagnosticProvider":{"interFileDependencies":true,"workspaceDiagnostics":false}`) {
		t.Errorf("not offered: %s", got)
	}
	c.finish()
}

// TestUnitsAreToldOnce: which units were taken is told once, as information, with what
// to write; and not where the design line names them.
func TestUnitsAreToldOnce(t *testing.T) {
	c := start(t, editor.Options{})
	c.initialize("")
	u := uri.URI("untitled:d")
	told := func(version int) (n int) {
		t.Helper()
		c.wait(u, version)
		_, ds := c.published(u)
		for _, d := range ds {
			if d.Code == protocol.String("P2070") && d.Severity == protocol.DiagnosticSeverityInformation && d.Range.Start.Line == 0 {
				n++
			}
		}
		return n
	}
	c.open(u, "design \"d\"\nparam a: length = 3mm\n")
	if n := told(1); n != 1 {
		t.Errorf("told %d times", n)
	}
	c.change(u, 2, "design \"d\"\nparam a: length = 4mm\n")
	if n := told(2); n != 1 {
		t.Errorf("after an edit: told %d times", n)
	}
	actions := string(c.call("textDocument/codeAction", map[string]any{"textDocument": map[string]any{"uri": u}, "range": protocol.Range{Start: protocol.Position{Character: 8}, End: protocol.Position{Character: 8}}, "context": map[string]any{"diagnostics": []any{}}}))
	if !strings.Contains(actions, " in millimetres") {
		t.Errorf("no mend: %s", actions)
	}
	c.change(u, 3, "design \"d\" in inches\nparam a: length = 4in\n")
	if n := told(3); n != 0 {
		t.Errorf("of named units: told %d times", n)
	}
	c.finish()
}

// TestProgress wants work to be shown from its begin to its end, in order: at once where
// the client asks with a token, and unasked only where it can show that.
func TestProgress(t *testing.T) {
	shows := map[string]any{"window": map[string]any{"workDoneProgress": true}}
	for _, x := range []struct {
		name  string
		caps  map[string]any
		quiet time.Duration
		want  int // how many pieces of work are shown unasked
	}{
		{"can", shows, time.Nanosecond, 1}, {"can, but it is quick", shows, time.Hour, 0}, {"can't", map[string]any{}, time.Nanosecond, 0},
	} {
		c := start(t, editor.Options{Quiet: x.quiet})
		u, _ := rack(t, c, x.caps)
		c.wait(u, 1)
		c.mu.Lock()
		c.told = nil
		c.mu.Unlock()
		long := uri.URI("untitled:long") // so that there is time to show it
		c.open(long, example(t, "bench"))
		c.wait(long, 1)
		params := map[string]any{"command": editor.CommandBuild, "arguments": []any{u}, "workDoneToken": "mine"}
		if got := string(c.call("workspace/executeCommand", params)); strings.Contains(got, "error") {
			t.Fatal(got)
		}
		c.mu.Lock()
		var unasked, mine []string
		created := 0
		for _, m := range c.told {
			switch {
			case strings.HasPrefix(m, "window/workDoneProgress/create"):
				created++
			case strings.HasPrefix(m, "$/progress") && strings.Contains(m, `"token":"mine"`):
				mine = append(mine, m)
			case strings.HasPrefix(m, "$/progress"):
				unasked = append(unasked, m)
			}
		}
		c.mu.Unlock()
		if created != x.want || (len(unasked) > 0) != (x.want > 0) {
			t.Errorf("%s: %d shown unasked: %q", x.name, created, unasked)
		}
		for _, ms := range [][]string{mine, unasked} {
			for i, m := range ms {
				kind := "report"
				if i == 0 {
					kind = "begin"
				} else if i == len(ms)-1 {
					kind = "end"
				}
				if !strings.Contains(m, `"kind":"`+kind+`"`) {
					t.Errorf("%s: %d of %d: %s", x.name, i, len(ms), m)
				}
			}
		}
		if len(mine) != 4 || !strings.Contains(mine[2], `"message":"2 of 2 sizes","percentage":100`) || !strings.Contains(mine[0], "building rack.perch") {
			t.Errorf("%s: of the command: %q", x.name, mine)
		}
		c.finish()
	}
}

// TestLeftOversAreHinted: what nothing reads is told as a hint that editors show faint,
// in designs and in modules, and is no warning.
func TestLeftOversAreHinted(t *testing.T) {
	c := start(t, editor.Options{})
	c.initialize("")
	for u, text := range map[uri.URI]string{
		"untitled:d": "design \"d\" in millimetres\nlet a = 3mm\n",
		"untitled:m": "let x = 4mm\npanel p(\n  a: length,\n) {\n  face f on level(0mm) { outline rect(x, x) }\n}\n",
	} {
		c.open(u, text)
		c.wait(u, 1)
		_, ds := c.published(u)
		if len(ds) != 1 || ds[0].Code != protocol.String("P2049") || ds[0].Severity != protocol.DiagnosticSeverityHint {
			t.Fatalf("%s: told %v", u, ds)
		}
		tags, err := protocol.Marshal(ds[0].Tags)
		if err != nil || string(tags) != "[1]" || !strings.HasPrefix(strings.Split(text, "\n")[ds[0].Range.Start.Line][ds[0].Range.Start.Character:], "a") {
			t.Errorf("%s: %s at %v", u, tags, ds[0].Range)
		}
	}
	c.finish()
}

// TestFixAllLeavesLeftOvers: all mistakes are mended at once, but what nothing reads is
// taken out only where its maker asks for it.
func TestFixAllLeavesLeftOvers(t *testing.T) {
	c := start(t, editor.Options{})
	c.initialize("")
	u := uri.URI("untitled:d")
	const text = "design \"d\" in millimetres\nuse bracket from std.plain\nlet a = 3mm\n"
	c.open(u, text)
	c.wait(u, 1)
	all := c.actions(u, text, protocol.Position{}, protocol.Position{}, "source")
	if len(all) != 1 || all["mend 1 mistake"] != strings.Replace(text, "use bracket from std.plain\n", "", 1) {
		t.Errorf("of all: %q", all)
	}
	at := place(t, text, "let |a")
	if one := c.actions(u, text, at, at, "quickfix"); one["leave it out"] != strings.Replace(text, "let a = 3mm\n", "", 1) {
		t.Errorf("of one: %q", one)
	}
	c.finish()
}
