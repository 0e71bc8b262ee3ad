package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"perch/examples"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/lang/syntax"
	"perch/stdlib"
)

type completeCmd struct {
	Shell string   `arg:"" enum:"bash,zsh,fish,words" help:"The shell to print the script for: bash, zsh or fish. The scripts ask back with words."`
	Words []string `arg:"" optional:"" passthrough:"" help:"The words of the command line, for words."`
}

// Help is shown below the verb's flags.
func (c *completeCmd) Help() string {
	return "Put into the shell's start-up file:\n\n" +
		"bash: source <(perch complete bash)\n\nzsh, below compinit: source <(perch complete zsh)\n\nfish: perch complete fish | source"
}

func (c *completeCmd) Run(s *session) error {
	switch c.Shell {
	case "bash":
		fmt.Fprint(s.out, bashScript)
	case "zsh":
		fmt.Fprint(s.out, zshScript)
	case "fish":
		fmt.Fprint(s.out, fishScript)
	default:
		words := c.Words
		if len(words) > 0 && words[0] == "--" {
			words = words[1:]
		}
		for _, w := range completions(words) {
			fmt.Fprintln(s.out, w)
		}
	}
	return nil
}

// The scripts hand the words up to the cursor to perch and offer what it answers,
// so that they never need to change. A folder is offered without a space behind.
// In bash a colon would begin a word of its own; words are put together again.
const (
	bashScript = `_perch() {
  local cur words cword
  if declare -F _get_comp_words_by_ref >/dev/null; then
    _get_comp_words_by_ref -n : cur words cword
  else
    words=("${COMP_WORDS[@]}") cword=$COMP_CWORD cur=${COMP_WORDS[COMP_CWORD]}
  fi
  local IFS=$'\n'
  COMPREPLY=($("${words[0]}" complete words -- "${words[@]:1:cword}" 2>/dev/null))
  if [[ ${#COMPREPLY[@]} -eq 1 && ${COMPREPLY[0]} == *[/=] ]]; then compopt -o nospace 2>/dev/null; fi
  if declare -F __ltrim_colon_completions >/dev/null; then __ltrim_colon_completions "$cur"; fi
}
complete -F _perch perch
`
	zshScript = `#compdef perch
_perch() {
  local -a found folders
  found=("${(@f)$("${words[1]}" complete words -- "${(@)words[2,CURRENT]}" 2>/dev/null)}")
  found=(${found:#})
  folders=(${(M)found:#*[/=]})
  found=(${found:#*[/=]})
  (( ${#folders} )) && compadd -S '' -- $folders
  (( ${#found} )) && compadd -- $found
}
compdef _perch perch
`
	fishScript = `function __perch_complete
    set -l words (commandline -opc) (commandline -ct)
    $words[1] complete words -- $words[2..-1] 2>/dev/null
end
complete -c perch -f -a '(__perch_complete)'
`
)

// completions are what the last of the words may become, by the command line's
// own model: verbs, flags, their values, files, sizes of the file named.
func completions(words []string) []string {
	if len(words) == 0 {
		words = []string{""}
	}
	last := words[len(words)-1]
	parser, err := kong.New(&cli{})
	if err != nil {
		return nil
	}
	node := parser.Model.Node
	before := words[:len(words)-1]
	if len(before) > 0 {
		for _, v := range node.Children {
			if v.Name == before[0] {
				node = v
			}
		}
		if node == parser.Model.Node {
			return nil
		}
		before = before[1:]
	}
	if node == parser.Model.Node && !strings.HasPrefix(last, "-") {
		return begins(verbs(node), last)
	}
	return completeVerb(node, before, last)
}

func completeVerb(node *kong.Node, before []string, last string) []string {
	if flag := flagAwaiting(node, before); flag != nil {
		return begins(values(flag.Name, flag.Value, before, last), last)
	}
	if strings.HasPrefix(last, "--") {
		if name, part, ok := strings.Cut(last, "="); ok {
			var out []string
			if flag := findFlag(node, name); flag != nil {
				for _, v := range begins(values(flag.Name, flag.Value, before, part), part) {
					out = append(out, name+"="+v)
				}
			}
			return out
		}
	}
	if strings.HasPrefix(last, "-") {
		return begins(flagNames(node), last)
	}
	n := len(operands(node, before))
	if len(node.Positional) == 0 {
		return nil
	}
	p := node.Positional[min(n, len(node.Positional)-1)]
	if n >= len(node.Positional) && !p.IsCumulative() {
		return nil
	}
	return begins(values(p.Name, p, before, last), last)
}

func verbs(node *kong.Node) []string {
	var out []string
	for _, v := range node.Children {
		if !v.Hidden {
			out = append(out, v.Name)
		}
	}
	return out
}

func flagNames(node *kong.Node) []string {
	var out []string
	for _, group := range node.AllFlags(true) {
		for _, f := range group {
			out = append(out, "--"+f.Name)
			if f.Tag.Negatable != "" {
				out = append(out, "--no-"+f.Name)
			}
		}
	}
	slices.Sort(out)
	return out
}

