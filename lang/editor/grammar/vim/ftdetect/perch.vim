autocmd BufRead,BufNewFile *.perch setfiletype perch
