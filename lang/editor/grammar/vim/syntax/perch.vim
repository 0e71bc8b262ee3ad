" Made from the language's own word lists; change them and run go test with -update.
if exists("b:current_syntax")
  finish
endif

syntax match perchOperator /[-+*\/&^=<>]\|!=/
syntax match perchCall /\<\K\k*\>\ze\s*(/
syntax match perchClause /\<\%(revision\|from\|as\|about\|largest\|smallest\|free\|like\|of\|to\|by\|on\|off\|up\|down\|through\|inches\|millimetres\|loose\|round\|chamfer\|arc\|edge\)\>/
syntax match perchFunction /\<\%(abs\|acos\|area\|asin\|atan\|band\|bead\|behind\|bend\|bolt\|box\|ceil\|circle\|clearance\|closed\|cos\|count\|even\|exp\|flat_long\|flat_wide\|floor\|frustum\|hypot\|inside\|lapped\|level\|line\|ln\|load\|mass\|max\|min\|ngon\|odd\|open\|plug\|polar\|read_off\|rect\|ring\|rivet\|rivet_used\|round\|sag\|sheet\|sheets\|sin\|slot\|sqrt\|stack_pitch\|strip\|support\|sway\|symmetric\|tack\|tan\|text\|tips\|unbent\|upright\|used\|weld\)\>\ze\s*(/
syntax match perchConstant /\<\%(true\|false\)\>/
syntax match perchLogical /\<\%(not\|in\|at\|and\|or\)\>/
syntax match perchConditional /\<\%(if\|then\|else\)\>/
syntax match perchStatement /\<\%(stock\|param\|let\|size\|body\|part\|join\|panel\|face\|cut\|mark\|design\|use\|rule\|outline\|fold\|seam\)\>/
syntax match perchDeclared /\%(\<\%(stock\|param\|let\|size\|body\|part\|join\|panel\|face\|cut\|mark\)\>\s\+\)\@<=\<\K\k*\>/
syntax match perchLabel /\<\K\k*\>\ze\s*:/
syntax match perchType /\%(:\s*\[\?\s*\)\@<=\<\%(length\|angle\|count\|number\|area\|mass\|force\|money\|time\|text\|flag\|gauge\|material\|stock\|point\|shape\|plane\|body\|side\|corner\|face\|edge\|load\)\>/
syntax match perchOption /\%(:\s*\)\@<=\<\%(all\|auto\|back\|clamps\|cold\|countersunk\|down\|drawn\|free\|front\|held\|holes\|hot\|inner\|left\|locate\|longer\|middle\|none\|outer\|pulled\|right\|round\|slit\|square\|start\|tacks\|u\|up\|v\|welded\)\>/
syntax match perchMember /\.\@<!\.\s*\zs\<\K\k*\>/
syntax match perchRange /\.\./
syntax match perchNumber /\k\@<!\d\+\%(\.\d\+\)\?\%([eE][-+]\?\d\+\)\?\%(\%(deg\|rad\|lbf\|MPa\|kPa\|psi\|min\|AUD\|BRL\|CAD\|CHF\|CNY\|CZK\|DKK\|EUR\|GBP\|HUF\|INR\|JPY\|KRW\|MXN\|NOK\|NZD\|PLN\|SEK\|TRY\|USD\|ZAR\|mm\|cm\|in\|ft\|kg\|lb\|kN\|ga\|m\|g\|N\|s\|h\)\>\|[%"]\)\?/
syntax match perchNumber /\k\@<!\d\+\%(-\d\+\)\?\/\d\+\%(\%(deg\|rad\|lbf\|MPa\|kPa\|psi\|min\|AUD\|BRL\|CAD\|CHF\|CNY\|CZK\|DKK\|EUR\|GBP\|HUF\|INR\|JPY\|KRW\|MXN\|NOK\|NZD\|PLN\|SEK\|TRY\|USD\|ZAR\|mm\|cm\|in\|ft\|kg\|lb\|kN\|ga\|m\|g\|N\|s\|h\)\>\|[%"]\)/
syntax match perchNumber /\k\@<!\d\+'\%(-\?\%(\d\+-\d\+\/\d\+\|\d\+\/\d\+\|\d\+\%(\.\d\+\)\?\)"\)\?/
syntax match perchEscape /\\\%(["\\nt]\|u{\x\{1,6}}\)/ contained
syntax region perchText start=/"/ skip=/\\./ end=/"\|$/ oneline contains=perchEscape,@Spell
syntax match perchComment /\/\/.*$/ contains=@Spell

highlight default link perchComment Comment
highlight default link perchText String
highlight default link perchEscape SpecialChar
highlight default link perchNumber Number
highlight default link perchStatement Statement
highlight default link perchDeclared Identifier
highlight default link perchConditional Conditional
highlight default link perchLogical Operator
highlight default link perchOperator Operator
highlight default link perchRange Operator
highlight default link perchClause Keyword
highlight default link perchType Type
highlight default link perchOption Constant
highlight default link perchConstant Boolean
highlight default link perchFunction Function
highlight default link perchCall Function
highlight default link perchLabel Label
highlight default link perchMember Normal

let b:current_syntax = "perch"
