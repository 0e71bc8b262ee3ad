package editor

import (
	"perch/lang/check"

	"perch/lang/syntax"
)

// typed is the type that a declaration has by a word of the language.
func typed(words ...string) []check.Type {
	var out []check.Type
	for _, w := range words {
		for _, t := range check.TypeWords {
			if t.Word == w {
				out = append(out, t.Type)
			}
		}
	}
	return out
}

// clauseWants is what follows a word of a statement, by the two.
var clauseWants = map[[2]string][]check.Type{
	{"face", "on"}: typed("plane"), {"face", "from"}: typed("corner"), {"face", "off"}: typed("edge", "face"),
	{"face", "up"}: typed("angle"), {"face", "down"}: typed("angle"),
	{"fold", "fold"}: typed("face"), {"fold", "to"}: typed("face"), {"seam", "seam"}: typed("face"), {"seam", "to"}: typed("face"),
	{"fold", "by"}: {{Kind: check.BendKind}}, {"seam", "by"}: {{Kind: check.SeamKind}}, {"join", "by"}: {{Kind: check.FastenerKind}},
	{"outline", "outline"}: typed("shape"), {"cut", "="}: typed("shape"), {"mark", "="}: {{Kind: check.MarkKind}},
	{"cut", "in"}: typed("face"), {"mark", "in"}: typed("face"), {"cut", "through"}: append(typed("face"), check.Type{Kind: check.PartKind}),
	{"stock", "="}: typed("stock"), {"body", "="}: typed("body"),
	{"join", "="}: append(typed("face"), check.Type{Kind: check.PartKind}), {"join", "to"}: append(typed("face"), check.Type{Kind: check.PartKind}),
}

// wants are the types that the value begun at the cursor may have, as far as the
// words before it tell; none where anything may stand.
func (t *typing) wants() []check.Type {
	if c := callAt(t.all, t.offset); c != nil {
		begun := c.first || c.label != "" && t.back(1).text == ":"
		for _, one := range t.snap.callables(c) {
			if n := c.active(one.params); begun && n < len(one.params) {
				return one.params[n].Types
			}
		}
		return nil
	}
	word, _ := t.statement()
	switch {
	case word == "size":
		return t.wantsOfState()
	case declared[word] && bounds[t.back(1).text]:
		return t.wantsOfDeclaration()
	}
	return clauseWants[[2]string{word, t.back(1).text}]
}

// declared are the words of statements that declare a type; bounds are what a value of
// it stands behind.
var (
	declared = map[string]bool{"param": true, "panel": true, "let": true}
	bounds   = map[string]bool{"=": true, "in": true, "..": true, "about": true}
)

// wantsOfState is the type of the param that a size row states here.
func (t *typing) wantsOfState() []check.Type {
	if k := t.back(1).text; k != "=" && k != "about" {
		return nil
	}
	if p := t.snap.program().Root.Find(check.Values, t.back(2).text); p != nil {
		return []check.Type{p.Type}
	}
	return nil
}

// wantsOfDeclaration is the type that stands behind the colon of the declaration at
// hand: NAME: TYPE in LOW..HIGH = VALUE.
func (t *typing) wantsOfDeclaration() []check.Type {
	depth := 0
	for n := 1; n < len(t.tokens); n++ {
		switch k := t.back(n); {
		case k.text == ")" || k.text == "]":
			depth++
		case k.text == "(" || k.text == "[":
			if depth--; depth < 0 {
				return nil
			}
		case depth > 0:
		case k.text == "," || k.kind == syntax.StartToken:
			return nil
		case k.text == ":":
			return typed(t.back(n - 1).text)
		}
	}
	return nil
}
