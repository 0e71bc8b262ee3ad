package check

import (
	"cmp"
	"slices"
	"strings"
	"sync"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// lost says whether word stands in text of m that the parser had to skip. What
// was declared or used there is not known, so nothing is said about its absence:
// the mistake that made the parser skip it is reported already.
func (m *Module) lost(words ...string) bool {
	if m == nil || m.Source == nil {
		return false
	}
	skipped := m.skipped()
	return slices.ContainsFunc(words, func(w string) bool { return skipped[w] })
}

// skippedIn is skippedWords, worked out when it is first asked for, by whomever.
func skippedIn(f *syntax.File) func() map[string]bool {
	return sync.OnceValue(func() map[string]bool { return skippedWords(f) })
}

// skippedWords lists the words of a text that no parsed statement covers.
func skippedWords(f *syntax.File) map[string]bool {
	cover := covered{comments: f.Comments}
	if f.Design != nil {
		cover.add(f.Design.At)
	}
	for _, c := range f.Comments {
		cover.add(c.At)
	}
	for _, s := range f.Stmts {
		cover.statement(s)
	}
	slices.SortFunc(cover.spans, func(a, b diag.Span) int { return cmp.Compare(a.Start, b.Start) })
	words := map[string]bool{}
	text, at := f.Source.Text, 0
	for _, sp := range cover.spans {
		if int(sp.Start) > at {
			wordsOf(text[at:min(int(sp.Start), len(text))], words)
		}
		at = max(at, int(sp.End))
	}
	if at < len(text) {
		wordsOf(text[at:], words)
	}
	return words
}

// covered are stretches of text that were understood.
type covered struct {
	spans    []diag.Span
	comments []syntax.Comment
}

func (c *covered) add(sp diag.Span) { c.spans = append(c.spans, sp) }

// clause covers what stands behind a word such as `off`, and the word.
func (c *covered) clause(sp diag.Span) {
	head := c.before(sp.Source.Text[:sp.Start])
	for len(head) > 0 && wordByte(head[len(head)-1]) {
		head = head[:len(head)-1]
	}
	sp.Start = int32(len(head))
	c.add(sp)
}

// before is a text without the space and the comments that it ends with.
func (c *covered) before(text string) string {
	for {
		text = strings.TrimRight(text, " \t\r\n")
		i, found := slices.BinarySearchFunc(c.comments, int32(len(text)), func(x syntax.Comment, end int32) int { return cmp.Compare(x.At.End, end) })
		if !found {
			return text
		}
		text = text[:c.comments[i].At.Start]
	}
}

// head covers a statement from its reserved word to its name.
func (c *covered) head(at diag.Span, name syntax.Ident) {
	if !name.At.IsZero() {
		at.End = name.At.End
		c.add(at)
	}
}

// statement covers a statement; of a panel and a face only what was understood inside.
func (c *covered) statement(s syntax.Stmt) {
	switch s := s.(type) {
	case *syntax.Panel:
		c.head(s.At, s.Name)
		for i := range s.Params {
			c.add(s.Params[i].At)
		}
		if s.Of != nil {
			c.clause(s.Of.At)
		}
		if s.Doc != nil {
			c.add(s.Doc.At)
		}
		for _, b := range s.Body {
			c.statement(b)
		}
	case *syntax.Face:
		c.head(s.At, s.Name)
		for i := range s.Index {
			c.add(s.Index[i].At)
		}
		for _, e := range []syntax.Expr{s.On, s.From, s.Off, s.Angle, s.Guard} {
			if e != nil {
				c.clause(e.Span())
			}
		}
		for _, b := range s.Body {
			c.statement(b)
		}
	default:
		c.add(s.Span())
	}
}

func wordsOf(text string, into map[string]bool) {
	start := -1
	for i := 0; i <= len(text); i++ {
		if i < len(text) && wordByte(text[i]) {
			if start < 0 {
				start = i
			}
			continue
		}
		if start >= 0 {
			into[text[start:i]] = true
			start = -1
		}
	}
}

func wordByte(b byte) bool {
	return b == '_' || b >= 'a' && b <= 'z' || b >= 'A' && b <= 'Z' || b >= '0' && b <= '9' || b >= 0x80
}