// findFlag finds a flag by --name or -n.
func findFlag(node *kong.Node, word string) *kong.Flag {
	for _, group := range node.AllFlags(false) {
		for _, f := range group {
			if word == "--"+f.Name || f.Short != 0 && word == "-"+string(f.Short) {
				return f
			}
		}
	}
	return nil
}

// flagAwaiting is the flag whose value the next word is, or nil.
func flagAwaiting(node *kong.Node, before []string) *kong.Flag {
	if len(before) == 0 {
		return nil
	}
	f := findFlag(node, before[len(before)-1])
	if f == nil || f.IsBool() {
		return nil
	}
	return f
}

// operands are the words that are neither flags nor their values.
func operands(node *kong.Node, before []string) []string {
	var out []string
	for i, w := range before {
		if strings.HasPrefix(w, "-") && w != "-" || flagAwaiting(node, before[:i]) != nil {
			continue
		}
		out = append(out, w)
	}
	return out
}

// values are what a flag or an operand may be, by its name and its placeholder.
func values(name string, v *kong.Value, before []string, last string) []string {
	switch {
	case v.Enum != "":
		return slices.DeleteFunc(v.EnumSlice(), func(s string) bool { return s == "words" })
	case name == "size":
		return stated(before, nameOfSize)
	case name == "set":
		return stated(before, func(s syntax.Stmt) string {
			if x, ok := s.(*syntax.Param); ok {
				return x.Decl.Name.Name + "="
			}
			return ""
		})
	case name == "part":
		return parts(before, "")
	case name == "orders":
		return orders(last)
	case name == "only":
		return parts(before, "")
	case name == "place":
		return parts(before, "@")
	case name == "lay":
		return parts(before, "=")
	case strings.HasPrefix(v.Tag.PlaceHolder, "FILE["): // FILE[=MATERIAL,MM]
		return slices.Compact(slices.Sorted(slices.Values(append(files(last, ".dxf"), files(last, ".svg")...))))
	case name == "like":
		return examples.Names()
	case name == "code":
		var out []string
		for _, c := range diag.Codes {
			out = append(out, c.Code)
		}
		return out
	case name == "module":
		return stdlib.Modules()
	case name == "file", name == "paths", name == "old", name == "new":
		return files(last, ".perch")
	case v.Tag.PlaceHolder == "FILE":
		return files(last, "")
	case v.Tag.PlaceHolder == "FOLDER":
		return files(last, "/")
	}
	return nil
}

// orders are designs and, behind a design and a colon, its sizes.
func orders(last string) []string {
	file, _, ok := strings.Cut(last, ".perch:")
	if !ok {
		return files(last, ".perch")
	}
	file += ".perch"
	var out []string
	for _, size := range stated([]string{file}, nameOfSize) {
		out = append(out, file+":"+size)
	}
	return out
}

// parts are the parts of the design among the words, with something behind.
func parts(words []string, behind string) []string {
	return stated(words, func(s syntax.Stmt) string {
		if x, ok := s.(*syntax.Part); ok {
			return x.Name.Name + behind
		}
		return ""
	})
}

func nameOfSize(s syntax.Stmt) string {
	if x, ok := s.(*syntax.Size); ok {
		return x.Name.Name
	}
	return ""
}

// stated picks names from the statements of the last design among the words.
func stated(words []string, pick func(syntax.Stmt) string) []string {
	for _, w := range slices.Backward(words) {
		at := strings.LastIndex(w, ".perch") + len(".perch")
		if at < len(".perch") || at < len(w) && w[at] != ':' && w[at] != '*' { // behind them an order goes on
			continue
		}
		w = w[:at]
		text, err := load.Plain(w)
		if err != nil {
			continue
		}
		var out []string
		f, _ := syntax.Parse(diag.NewSource(w, text))
		for _, s := range f.Stmts {
			if n := pick(s); n != "" {
				out = append(out, n)
			}
		}
		return out
	}
	return nil
}

// files are the files that begin as the word does and end in suffix, and the
// folders on the way, with a / behind them; suffix "/" is folders only.
func files(word, suffix string) []string {
	dir, part := filepath.Split(word)
	at := dir
	if at == "" {
		at = "."
	}
	entries, err := os.ReadDir(at)
	if err != nil {
		return nil
	}
	var out []string
	for _, e := range entries {
		n := e.Name()
		if !strings.HasPrefix(n, part) || strings.HasPrefix(n, ".") && !strings.HasPrefix(part, ".") {
			continue
		}
		st, err := os.Stat(filepath.Join(at, n)) // through links
		switch {
		case err != nil:
		case st.IsDir():
			out = append(out, dir+n+"/")
		case suffix != "/" && strings.HasSuffix(n, suffix):
			out = append(out, dir+n)
		}
	}
	return out
}

func begins(words []string, with string) []string {
	var out []string
	for _, w := range words {
		if strings.HasPrefix(w, with) {
			out = append(out, w)
		}
	}
	return out
}
