package grammar

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// taking is a design that takes a panel from the library by its own name and one by
// another.
const taking = `design "d" in millimetres
use seat_cap as lid, corner_leg from std.stool
param wide: length = 300mm
let half = wide / 2
part top of steel = lid(frame, drop: half)
part leg of steel = corner_leg(frame.corner)
`

// following goes to what the design names, and says each time where it came to.
const following = `let out = []
function Say()
  let file = expand("%:t")
  call add(out, (expand("%") =~ "^perch-lib" ? expand("%") : file) . ":" . line(".") . ": " . getline("."))
endfunction
edit d.perch
call cursor(4, 12)
TO
call Say()
call cursor(5, 22)
TO
call Say()
call add(out, join([&filetype, &modifiable, &modified, &readonly]))
BACK
call Say()
call cursor(6, 22)
TO
call Say()
buffer d.perch
call cursor(2, 43)
normal! gf
call Say()
edit perch-lib:///std/none.perch
call add(out, getline(1))
call writefile(out, "out.txt")
qall!
`

// TestLibraryInVim has Vim, and Neovim where no service runs, read the library's
// addresses from the program, and Vim go to definitions, the library's among them.
func TestLibraryInVim(t *testing.T) {
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("outside referees, vim and nvim: PERCH_REFEREES=require asks for them")
	}
	folder, err := filepath.Abs("vim")
	if err != nil {
		t.Fatal(err)
	}
	perch := filepath.Join(t.TempDir(), "perch")
	if out, err := exec.Command("go", "build", "-o", perch, "perch/cmd/perch").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, editor := range []string{"vim", "nvim"} {
		t.Run(editor, func(t *testing.T) {
			dir := t.TempDir()
			put := func(name, text string) {
				if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			put("d.perch", taking)
			put("rc.vim", fmt.Sprintf("set nocompatible nomore runtimepath^=%s\nfiletype plugin indent on\nsyntax on\nlet g:perch = %q\n",
				strings.ReplaceAll(folder, " ", `\ `), perch))
			to, back := `exe "normal! \<C-]>"`, `exe "normal! \<C-t>"`
			if editor == "nvim" { // its own definitions are the service's: here only addresses are read
				to, back = "call setpos('.', [0, 1, 1, 0])", "\" stay"
			}
			script := strings.NewReplacer("TO\n", to+"\n", "BACK\n", back+"\n", "call add(out", "call add(g:out", "let out", "let g:out", "writefile(out", "writefile(g:out").Replace(following)
			put("go.vim", script)
			args := []string{"-i", "NONE", "-n", "-u", "rc.vim", "-S", "go.vim"}
			if editor == "nvim" {
				args = append(args, "--headless")
			} else {
				args = append(args, "-T", "dumb", "--not-a-term")
			}
			cmd := exec.Command(editor, args...)
			cmd.Dir = dir
			cmd.Env = append(os.Environ(), "HOME="+dir, "XDG_STATE_HOME="+dir, "XDG_DATA_HOME="+dir, "XDG_CACHE_HOME="+dir, "XDG_CONFIG_HOME="+dir)
			if out, err := cmd.CombinedOutput(); err != nil {
				t.Fatalf("%v\n%s", err, out)
			}
			b, err := os.ReadFile(filepath.Join(dir, "out.txt"))
			if err != nil {
				t.Fatal(err)
			}
			got := strings.Split(strings.TrimSpace(string(b)), "\n")
			library := "perch-lib:///std/stool.perch"
			want := []string{
				"d.perch:3: param wide: length = 300mm",
				library + ":4: panel seat_cap(",
				"perch 0 0 1",
				"d.perch:5: part top of steel = lid(frame, drop: half)",
				library + ":: panel corner_leg(",
				library + ":: panel corner_leg(", // where it was left
				"// This text could not be read: perch: there is no library module std.none",
			}
			if editor == "nvim" {
				got, want = got[len(got)-2:], []string{library + ":1: // The stool library", want[len(want)-1]}
			}
			if len(got) != len(want) {
				t.Fatalf("%q", got)
			}
			for i := range want {
				line := got[i]
				if front, back, ok := strings.Cut(want[i], "::"); ok { // at some line
					if !strings.HasPrefix(line, front+":") || !strings.HasSuffix(line, back) {
						t.Errorf("%q, want %q", line, want[i])
					}
				} else if !strings.HasPrefix(line, want[i]) {
					t.Errorf("%q, want %q", line, want[i])
				}
			}
		})
	}
}
