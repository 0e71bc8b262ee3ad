package compare

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"perch/parts/measure"
)

// Report is a difference in words, in the units that the design is written in: the
// verdict first, what the piece comes to, then what was stated and what follows.
type Report struct {
	Title    string
	Verdict  string
	sections []section
	left     string // what the report leaves out, and how to see it; "" for nothing
	of       *Difference
}

// section is a heading with its rows.
type section struct {
	title string
	rows  []row
}

// row is one thing told: cells under each other, and lines that say more of it.
type row struct {
	sign  string // +, - or ~ of a statement or size; "" of others
	cells []string
	more  []string
}

// mostRows are the rows of a section of a brief report.
const mostRows = 12

// Brief reports in short: what changed alike is one row, with the range of its numbers,
// and of a long list the beginning.
func (d *Difference) Brief() *Report {
	stated, values, parts := d.briefStated(), d.briefValues(), d.briefParts()
	r := d.report(stated, values, parts)
	if toldIn(parts) < toldIn(d.allParts()) || len(stated) < len(d.Statements) || len(values) < len(d.allValues()) {
		r.left = toldByAll
	}
	for i := range r.sections {
		s := &r.sections[i]
		if more := len(s.rows) - mostRows; more > 1 {
			s.rows = append(s.rows[:mostRows:mostRows], row{cells: []string{fmt.Sprintf("and %d more", more)}})
			r.left = toldByAll
		}
	}
	return r
}

const toldByAll = "--all tells more"

// toldIn counts what is told, all in one row as one for each part of it.
func toldIn(rows []row) int {
	n := 0
	for _, r := range rows {
		n += 1 + len(r.more)
		for _, c := range r.cells {
			n += strings.Count(c, "; ")
		}
	}
	return n
}

// All reports every hole, fold and mark that changed, at every size.
func (d *Difference) All() *Report { return d.report(d.allStated(), d.allValues(), d.allParts()) }

func (d *Difference) report(stated, values, parts []row) *Report {
	r := &Report{Title: d.New.Design, Verdict: d.verdict(), of: d}
	if d.Old.Design != d.New.Design {
		r.Title = d.Old.Design + " → " + d.New.Design
	}
	for _, s := range []section{
		{"in all", d.totalRows()},
		{"stated", stated},
		{"sizes", d.sizeRows()},
		{"values", values},
		{"parts", append(parts, d.joinRows()...)},
	} {
		if len(s.rows) > 0 {
			r.sections = append(r.sections, s)
		}
	}
	return r
}

// verdict says in a line how much changed, and what the revision says of it.
func (d *Difference) verdict() string {
	if d.Same {
		return "no difference"
	}
	out := []string{d.partsVerdict()}
	added, removed := 0, 0
	for _, s := range d.Sizes {
		switch s.Change {
		case Added:
			added++
		case Removed:
			removed++
		}
	}
	if added > 0 {
		out = append(out, measure.Counted(added, "size")+" new")
	}
	if removed > 0 {
		out = append(out, measure.Counted(removed, "size")+" gone")
	}
	o, n := d.Old.Revision, d.New.Revision
	switch {
	case o != n:
		out = append(out, fmt.Sprintf("revision %s → %s", orNone(o), orNone(n)))
	case n == "":
	case d.PartsSame:
		out = append(out, "revision "+n)
	default:
		out = append(out, "and the revision is still "+n)
	}
	return strings.Join(out, ", ")
}

// partsVerdict counts the blanks that changed, by name, at any size.
func (d *Difference) partsVerdict() string {
	if d.PartsSame {
		return "no part changed"
	}
	became := map[string]Change{}
	var at []string
	for _, s := range d.Sizes {
		if s.partChanged() {
			at = append(at, s.Name)
		}
		for _, p := range s.Parts {
			if was, seen := became[p.Name]; p.Change != Renamed && (!seen || was != p.Change) {
				became[p.Name] = p.Change
				if seen { // new at one size and changed at another
					became[p.Name] = Changed
				}
			}
		}
	}
	count := map[Change]int{}
	for _, c := range became {
		count[c]++
	}
	var out []string
	switch n := count[Changed]; {
	case n == 0:
	case n == d.blanks && n == 1:
		out = append(out, "its one part changed")
	case n == d.blanks:
		out = append(out, fmt.Sprintf("all %d parts changed", n))
	default:
		out = append(out, fmt.Sprintf("%d of %s changed", n, measure.Counted(d.blanks, "part")))
	}
	for _, c := range []Change{Added, Removed} {
		if n := count[c]; n > 0 {
			word := map[Change]string{Added: "new", Removed: "gone"}[c]
			if len(out) == 0 {
				out = append(out, measure.Counted(n, "part")+" "+word)
			} else {
				out = append(out, fmt.Sprintf("%d %s", n, word))
			}
		}
	}
	text := strings.Join(out, ", ")
	if d.trifling() {
		text += " by " + d.moved(0)
	}
	if len(at) < len(d.common()) {
		text += " at " + strings.Join(at, ", ")
	}
	return text
}

// common are the sizes that both sides have.
func (d *Difference) common() []string {
	var out []string
	for _, s := range d.Sizes {
		if s.Change != Added && s.Change != Removed {
			out = append(out, s.Name)
		}
	}
	return out
}

// Text writes the report for a reader at a terminal.
func (r *Report) Text(w io.Writer) error {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s\n%s\n", r.Title, r.Verdict)
	for _, s := range r.sections {
		fmt.Fprintf(&b, "\n%s\n", s.title)
		s.text(&b)
	}
	if r.left != "" {
		fmt.Fprintf(&b, "\n%s\n", r.left)
	}
	_, err := w.Write(b.Bytes())
	return err
}

// text writes the rows: those of one line under each other in columns.
func (s *section) text(w io.Writer) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, r := range s.rows {
		cells := slices.Clone(r.cells)
		for len(cells) > 1 && cells[len(cells)-1] == "" {
			cells = cells[:len(cells)-1]
		}
		fmt.Fprintln(t, "  "+strings.TrimLeft(r.sign+" ", " ")+strings.Join(cells, "\t"))
		for _, l := range r.more {
			fmt.Fprintln(t, "    "+l)
		}
	}
	t.Flush()
}
