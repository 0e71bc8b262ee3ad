" Reads the library's texts, and finds where names are declared.

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

let s:declares = '^\s*\<\%(stock\|param\|let\|size\|body\|part\|join\|panel\|face\|cut\|mark\)\>\s\+'
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
