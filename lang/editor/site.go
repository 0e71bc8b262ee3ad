package editor

import (
	"slices"

	"perch/lang/check"
	"perch/lang/syntax"
)

// A statement that is being typed is seldom one that parses. What is before the cursor
// is read piece by piece, in the scope of the place where the statement begins.

// before are the tokens that start before offset, without comments.
func (snap *snapshot) before(offset int) []token {
	tokens := code0(snap.tokens())
	i := 0
	for i < len(tokens) && tokens[i].start < offset {
		i++
	}
	return tokens[:i]
}

// site is the place of an expression in the statement at offset.
func (snap *snapshot) site(offset int) *check.Site {
	before := snap.before(offset)
	start := len(before) - 1
	for start >= 0 && before[start].kind != syntax.StartToken {
		start--
	}
	if start < 0 {
		return snap.program().Site(nil, nil, nil, nil)
	}
	in, but := snap.around(before[start].start)
	index, params := snap.locals(before[start:])
	return snap.program().Site(in, but, index, params)
}

// receiver is the type of the value before the point that precedes the name at offset;
// Invalid where there is none or it can't be read.
func (snap *snapshot) receiver(offset int) check.Type {
	from, to := receiverOf(snap.before(offset))
	if from == to {
		return check.Type{}
	}
	return snap.site(offset).TypeOf(syntax.ParseExpr(snap.src, from, to))
}

// locals are the index, or the parameters, that a statement of these tokens has.
func (snap *snapshot) locals(ts []token) ([]syntax.Each, []syntax.Decl) {
	in := localTokens(ts)
	if len(in) == 0 {
		return nil, nil
	}
	from, to := in[0].start, in[len(in)-1].end
	switch word := ts[0].text; {
	case word == "let" && in[0].text == "(":
		return nil, syntax.ParseParams(snap.src, from, to)
	case indexed[word]:
		return syntax.ParseIndex(snap.src, from, to), nil
	}
	return nil, nil
}

// indexed are the words of the statements that may have an index.
var indexed = map[string]bool{"let": true, "body": true, "part": true, "join": true, "face": true,
	"fold": true, "seam": true, "cut": true, "mark": true}

// around is the panel or face in whose scope the statement that begins at a byte offset
// is read, nil for none, and what the statement declares, nil where it is not understood.
func (snap *snapshot) around(start int) (in, but *check.Decl) {
	ds := snap.program().Root.Order
	for {
		var inner *check.Decl
		for _, d := range ds {
			sp := d.Node.Span()
			switch {
			case d.Kind == check.PanelParam || d.Kind == check.OwnStock:
			case int(sp.Start) == start && d.Kind == check.Panel: // its head may read what it declares
				return d, d
			case int(sp.Start) == start:
				but = d
			case (d.Kind == check.Panel || d.Kind == check.Face) && int(sp.Start) < start && start < int(sp.End):
				inner = d
			}
		}
		if inner == nil {
			return in, but
		}
		in, ds = inner, inner.Members
	}
}

// code0 drops comments.
func code0(ts []token) []token {
	out := ts[:0:0]
	for _, t := range ts {
		if t.kind != syntax.CommentToken {
			out = append(out, t)
		}
	}
	return out
}

// receiverOf is where the value before a point stands, at the end of the tokens; from is
// to where they end otherwise.
func receiverOf(before []token) (from, to int) {
	n := len(before)
	if n > 0 && before[n-1].kind == syntax.WordToken && n > 1 && before[n-2].text == "." {
		n-- // the member's name is begun
	}
	if n == 0 || before[n-1].text != "." {
		return 0, 0
	}
	k, depth := n-2, 0
	for ; k >= 0; k-- {
		t := before[k]
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
			k++
			break
		}
		glued := k > 0 && before[k-1].end == t.start
		if glued && (t.text == "(" || t.text == "[") && (before[k-1].kind == syntax.WordToken || before[k-1].text == "]" || before[k-1].text == ")") {
			continue
		}
		if k > 0 && before[k-1].text == "." {
			k-- // the point; what is before it comes next
			continue
		}
		break
	}
	k = max(k, 0)
	if k >= n-1 {
		return 0, 0
	}
	return before[k].start, before[n-2].end
}

// localTokens are the brackets behind a statement's name, of an index or of parameters,
// and what is between; nil where there are none or they are not finished.
func localTokens(ts []token) []token {
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

// lookup finds what a name that is called means at a byte offset; nil for nothing
// declared.
func (snap *snapshot) lookup(name string, offset int) *check.Decl {
	for _, d := range snap.site(offset).InScope() {
		if d.Space() == check.Calls && snap.program().Root.NameOf(d) == name {
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
