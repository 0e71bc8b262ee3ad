package diag

import (
	"fmt"
	"io"
	"strings"
)

// Style says how Render writes.
type Style struct {
	Color bool // ANSI colour sequences
}

type paint string

const (
	plain  paint = ""
	bold   paint = "\x1b[1m"
	red    paint = "\x1b[1;31m"
	yellow paint = "\x1b[1;33m"
	blue   paint = "\x1b[1;34m"
	green  paint = "\x1b[1;32m"
	reset        = "\x1b[0m"
)

func (s Severity) paint() paint {
	switch s {
	case Error:
		return red
	case Warning:
		return yellow
	}
	return blue
}

// Render writes ds for a reader at a terminal, a blank line between two. It
// never panics: places outside their text are moved into it, and control
// characters are shown escaped.
func Render(w io.Writer, ds []Diagnostic, style Style) error {
	var p printer
	p.style = style
	for i, d := range ds {
		if i > 0 {
			p.WriteByte('\n')
		}
		p.diagnostic(d)
	}
	_, err := io.WriteString(w, p.String())
	return err
}

// String is d as Render writes it without colour.
func (d Diagnostic) String() string {
	var p printer
	p.diagnostic(d)
	return p.String()
}

type printer struct {
	strings.Builder
	style Style
}

func (p *printer) put(c paint, text string) {
	if p.style.Color && c != plain && text != "" {
		text = string(c) + text + reset
	}
	p.WriteString(text)
}

func (p *printer) diagnostic(d Diagnostic) {
	head := d.Severity.String()
	if d.Code != "" {
		head += "[" + Escape(d.Code) + "]"
	}
	p.put(d.Severity.paint(), head)
	p.put(bold, ": "+Escape(d.Summary))
	p.WriteByte('\n')

	gutter := gutterWidth(d)
	p.snippet(d.Span, d.Label, '^', d.Severity.paint(), gutter)
	for _, r := range d.Related {
		p.snippet(r.Span, r.Message, '-', blue, gutter)
	}
	if d.Part != "" {
		p.remark(gutter, "part", d.Part)
	}
	for _, n := range d.Notes {
		p.remark(gutter, "note", n)
	}
	if d.Fix != nil {
		p.remark(gutter, "fix", d.Fix.Message)
	}
}

// gutterWidth is the width of the largest line number shown.
func gutterWidth(d Diagnostic) int {
	last := d.Span.EndPosition().Line
	for _, r := range d.Related {
		last = max(last, r.Span.EndPosition().Line)
	}
	return len(fmt.Sprint(last))
}

func (p *printer) remark(gutter int, kind, text string) {
	for i, line := range strings.Split(text, "\n") {
		p.WriteString(strings.Repeat(" ", gutter+1))
		if i == 0 {
			p.put(blue, "= ")
			p.put(bold, kind+": ")
		} else {
			p.WriteString(strings.Repeat(" ", len(kind)+4))
		}
		p.WriteString(Escape(line))
		p.WriteByte('\n')
	}
}

// snippet shows the lines of sp with the text underlined and label beside it.
// A span of several lines shows its first and last.
func (p *printer) snippet(sp Span, label string, mark byte, c paint, gutter int) {
	if sp.IsZero() {
		if label != "" {
			p.remark(gutter, "note", label)
		}
		return
	}
	start, end := sp.clamp()
	sp.Start, sp.End = int32(start), int32(end)
	from, to := sp.Position(), sp.EndPosition()
	p.WriteString(strings.Repeat(" ", gutter))
	p.put(blue, "--> ")
	fmt.Fprintf(p, "%s:%d:%d\n", Escape(sp.Source.Name), from.Line, from.Column)
	p.gutter(gutter, "")
	p.WriteByte('\n')

	if to.Column == 1 && to.Line > from.Line { // ends with a line end: do not show the next line
		to.Line--
		_, e := sp.Source.lineBounds(to.Line)
		end = e
	}
	p.line(sp.Source, from.Line, start, end, condLabel(from.Line == to.Line, label), mark, c, gutter)
	if to.Line > from.Line {
		if to.Line > from.Line+1 {
			p.WriteString(strings.Repeat(" ", gutter))
			p.put(blue, "...")
			p.WriteByte('\n')
		}
		s, _ := sp.Source.lineBounds(to.Line)
		line := sp.Source.Text[s:end]
		s += len(line) - len(strings.TrimLeft(line, " \t"))
		p.line(sp.Source, to.Line, s, end, label, mark, c, gutter)
	}
}

func condLabel(show bool, label string) string {
	if show {
		return label
	}
	return ""
}

// line shows line n and underlines the bytes start..end of its source.
func (p *printer) line(src *Source, n, start, end int, label string, mark byte, c paint, gutter int) {
	ls, le := src.lineBounds(n)
	start = min(max(start, ls), le)
	end = min(max(end, start), le)
	text, pad, width := excerpt(src.Text[ls:le], start-ls, end-ls)
	p.gutter(gutter, fmt.Sprint(n))
	if text != "" {
		p.WriteByte(' ')
		p.WriteString(text)
	}
	p.WriteByte('\n')
	p.gutter(gutter, "")
	p.WriteString(strings.Repeat(" ", pad+1))
	under := strings.Repeat(string(mark), max(width, 1))
	if label != "" {
		under += " " + Escape(label)
	}
	p.put(c, under)
	p.WriteByte('\n')
}

func (p *printer) gutter(width int, number string) {
	p.put(blue, fmt.Sprintf("%*s |", width, number))
}
