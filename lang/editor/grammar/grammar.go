// Package grammar makes the files by which editors colour .perch text without
// the language server: a TextMate grammar in the folder of a small extension,
// which also starts that server, and a Vim filetype. It takes every word from the
// language's own lists, so that a word can't be missed; it knows nothing of
// meaning, which the language server's semantic tokens add.
package grammar

import (
	"regexp"
	"slices"
	"strings"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/quantity"
	"perch/lang/syntax"
)

// Files returns every file by its slash-separated path below this folder.
func Files() map[string]string {
	l := words()
	return map[string]string{
		"vscode/package.json":                   manifest,
		"vscode/language-configuration.json":    configuration,
		"vscode/extension.js":                   extension,
		"vscode/.gitignore":                     ignored,
		"vscode/syntaxes/perch.tmLanguage.json": l.textMate(),
		"vim/syntax/perch.vim":                  l.vim(),
		"vim/ftdetect/perch.vim":                vimDetect,
		"vim/indent/perch.vim":                  vimIndent,
		"vim/ftplugin/perch.vim":                vimPlugin,
		"vim/plugin/perch.vim":                  vimReader,
		"vim/autoload/perch.vim":                l.vimLibrary(),
		"vim/lua/perch.lua":                     neovimLibrary,
	}
}

// lists are the language's words by what they are coloured as.
type lists struct {
	naming    []string // start a statement and are followed by the name it declares
	stating   []string // start a statement of another form
	choosing  []string // if then else
	logical   []string // and or not in at
	clauses   []string // all other clause words
	types     []string
	functions []string
	constants []string
	options   []string // stand behind a label in place of a value
	units     []string // longest first
}

// plainStarters start a statement that declares no name.
var plainStarters = []string{"design", "use", "rule", "outline", "fold", "seam"}

var logical = []string{"and", "or", "not", "in", "at"}

var choosing = []string{"if", "then", "else"}

func words() lists {
	var l lists
	for _, w := range syntax.ReservedWords() {
		switch {
		case slices.Contains(choosing, w):
			l.choosing = append(l.choosing, w)
		case slices.Contains(logical, w):
			l.logical = append(l.logical, w)
		case slices.Contains(plainStarters, w):
			l.stating = append(l.stating, w)
		default:
			l.naming = append(l.naming, w)
		}
	}
	for _, w := range syntax.ClauseWords() {
		switch {
		case slices.Contains(choosing, w):
			l.choosing = append(l.choosing, w)
		case slices.Contains(logical, w):
			l.logical = append(l.logical, w)
		default:
			l.clauses = append(l.clauses, w)
		}
	}
	for _, t := range check.TypeWords {
		l.types = append(l.types, t.Word)
	}
	for _, f := range builtin.Functions {
		l.functions = append(l.functions, f.Name)
		for _, p := range f.Params {
			l.options = append(l.options, p.Words...)
		}
	}
	for _, c := range check.Constants {
		l.constants = append(l.constants, c.Name)
	}
	for _, u := range quantity.Units() {
		l.units = append(l.units, u.Name)
	}
	l.units = append(l.units, "ga")
	for _, s := range []*[]string{&l.functions, &l.options} {
		slices.Sort(*s)
		*s = slices.Compact(*s)
	}
	slices.SortStableFunc(l.units, func(a, b string) int { return len(b) - len(a) })
	return l
}

// oneOf is a pattern for any of the words.
func oneOf(words []string) string {
	quoted := make([]string, len(words))
	for i, w := range words {
		quoted[i] = regexp.QuoteMeta(w)
	}
	return "(?:" + strings.Join(quoted, "|") + ")"
}
