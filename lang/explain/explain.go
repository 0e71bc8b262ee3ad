// Package explain holds a page for every code that perch prints: what it means,
// a design that is wrong that way, the same design mended, and how to mend. It
// holds texts only; its test compiles every example.
package explain

import (
	"embed"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"sync"

	"perch/lang/diag"
	"perch/parts/shopcheck"
)

// Page explains one code. Wrong and Right are nil where no design shows the
// mistake.
type Page struct {
	Code  string
	Title string // one line
	Means string // what the code means: paragraphs parted by a blank line
	Mend  string // how to mend it, likewise
	Rule  string // of a shop rule: the rule and its source
	Wrong *Example
	Right *Example
}

// Example is a whole design.
type Example struct {
	Text  string
	Files map[string]string // the modules that it uses, by path
}

//go:embed pages/*.txt
var files embed.FS

var pages = sync.OnceValue(func() map[string]*Page {
	m := map[string]*Page{}
	names, _ := fs.Glob(files, "pages/*.txt")
	for _, name := range names {
		text, err := files.ReadFile(name)
		if err != nil { // an embedded file
			panic(err)
		}
		for part := range strings.SplitSeq("\n"+string(text), "\n-- ") {
			if head, body, ok := strings.Cut(part, " --\n"); ok {
				add(m, head, body)
			}
		}
	}
	return m
})

// add takes one section, which starts with a line `-- HEAD --`: `CODE`, `CODE mend`, `CODE wrong`, `CODE right`, or
// `CODE wrong PATH` for a module that the example uses.
func add(m map[string]*Page, head, text string) {
	word := strings.Fields(head)
	p := m[word[0]]
	if p == nil {
		p = &Page{Code: word[0]}
		m[word[0]] = p
		p.Title, p.Rule = title(p.Code)
	}
	text = strings.Trim(text, "\n")
	if len(word) == 1 {
		p.Means = text
		return
	}
	var e **Example
	switch word[1] {
	case "mend":
		p.Mend = text
		return
	case "wrong":
		e = &p.Wrong
	default:
		e = &p.Right
	}
	if *e == nil {
		*e = &Example{}
	}
	if len(word) == 2 {
		(*e).Text = text + "\n"
		return
	}
	if (*e).Files == nil {
		(*e).Files = map[string]string{}
	}
	(*e).Files[word[2]] = text + "\n"
}

// title is a code's title, and its rule where it is one of the shop's.
func title(code string) (title, rule string) {
	if t, ok := diag.Title(code); ok {
		return t, ""
	}
	for _, c := range shopcheck.Codes {
		if c.Code == code {
			return c.Title, c.Rule.String()
		}
	}
	return "", ""
}

// Codes lists every code that has a page, sorted.
func Codes() []string {
	var out []string
	for c := range pages() {
		out = append(out, c)
	}
	slices.Sort(out)
	return out
}

// Get returns the page of a code, written as P2001, p2001 or 2001, and whether
// there is one.
func Get(code string) (Page, bool) {
	code = strings.ToUpper(strings.TrimSpace(code))
	if !strings.HasPrefix(code, "P") {
		code = "P" + code
	}
	p, ok := pages()[code]
	if !ok {
		return Page{}, false
	}
	return *p, true
}

// String is the page for a reader at a terminal: lines of at most 80 columns
// but for the examples, which stand as they are, four columns in.
func (p Page) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n\n", p.Code, p.Title)
	b.WriteString(p.Means + "\n")
	if p.Rule != "" {
		b.WriteString("\n" + p.Rule + "\n")
	}
	p.Wrong.write(&b, "Wrong:")
	p.Right.write(&b, "Right:")
	if p.Mend != "" {
		b.WriteString("\n" + p.Mend + "\n")
	}
	return b.String()
}

func (e *Example) write(b *strings.Builder, head string) {
	if e == nil {
		return
	}
	b.WriteString("\n" + head + "\n\n")
	indent(b, e.Text)
	paths := make([]string, 0, len(e.Files))
	for path := range e.Files {
		paths = append(paths, path)
	}
	slices.Sort(paths)
	for _, path := range paths {
		b.WriteString("\nwith " + path + ":\n\n")
		indent(b, e.Files[path])
	}
}

func indent(b *strings.Builder, text string) {
	for line := range strings.Lines(text) {
		if strings.TrimSpace(line) != "" {
			b.WriteString("    ")
		}
		b.WriteString(line)
	}
}
