package grammar

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"perch/lang/editor"
)

// serveVar, set in the environment, makes the test binary the program that the
// extension starts.
const serveVar = "PERCH_TEST_SERVE"

func TestMain(m *testing.M) {
	if os.Getenv(serveVar) == "" {
		os.Exit(m.Run())
	}
	switch strings.Join(os.Args[1:], " ") {
	case "lsp --help":
	case "lsp":
		if err := editor.Serve(context.Background(), os.Stdin, os.Stdout, editor.Options{}); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	default:
		fmt.Fprintln(os.Stderr, "perch has no command", os.Args[1:])
		os.Exit(2)
	}
}

// strictly reads a file of the extension's folder into v, which names every
// member that such a file may have.
func strictly(t *testing.T, path string, v any) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("vscode", path))
	if err != nil {
		t.Fatal(err)
	}
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
}

// TestManifest holds package.json to what VS Code's extension manifest asks
// (its reference of the fields, from memory).
func TestManifest(t *testing.T) {
	var m struct {
		Name, DisplayName, Description, Version, Publisher, License, Main string
		Private                                                           bool
		Engines                                                           map[string]string
		Categories, ActivationEvents                                      []string
		Dependencies, Scripts                                             map[string]string
		Capabilities                                                      struct {
			UntrustedWorkspaces struct{ Supported bool }
		}
		Contributes struct {
			Languages []struct {
				ID                  string
				Aliases, Extensions []string
				Configuration       string
			}
			Grammars            []struct{ Language, ScopeName, Path string }
			SemanticTokenScopes []struct {
				Language string
				Scopes   map[string][]string
			}
			Configuration struct {
				Title      string
				Properties map[string]struct{ Type, Default, Scope, Description string }
			}
			ConfigurationDefaults map[string]map[string]any
		}
	}
	strictly(t, "package.json", &m)
	for what, c := range map[string]struct{ pattern, got string }{
		"name":         {`^[a-z0-9][a-z0-9-]*$`, m.Name},
		"publisher":    {`^[a-z0-9][a-z0-9-]*$`, m.Publisher},
		"version":      {`^\d+\.\d+\.\d+$`, m.Version},
		"engines":      {`^\^\d+\.\d+\.\d+$`, m.Engines["vscode"]},
		"categories":   {`^Programming Languages$`, strings.Join(m.Categories, ",")},
		"dependencies": {`^\d+\.\d+\.\d+$`, m.Dependencies["vscode-languageclient"]},
		"description":  {`.`, m.Description},
	} {
		if !regexp.MustCompile(c.pattern).MatchString(c.got) {
			t.Errorf("%s is %q, not %s", what, c.got, c.pattern)
		}
	}
	files := []string{m.Main}
	var events []string
	for _, l := range m.Contributes.Languages {
		files = append(files, l.Configuration)
		events = append(events, "onLanguage:"+l.ID)
		if _, ok := m.Contributes.ConfigurationDefaults["["+l.ID+"]"]; !ok || !slices.Equal(l.Extensions, []string{".perch"}) {
			t.Errorf("the language %s has no defaults, or other extensions: %v", l.ID, l.Extensions)
		}
	}
	if len(events) != 1 || !slices.Equal(events, m.ActivationEvents) {
		t.Errorf("languages ask for %v, the manifest has %v", events, m.ActivationEvents)
	}
	for _, g := range m.Contributes.Grammars {
		files = append(files, g.Path)
		var text textMate
		strictly(t, g.Path, &text)
		if text.ScopeName != g.ScopeName || "onLanguage:"+g.Language != events[0] {
			t.Errorf("the grammar of %s is of %s, not %s", g.Language, text.ScopeName, g.ScopeName)
		}
	}
	for _, f := range files {
		if _, ok := Files()["vscode/"+strings.TrimPrefix(f, "./")]; !ok || !strings.HasPrefix(f, "./") {
			t.Errorf("the manifest names %s, which is no file here", f)
		}
	}
	p := m.Contributes.Configuration.Properties["perch.path"]
	if len(m.Contributes.Configuration.Properties) != 1 || p.Type != "string" || p.Default != "perch" || p.Scope != "machine" {
		t.Errorf("the settings are %v", m.Contributes.Configuration.Properties)
	}
}

// node runs Node.js on arguments and gives what it printed, with none of the
// variables that would have it load other code.
func node(t *testing.T, env []string, args ...string) string {
	t.Helper()
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("an outside referee, nodejs: PERCH_REFEREES=require asks for it")
	}
	path, err := exec.LookPath("node")
	if err != nil {
		t.Fatal("node is not installed: apt-get install nodejs")
	}
	ctx, cancel := context.WithTimeout(t.Context(), 60*time.Second)
	defer cancel()
	cmd := exec.CommandContext(ctx, path, args...)
	cmd.Env = append(env, "PATH="+os.Getenv("PATH"), "HOME="+t.TempDir())
	var wrong bytes.Buffer
	cmd.Stderr = &wrong
	out, err := cmd.Output()
	if err != nil || wrong.Len() > 0 {
		t.Fatalf("node %q: %v\n%s%s", args, err, out, wrong.String())
	}
	return string(out)
}

func TestExtensionIsJavaScript(t *testing.T) {
	node(t, nil, "--check", filepath.Join("vscode", "extension.js"))
}

