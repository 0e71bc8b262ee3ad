package grammar

import (
	"slices"
	"strings"
)

const vimDetect = "autocmd BufRead,BufNewFile *.perch setfiletype perch\n"

const vimPlugin = `" How .perch designs are edited: two spaces a level, // comments.
if exists("b:did_ftplugin")
  finish
endif
let b:did_ftplugin = 1

setlocal expandtab shiftwidth=2 softtabstop=2
setlocal comments=:// commentstring=//\ %s
setlocal formatoptions-=t formatoptions+=croql
setlocal suffixesadd=.perch

let b:undo_ftplugin = "setlocal expandtab< shiftwidth< softtabstop< comments< commentstring< formatoptions< suffixesadd<"
`

const vimIndent = `" A line stands a level deeper under an open bracket, and back where one closes.
if exists("b:did_indent")
  finish
endif
let b:did_indent = 1

setlocal indentexpr=PerchIndent() indentkeys=0),0],0},o,O,!^F
let b:undo_indent = "setlocal indentexpr< indentkeys<"

if exists("*PerchIndent")
  finish
endif

function PerchIndent()
  let above = prevnonblank(v:lnum - 1)
  let in = above == 0 ? 0 : indent(above)
  if getline(above) =~ '[(\[{]\s*\%(//.*\)\?$'
    let in += shiftwidth()
  endif
  if getline(v:lnum) =~ '^\s*[)\]}]'
    let in -= shiftwidth()
  endif
  return in
endfunction
`

// vimWords is a Vim pattern for any of the words, whole.
func vimWords(words ...[]string) string {
	return `\<\%(` + strings.Join(slices.Concat(words...), `\|`) + `\)\>`
}

// vim is the syntax file. Everything is a match, no keyword: a keyword would
// win over the labels and members that the same words may be. Of the matches at
// one place Vim takes the last, so that the loosest stand first.
func (l lists) vim() string {
	const name = `\<\K\k*\>`
	var b strings.Builder
	line := func(s string) { b.WriteString(s + "\n") }
	match := func(group, pattern string) {
		line(`syntax match ` + group + ` /` + strings.ReplaceAll(pattern, "/", `\/`) + `/`)
	}
	line(`" Made from the language's own word lists; change them and run go test with -update.`)
	line(`if exists("b:current_syntax")` + "\n  finish\nendif\n")
	match("perchOperator", `[-+*/&^=<>]\|!=`)
	match("perchCall", name+`\ze\s*(`)
	match("perchClause", vimWords(l.clauses))
	match("perchFunction", vimWords(l.functions)+`\ze\s*(`)
	match("perchConstant", vimWords(l.constants))
	match("perchLogical", vimWords(l.logical))
	match("perchConditional", vimWords(l.choosing))
	match("perchStatement", vimWords(l.naming, l.stating))
	match("perchDeclared", `\%(`+vimWords(l.naming)+`\s\+\)\@<=`+name)
	match("perchLabel", name+`\ze\s*:`)
	match("perchType", `\%(:\s*\[\?\s*\)\@<=`+vimWords(l.types))
	match("perchOption", `\%(:\s*\)\@<=`+vimWords(l.options))
	match("perchMember", `\.\@<!\.\s*\zs`+name)
	match("perchRange", `\.\.`)
	units := `\%(` + vimWords(l.units) + `\|[%"]\)`
	units = strings.ReplaceAll(units, `\<`, "")
	number := `\k\@<!\d\+`
	inches := `\%(\d\+-\d\+/\d\+\|\d\+/\d\+\|\d\+\%(\.\d\+\)\?\)`
	match("perchNumber", number+`\%(\.\d\+\)\?\%([eE][-+]\?\d\+\)\?`+units+`\?`)
	match("perchNumber", number+`\%(-\d\+\)\?/\d\+`+units)
	match("perchNumber", number+`'\%(-\?`+inches+`"\)\?`)
	line(`syntax match perchEscape /\\\%(["\\nt]\|u{\x\{1,6}}\)/ contained`)
	line(`syntax region perchText start=/"/ skip=/\\./ end=/"\|$/ oneline contains=perchEscape,@Spell`)
	line(`syntax match perchComment /\/\/.*$/ contains=@Spell`)
	line("")
	for _, g := range [][2]string{
		{"Comment", "Comment"}, {"Text", "String"}, {"Escape", "SpecialChar"}, {"Number", "Number"},
		{"Statement", "Statement"}, {"Declared", "Identifier"}, {"Conditional", "Conditional"}, {"Logical", "Operator"},
		{"Operator", "Operator"}, {"Range", "Operator"}, {"Clause", "Keyword"}, {"Type", "Type"}, {"Option", "Constant"},
		{"Constant", "Boolean"}, {"Function", "Function"}, {"Call", "Function"}, {"Label", "Label"}, {"Member", "Normal"},
	} {
		line("highlight default link perch" + g[0] + " " + g[1])
	}
	line("\nlet b:current_syntax = \"perch\"")
	return b.String()
}
