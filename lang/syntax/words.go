package syntax

import (
	"slices"
	"strings"
)

// place is a set of places where a statement may stand.
type place uint8

const (
	atTop place = 1 << iota
	inPanel
	inFace
	anywhere = atTop | inPanel | inFace
)

// starter describes a reserved word that starts a statement.
type starter struct {
	word   string
	places place
	form   string // how the statement reads, for messages
}

var starters = []starter{
	{"design", atTop, `design "name" in UNITS revision "A", where UNITS is inches or millimetres`},
	{"use", atTop, "use NAME, NAME as NAME from MODULE"},
	{"stock", atTop, "stock NAME = sheet(MATERIAL, THICKNESS)"},
	{"param", atTop, `param NAME: TYPE in LOW..HIGH = VALUE "doc"`},
	{"let", anywhere, "let NAME[NAME in LIST] = VALUE, or let NAME(NAME: TYPE) = VALUE"},
	{"rule", atTop | inPanel, `rule VALUE = VALUE if CONDITION "why"`},
	{"size", atTop, "size NAME like NAME: NAME = VALUE, NAME about VALUE, NAME largest"},
	{"body", atTop, "body NAME[NAME in LIST] = VALUE"},
	{"part", atTop, "part NAME[NAME in LIST] of STOCK = PANEL(…) loose if CONDITION"},
	{"join", atTop, "join NAME = FACE to FACE at PLACES by FASTENER if CONDITION"},
	{"panel", atTop, `panel NAME(NAME: TYPE, …) of NAME "doc" { … }`},
	{"face", inPanel, "face NAME[NAME in LIST] on PLANE from CORNER { … }, or face NAME off EDGE up ANGLE { … }"},
	{"outline", inFace, "outline SHAPE"},
	{"cut", inFace, "cut NAME[NAME in LIST] = SHAPE if CONDITION"},
	{"mark", inFace, "mark NAME[NAME in LIST] = LINE if CONDITION"},
	{"fold", inPanel, "fold FACE to FACE by bend(…) if CONDITION"},
	{"seam", inPanel, "seam FACE to FACE by open(GAP) if CONDITION"},
}

// outsiders are the statements of a face that a file may hold too, saying in which face.
var outsiders = []starter{
	{"cut", atTop, "cut NAME[NAME in LIST] in FACE through PART = SHAPE if CONDITION"},
	{"mark", atTop, "mark NAME[NAME in LIST] in FACE = LINE if CONDITION"},
}

var clauseWords = []string{
	"revision", "from", "as", "in", "about", "largest", "smallest", "free", "like", "of", "to", "by",
	"on", "off", "up", "down", "at", "through", "inches", "millimetres", "loose", "round", "chamfer", "arc", "edge", "then", "else", "and", "or",
}

func starterFor(word string) *starter {
	for i := range starters {
		if starters[i].word == word {
			return &starters[i]
		}
	}
	return nil
}

// starter is the statement that t starts, which is taken from here on: a cut or mark
// that says in which face is one of a file.
func (p *parser) starter(t *Token) *starter {
	for i := range outsiders {
		if outsiders[i].word == t.Value && p.saysIn() {
			return &outsiders[i]
		}
	}
	return starterFor(t.Value)
}

// saysIn tells whether WORD NAME [Index] `in` stands here.
func (p *parser) saysIn() bool {

	defer p.back(p.at)
	p.next()
	if t := p.peek(); t.Type != WordToken {
		return false
	}
	p.next()
	for depth := 0; p.is("[") || depth > 0; {
		switch t := p.next(); {
		case t.EOF() || t.Type == StartToken:
			return false
		case t.Value == "[" && t.Type == PunctToken:
			depth++
		case t.Value == "]" && t.Type == PunctToken:
			depth--
		}
	}
	return p.word("in")
}

// ReservedWords lists the words that are no names: those that start a
// statement, then `if` and `not`.
func ReservedWords() []string {
	words := make([]string, 0, len(starters)+2)
	for _, s := range starters {
		words = append(words, s.word)
	}
	return append(words, "if", "not")
}

// ClauseWords lists the words that have a meaning inside a statement and are
// names everywhere else.
func ClauseWords() []string { return slices.Clone(clauseWords) }

// IsReserved reports whether word can't be a name.
func IsReserved(word string) bool { return wordType(word) != WordToken }

// wordType is the token type of a word that stands by itself.
func wordType(word string) TokenType {
	switch word {
	case "if", "not":
		return KeyToken
	case "design", "use", "stock", "param", "let", "rule", "size", "body", "part", "join",
		"panel", "face", "outline", "cut", "mark", "fold", "seam":
		return StartToken
	}
	return WordToken
}

// nearestStarter proposes a reserved word for a misspelt one.
func nearestStarter(word string) (string, bool) {
	lower := strings.ToLower(word)
	for _, s := range starters {
		if lower == s.word || len(word) > 2 && distance(lower, s.word) == 1 {
			return s.word, true
		}
	}
	return "", false
}

// distance counts the letters to change, add, drop or swap with a neighbour,
// stopping at 2.
func distance(a, b string) int {
	if a == b {
		return 0
	}
	if len(a) > len(b) {
		a, b = b, a
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	switch {
	case len(a)+1 == len(b) && a[i:] == b[i+1:]:
		return 1
	case len(a) == len(b) && a[i+1:] == b[i+1:]:
		return 1
	case len(a) == len(b) && i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:]:
		return 1
	}
	return 2
}
