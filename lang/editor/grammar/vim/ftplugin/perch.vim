" How .perch designs are edited: two spaces a level, // comments.
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
