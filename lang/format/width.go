package format

import "unicode/utf8"

// maxWidth is how many columns the code of a line may take before a bracket on
// it is spread. (Common practice for source text, no source.)
const maxWidth = 100

// spreadLong has one bracket spread on every line whose code is too wide, and says
// whether there was any: the text is then laid out anew. Each round goes one bracket
// deeper, so there are no more rounds than brackets stand in each other.
func (w *writer) spreadLong() bool {
	found := false
	for i := 0; i < len(w.tokens); {
		k := i + 1
		for k < len(w.tokens) && w.tokens[k].line == w.tokens[i].line {
			k++
		}
		if l := &w.lines[w.tokens[i].line]; w.codeWidth(l) > maxWidth {
			if b := w.widest(i, k); b >= 0 {
				w.tokens[b].spread, found = true, true
			}
		}
		i = k
	}
	return found
}

// widest is the bracket to be spread among the tokens from to end of one line: the
// braces of a face, else the widest of the outermost brackets that open before the
// line is full. The index behind a name is spread only where there is no other.
// -1 where nothing helps.
func (w *writer) widest(from, end int) int {
	best, most, index := -1, 0, true
	for i := from; i < end; i++ {
		t := &w.tokens[i]
		if t.kind != opener && t.kind != brace || int(t.match) >= end || w.next(i) == int(t.match) {
			continue
		}
		if t.kind == brace {
			return i
		}
		width := utf8.RuneCount(w.buf[t.behind:w.tokens[t.match].behind])
		isIndex := w.text[t.start] == '[' && w.isGlued(i-1)
		better := best < 0 || index && !isIndex || index == isIndex && width > most
		if inner := w.onlyList(i); better && w.columnBehind(inner) <= maxWidth && w.marks[w.tokens[w.next(inner)].start]&bare == 0 {
			best, most, index = inner, width, isIndex
		}
		i = int(t.match)
	}
	return best
}

// onlyList is the list that is all there is in the brackets at i, as in symmetric([…]): it is
// spread in their place. Else i.
func (w *writer) onlyList(i int) int {
	k := i + 1
	if w.text[w.tokens[i].start] == '(' && w.text[w.tokens[k].start] == '[' && w.tokens[k].match+1 == w.tokens[i].match && w.next(k) != int(w.tokens[k].match) {
		return k
	}
	return i
}

// columnBehind is the column behind the token at i, as it was laid out.
func (w *writer) columnBehind(i int) int {
	t := &w.tokens[i]
	l := &w.lines[t.line]
	return l.indent + utf8.RuneCount(w.buf[l.start:t.behind])
}
