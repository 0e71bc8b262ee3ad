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
setlocal suffixesadd=.perch includeexpr=perch#address(v:fname)
if !has("nvim") " which asks the service
  setlocal tagfunc=perch#tags
endif

let b:undo_ftplugin = "setlocal expandtab< shiftwidth< softtabstop< comments< commentstring< formatoptions< suffixesadd< includeexpr< tagfunc<"
`

// vimReader has the library's addresses read, by whichever way one is come to.
const vimReader = `" The library's texts are no files: perch-lib:///std/stool.perch is read from perch.
if exists("g:loaded_perch")
  finish
endif
let g:loaded_perch = 1

augroup perch_library
  autocmd!
  autocmd BufReadCmd perch-lib:///* call perch#read(expand("<amatch>"))
augroup END
`

// vimLibrary is how the library is read: Neovim asks a service that it runs, where it
// runs one; else the program is asked, by the name in g:perch. And how Vim, which has no
// service, finds where a name is declared.
func (l lists) vimLibrary() string {
	return `" Reads the library's texts, and finds where names are declared.

" perch#address is the address of a module of the library, std.stool; or the name itself.
function perch#address(name) abort
  return a:name =~# '^\h\w*\%(\.\h\w*\)\+$' && a:name !~# '\.perch$'
        \ ? 'perch-lib:///' . substitute(a:name, '\.', '/', 'g') . '.perch' : a:name
endfunction

" perch#read fills the buffer with the text of an address.
function perch#read(address) abort
  setlocal modifiable noreadonly
  silent! %delete _
  call setline(1, s:text(a:address))
  setlocal filetype=perch noswapfile nomodified nomodifiable readonly
endfunction

function s:text(address) abort
  if has("nvim")
    let text = luaeval('require("perch").text(_A)', a:address)
    if type(text) == v:t_string
      return split(text, "\n")
    endif
  endif
  let module = substitute(matchstr(a:address, ':/*\zs.*\ze\.perch$'), '/', '.', 'g')
  let lines = systemlist(shellescape(get(g:, "perch", "perch")) . " library " . shellescape(module))
  if v:shell_error
    return ["// This text could not be read: " . join(lines), "// Put perch into the PATH, or its whole path into g:perch."]
  endif
  return lines
endfunction

let s:declares = '^\s*` + vimWords(l.naming) + `\s\+'
let s:from = '^\s*use\>.*\<from\s\+\zs\h[A-Za-z0-9_.]*'

" perch#tags finds where a name is declared: in this text, else in the module of the
" library that it is taken from.
function perch#tags(name, flags, info) abort
  if a:flags =~# '[ir]'
    return v:null
  endif
  let here = s:find(a:name, getline(1, "$"), expand("%:p"))
  if !empty(here)
    return here
  endif
  for line in getline(1, "$")
    let module = matchstr(line, s:from)
    if module == "" || line !~# '\<' . a:name . '\>'
      continue
    endif
    let name = matchstr(line, '\h\w*\ze\s\+as\s\+' . a:name . '\>')
    let name = name == "" ? a:name : name
    let address = perch#address(module)
    let there = s:find(name, s:text(address), address)
    if !empty(there)
      return there
    endif
  endfor
  return []
endfunction

function s:find(name, lines, file) abort
  let pattern = s:declares . a:name . '\>'
  return map(filter(range(len(a:lines)), 'a:lines[v:val] =~# pattern'),
        \ '{"name": a:name, "filename": a:file, "cmd": string(v:val + 1)}')
endfunction
`
}

// neovimLibrary asks a service that Neovim runs for a text of the library.
const neovimLibrary = `-- Asks the services that run for a text of the library.
local M = {}

-- text is the text of an address, nil where no service has it.
function M.text(address)
  for _, client in ipairs((vim.lsp.get_clients or vim.lsp.get_active_clients)()) do
    local offered = vim.tbl_get(client.server_capabilities or {}, "workspace", "textDocumentContent", "schemes")
    if offered and vim.tbl_contains(offered, "perch-lib") then
      local params = { uri = address }
      local answer
      if vim.fn.has("nvim-0.11") == 1 then
        answer = client:request_sync("workspace/textDocumentContent", params, 5000, 0)
      else
        answer = client.request_sync("workspace/textDocumentContent", params, 5000, 0)
      end
      if answer and answer.result then return answer.result.text end
    end
  end
end

return M
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
