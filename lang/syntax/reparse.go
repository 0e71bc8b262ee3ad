package syntax

import (
	"sort"
	"strings"

	"perch/lang/diag"
)

// Change says how a text came from an earlier one: its bytes Start..End were
// replaced, and Fresh bytes stand there now.
type Change struct{ Start, End, Fresh int }

// Reparse gives what Parse(src) gives, from the outcome of parsing an earlier
// text: only the statements around the change are parsed, all others are copied
// to where they stand now. old and its mistakes are left as they were. Where the
// change may reach further than that, the whole text is parsed.
//
// Between two statements that only the top of a file may hold, the second first on
// its line, with no block open and no mistake that touches the second's word, the
// parser remembers nothing of what was before: what lies behind is parsed as it was.
func Reparse(old *File, mistakes []diag.Diagnostic, src *diag.Source, ch Change) (*File, []diag.Diagnostic) {
	r := reparser{old: old, mistakes: mistakes, src: src, ch: ch, by: ch.Fresh - (ch.End - ch.Start)}
	if len(old.Source.Text)+r.by == len(src.Text) && len(src.Text) <= MaxFileSize && len(mistakes) < maxMistakes {
		r.seams()
		from := r.from()
		for n, to := 1, r.to(0); from >= 0 && to < len(r.at)-1; n *= 4 {
			if f, ds, ok := r.window(from, to); ok {
				return f, ds
			}
			to = r.to(to + n)
		}
	}
	return Parse(src)
}

// reparser is the state of one Reparse. Offsets at are of the old text.
type reparser struct {
	old      *File
	mistakes []diag.Diagnostic
	src      *diag.Source
	ch       Change
	by       int
	at       []seam
}

// seam is a place between top-level statements where parsing may begin or end.
type seam struct {
	stmt int // index of the statement behind it in old.Stmts
	at   int // where that starts
	word int // where its first word ends
}

// seams lists them in order.
func (r *reparser) seams() {
	for i, s := range r.old.Stmts {
		var word string
		switch s.(type) {
		case *Use:
			word = "use"
		case *Stock:
			word = "stock"
		case *Param:
			word = "param"
		case *Size:
			word = "size"
		case *Body:
			word = "body"
		case *Part:
			word = "part"
		case *Join:
			word = "join"
		case *Panel:
			word = "panel"
		default:
			continue
		}
		at := int(s.Span().Start)
		if end := at + len(word); r.firstOnLine(at) && !r.mistaken(at, end) {
			r.at = append(r.at, seam{i, at, end})
		}
	}
}

// firstOnLine says that nothing but blanks stands before at on its line.
func (r *reparser) firstOnLine(at int) bool {
	before := strings.TrimRight(r.old.Source.Text[:at], " \t")
	return before == "" || before[len(before)-1] == '\n'
}

// mistaken says that a mistake touches the bytes from..to.
func (r *reparser) mistaken(from, to int) bool {
	i := sort.Search(len(r.mistakes), func(i int) bool { return int(r.mistakes[i].Span.Start) >= from })
	if i < len(r.mistakes) && int(r.mistakes[i].Span.Start) <= to {
		return true
	}
	return i > 0 && int(r.mistakes[i-1].Span.End) >= from
}

// from is the seam to begin at: the one before the last that lies wholly before
// the change, so that nothing put behind a word can make another of it; -1 where
// there is none.
func (r *reparser) from() int {
	n := sort.Search(len(r.at), func(i int) bool { return r.at[i].word >= r.ch.Start })
	return n - 2
}

// to is the first seam behind the change, the n-th at least.
func (r *reparser) to(n int) int {
	return max(n, sort.Search(len(r.at), func(i int) bool { return r.at[i].at > r.ch.End+1 }))
}

// window parses from one seam to another and copies the rest. ok is false where
// what is parsed does not end at the second.
func (r *reparser) window(from, to int) (f *File, ds []diag.Diagnostic, ok bool) {
	start, stop := r.at[from].at, r.at[to].at+r.by
	scan := newScanner(r.src)
	scan.i = start
	scan.text = r.src.Text[:r.at[to+1].at+r.by]
	f = &File{Source: r.src}
	e := engines.Get().(*engine)
	p := &parser{src: r.src, eng: e, tokens: scan.grammatical(), file: f, any: true, stop: stop, mistakeAt: -1}
	p.broken = scan.broken
	e.p = p
	defer func() { e.p = nil; engines.Put(e) }()
	p.run()
	fresh := append(inside(scan.mistakes(), start, stop), p.diags...)
	if !p.stopped || f.Design != nil || len(fresh)+len(r.mistakes) >= maxMistakes {
		return nil, nil, false
	}
	before, behind := shifter{src: r.src}, shifter{src: r.src, by: int32(r.by)}
	for _, d := range r.mistakes {
		switch at := int(d.Span.Start); {
		case d.Mark&diag.WholeFile != 0:
			return nil, nil, false
		case at < start:
			d = before.diagnostic(d)
		case at > r.at[to].at:
			if !within(d, r.at[to].at) {
				return nil, nil, false
			}
			d = behind.diagnostic(d)
		default:
			continue
		}
		fresh = append(fresh, d)
	}
	for i := range fresh {
		if fresh[i].Mark&diag.WholeFile != 0 {
			return nil, nil, false
		}
	}
	f.Design = before.design(r.old.Design)
	f.Stmts = r.splice(before, f.Stmts, behind, from, to)
	f.Comments = r.comments(before, scan.comments, behind, start, r.at[to].at)
	return f, diag.Sorted(fresh), true
}

// within says that all places of a mistake stand at or behind an offset.
func within(d diag.Diagnostic, at int) bool {
	for _, x := range d.Related {
		if int(x.Span.Start) < at {
			return false
		}
	}
	if d.Fix != nil {
		for _, x := range d.Fix.Edits {
			if int(x.Span.Start) < at {
				return false
			}
		}
	}
	return true
}

// inside keeps the mistakes that start in start..stop.
func inside(ds []diag.Diagnostic, start, stop int) []diag.Diagnostic {
	var out []diag.Diagnostic
	for _, d := range ds {
		if at := int(d.Span.Start); at >= start && at < stop {
			out = append(out, d)
		}
	}
	return out
}

func (r *reparser) splice(before shifter, middle []Stmt, behind shifter, from, to int) []Stmt {
	out := make([]Stmt, 0, len(r.old.Stmts)+len(middle))
	for _, s := range r.old.Stmts[:r.at[from].stmt] {
		out = append(out, before.stmt(s))
	}
	own := shifter{src: r.src, own: true} // versions of the text are let go
	for _, s := range middle {
		out = append(out, own.stmt(s))
	}
	for _, s := range r.old.Stmts[r.at[to].stmt:] {
		out = append(out, behind.stmt(s))
	}
	return out
}

// comments are those of the old text before start, the fresh ones before the
// second seam, and those of the old text behind stop.
func (r *reparser) comments(before shifter, fresh []Comment, behind shifter, start, stop int) []Comment {
	var out []Comment
	for _, c := range r.old.Comments {
		if int(c.At.Start) < start {
			out = append(out, Comment{c.Text, before.span(c.At)})
		}
	}
	for _, c := range fresh {
		if int(c.At.Start) < stop+r.by {
			out = append(out, Comment{strings.Clone(c.Text), c.At})
		}
	}
	for _, c := range r.old.Comments {
		if int(c.At.Start) > stop {
			out = append(out, Comment{c.Text, behind.span(c.At)})
		}
	}
	return out
}
