" How .perch designs are edited: two spaces a level, // comments.
if exists("b:did_ftplugin")
  finish
endif
let b:did_ftplugin = 1

setlocal expandtab shiftwidth=2 softtabstop=2
setlocal comments=:// commentstring=//\ %s
setlocal formatoptions-=t formatoptions+=croql
setlocal suffixesadd=.perch

let b:undo_ftplugin = "setlocal expandtab< shiftwidth< softtabstop< comments< commentstring< formatoptions< suffixesadd<"