// TestPatterns tries the patterns of the language's configuration as the editor
// reads them: JavaScript's regular expressions.
func TestPatterns(t *testing.T) {
	type pattern struct{ Pattern, Flags string }
	var c struct {
		Comments                   struct{ LineComment string }
		Brackets, SurroundingPairs [][2]string
		AutoClosingPairs           []struct {
			Open, Close string
			NotIn       []string
		}
		IndentationRules struct{ IncreaseIndentPattern, DecreaseIndentPattern string }
		WordPattern      pattern
	}
	strictly(t, "language-configuration.json", &c)
	more, less := c.IndentationRules.IncreaseIndentPattern, c.IndentationRules.DecreaseIndentPattern
	for _, q := range []struct {
		pattern
		line string
		want []string // all that it finds
	}{
		{c.WordPattern, `let höhe_2 = läng.p2 + 3mm // p{L}`, []string{"let", "höhe_2", "läng", "p2", "mm", "p", "L"}},
		{c.WordPattern, `𝐱1 = _y`, []string{"𝐱1", "_y"}},
		{pattern{more, ""}, "panel a(", []string{"("}},
		{pattern{more, ""}, "  face web on s { // why", []string{"{ // why"}},
		{pattern{more, ""}, "  outline f([a, b])", nil},
		{pattern{less, ""}, "  }", []string{"  }"}},
		{pattern{less, ""}, "  cut a = (b)", nil},
	} {
		script := `const [p, f, line] = process.argv.slice(1); console.log(JSON.stringify(line.match(new RegExp(p, f + "g"))))`
		var got []string
		if err := json.Unmarshal([]byte(node(t, nil, "-e", script, q.Pattern, q.Flags, q.line)), &got); err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(got, q.want) {
			t.Errorf("/%s/%s finds %q in %q, not %q", q.Pattern, q.Flags, got, q.line, q.want)
		}
	}
}

// said is a line of testdata/activate.js.
type said struct {
	Message string
	Buttons []string
	Client  string
	Command string
	Args    []string
	Cwd     string
	Options struct {
		DocumentSelector []struct{ Scheme, Language string }
	}
	Commands []string
	Status   *int

	EditorCommand string
	EditorArgs    []any
}

// activate runs the extension with the user's settings of the program's path,
// one for each start.
func activate(t *testing.T, paths ...string) []said {
	t.Helper()
	folder, err := filepath.Abs("vscode")
	if err != nil {
		t.Fatal(err)
	}
	args := append([]string{filepath.Join("testdata", "activate.js"), folder}, paths...)
	var out []said
	for line := range strings.Lines(node(t, []string{serveVar + "=1"}, args...)) {
		var s said
		if err := json.Unmarshal([]byte(line), &s); err != nil {
			t.Fatalf("%v in %q", err, line)
		}
		out = append(out, s)
	}
	return out
}

// started holds the last of what was said to an orderly run of the service.
func started(t *testing.T, all []said, program string) {
	t.Helper()
	if len(all) < 4 {
		t.Fatalf("it said %+v", all)
	}
	all = all[len(all)-4:]
	if c := all[0]; c.Client != "perch" || c.Command != program || !slices.Equal(c.Args, []string{"lsp"}) || filepath.Base(c.Cwd) != "vscode" {
		t.Errorf("it starts %+v", c)
	}
	schemes := map[string]bool{}
	for _, d := range all[0].Options.DocumentSelector {
		schemes[d.Scheme] = d.Language == "perch"
	}
	if len(schemes) != 3 || !schemes["file"] || !schemes["untitled"] || !schemes[editor.LibraryScheme] {
		t.Errorf("it serves the texts of %v", schemes)
	}
	for _, command := range []string{editor.CommandBuild, editor.CommandPicture, editor.CommandSize} {
		if !slices.Contains(all[1].Commands, command) {
			t.Errorf("the service does not state its command %s, only %v", command, all[1].Commands)
		}
	}
	for _, command := range all[1].Commands { // the client registers them, and a second time is an error
		if strings.Contains(manifest+extension, command) {
			t.Errorf("the extension names the service's own command %s", command)
		}
	}
	if got := fmt.Sprint(all[2].EditorCommand, all[2].EditorArgs); got != "vscode.openWith[map[parsed:file:///out/picture.svg] imagePreview.previewEditor -2]" {
		t.Errorf("it shows a picture by %s", got)
	}
	if all[3].Status == nil || *all[3].Status != 0 {
		t.Errorf("the service ended with %+v", all[3])
	}
}

func TestExtensionStartsTheService(t *testing.T) {
	all := activate(t, os.Args[0])
	if len(all) != 4 {
		t.Errorf("it said %+v", all)
	}
	started(t, all, os.Args[0])
}

// TestExtensionTellsTheMend: one message for each start that fails, none of
// which keeps a later one from working.
func TestExtensionTellsTheMend(t *testing.T) {
	all := activate(t, "no client", "no/such/program", "node", os.Args[0])
	if len(all) != 7 {
		t.Fatalf("it said %+v", all)
	}
	for i, words := range [][]string{
		{"Cannot find module 'vscode-languageclient/node'.", `Run "npm install" in `},
		{"no/such/program", "ENOENT", "perch.path"},
		{"node lsp --help", "perch.path"},
	} {
		m := all[i]
		for _, w := range words {
			if !strings.Contains(m.Message, w) || strings.Contains(m.Message, "\n") || len(m.Buttons) != 1 {
				t.Errorf("the message %q (%v) lacks %q, or has more than a line", m.Message, m.Buttons, w)
			}
		}
	}
	started(t, all, os.Args[0])
}
