" The library's texts are no files: perch-lib:///std/stool.perch is read from perch.
if exists("g:loaded_perch")
  finish
endif
let g:loaded_perch = 1

augroup perch_library
  autocmd!
  autocmd BufReadCmd perch-lib:///* call perch#read(expand("<amatch>"))
augroup END
