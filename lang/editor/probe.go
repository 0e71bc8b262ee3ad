package editor

import (
	"slices"
	"strings"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
)

// A statement that is being typed is seldom one that parses. To know what is
// before the cursor, a probe puts another statement in its place: one that
// declares the same index names and holds only the value that is asked about.

// probeName is the name that a probe declares.
const probeName = "perch_probe"

// probed is what a probe found.
type probed struct {
	prog     *check.Program
	receiver check.Type  // of what stands before the point; Invalid for none
	decl     *check.Decl // of the probe: its scope is that of the cursor
}

// probe reads the value before the point that precedes the name at offset; where
// there is none it only finds the scope. nil where the place can't be made sense of.
func (snap *snapshot) probe(offset int) *probed {
	tokens := code0(snap.tokens())
	i := 0
	for i < len(tokens) && tokens[i].start < offset {
		i++
	}
	before := tokens[:i]
	receiver := receiverOf(snap.idx.text, before)
	start := len(before) - 1
	for start >= 0 && before[start].kind != tokenStart {
		start--
	}
	if start < 0 {
		return nil
	}
	end := len(snap.idx.text)
	depth := 0
	for _, t := range tokens[i:] {
		if t.text == "{" {
			depth++
		}
		if t.kind == tokenStart || t.text == "}" && depth == 0 {
			end = t.start
			break
		}
		if t.text == "}" {
			depth--
		}
	}
	text := snap.idx.text[:before[start].start] + statement(snap.idx.text, before[start:], receiver) + "\n" + snap.idx.text[min(end, len(snap.idx.text)):]
	src := diag.NewSource(snap.src.Name, text)
	file, _ := syntax.Parse(src)
	p := &probed{}
	p.prog, _ = check.Check(file, snap.loader(), builtins(snap.server.opts.Shop))
	at := before[start].start
	at += strings.Index(text[at:], "((")
	syntax.InspectFile(file, func(n syntax.Node) bool {
		if x, ok := n.(*syntax.Paren); ok && receiver != "" && int(x.At.Start) == at {
			p.receiver = p.prog.TypeOf(x)
		}
		return true
	})
	p.decl = findDecl(p.prog.Root.Order, probeName)
	return p
}

// code0 drops comments.
func code0(ts []token) []token {
	out := ts[:0:0]
	for _, t := range ts {
		if t.kind != tokenComment {
			out = append(out, t)
		}
	}
	return out
}

// receiverOf is the text of the value before a point, at the end of the tokens; ""
// where they end otherwise.
func receiverOf(text string, before []token) string {
	n := len(before)
	if n > 0 && before[n-1].kind == tokenWord && n > 1 && before[n-2].text == "." {
		n-- // the member's name is begun
	}
	if n == 0 || before[n-1].text != "." {
		return ""
	}
	from, depth := n-2, 0
	for ; from >= 0; from-- {
		t := before[from]
		switch {
		case t.text == ")" || t.text == "]":
			depth++
			continue
		case t.text == "(" || t.text == "[":
			depth--
		}
		if depth > 0 {
			continue
		}
		if depth < 0 {
			from++
			break
		}
		glued := from > 0 && before[from-1].end == t.start
		if glued && (t.text == "(" || t.text == "[") && (before[from-1].kind == tokenWord || before[from-1].text == "]" || before[from-1].text == ")") {
			continue
		}
		if from > 0 && before[from-1].text == "." {
			from-- // the point; what is before it comes next
			continue
		}
		break
	}
	from = max(from, 0)
	if from >= n-1 {
		return ""
	}
	return text[before[from].start:before[n-2].end]
}

// statement is the probe that stands for the statement of these tokens.
func statement(text string, ts []token, receiver string) string {
	value := "0"
	if receiver != "" {
		value = "((" + receiver + "))"
	}
	index := indexText(text, ts)
	switch word := ts[0].text; word {
	case "part", "join":
		return "part " + probeName + index + " of " + value + " = 0"
	case "face":
		return "face " + probeName + index + " on " + value + " { outline rect(1mm, 1mm) }"
	case "cut", "mark":
		if behind := len(indexTokens(ts)); len(ts) > 2+behind && ts[2+behind].text == "in" { // of a file
			return "part " + probeName + index + " of " + value + " = 0"
		}
		return "cut " + probeName + index + " = " + value
	case "outline":
		return "cut " + probeName + " = " + value
	case "let", "body", "fold", "seam":
		if strings.HasPrefix(index, "(") || strings.Contains(index, " in ") { // the index of a fold may only pick
			return "let " + probeName + index + " = " + value
		}
	}
	return "let " + probeName + " = " + value
}

// indexText is the index, or the parameters, behind a statement's name; "" where
// there are none or they are not finished.
func indexText(text string, ts []token) string {
	in := indexTokens(ts)
	if len(in) == 0 {
		return ""
	}
	return text[in[0].start:in[len(in)-1].end]
}

// indexTokens are those of indexText.
func indexTokens(ts []token) []token {
	if len(ts) < 3 || ts[2].text != "[" && ts[2].text != "(" {
		return nil
	}
	depth := 0
	for i, t := range ts[2:] {
		switch t.text {
		case "[", "(":
			depth++
		case "]", ")":
			if depth--; depth == 0 {
				return ts[2 : 3+i]
			}
		}
	}
	return nil
}

func findDecl(ds []*check.Decl, name string) *check.Decl {
	for _, d := range ds {
		if d.Name == name {
			return d
		}
		if found := findDecl(d.Members, name); found != nil {
			return found
		}
	}
	return nil
}

// lookup finds what a name that is called means at a byte offset; nil for nothing
// declared.
func (snap *snapshot) lookup(name string, offset int) *check.Decl {
	m := snap.program().Root
	for _, d := range m.InScope(snap.enclosing(offset)) {
		if d.Space() == check.Calls && m.NameOf(d) == name {
			return d
		}
	}
	return nil
}

// enclosing is the innermost declaration whose statement covers offset.
func (snap *snapshot) enclosing(offset int) *check.Decl {
	var at *check.Decl
	ds := snap.program().Root.Order
	for {
		var in *check.Decl
		for _, d := range ds {
			if d.Kind == check.PanelParam || d.Kind == check.OwnStock {
				continue
			}
			if sp := d.Node.Span(); int(sp.Start) <= offset && offset <= int(sp.End) {
				in = d
			}
		}
		if in == nil {
			return at
		}
		at, ds = in, append(slices.Clone(in.Members), in.Folds...)
	}
}
