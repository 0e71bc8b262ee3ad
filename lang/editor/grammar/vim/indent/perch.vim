" A line stands a level deeper under an open bracket, and back where one closes.
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
