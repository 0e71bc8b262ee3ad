package editor

import (
	"context"
	"strconv"
	"strings"

	"go.lsp.dev/protocol"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/syntax"
)

// call is an argument list that the cursor stands in, as the tokens before it
// tell: the statement itself need not be finished.
type call struct {
	open   int    // byte offset of the bracket
	name   string // what is called
	member bool   // as .name(
	at     int    // byte offset of the name
	arg    int    // index of the argument at the cursor
	label  string // its label, where one is written
	given  []string
	first  bool // nothing of the argument is written but a part of a word
}

// callAt finds the innermost argument list around offset; nil where there is none.
func callAt(tokens []token, offset int) *call {
	var before []token
	for _, t := range tokens {
		if t.start >= offset {
			break
		}
		if t.kind == syntax.CommentToken {
			if t.end >= offset {
				return nil // in a comment
			}
			continue
		}
		before = append(before, t)
	}
	depth := 0
	for i := len(before) - 1; i >= 0; i-- {
		t := before[i]
		if t.kind == syntax.StartToken {
			return nil
		}
		if t.kind != syntax.PunctToken {
			continue
		}
		switch t.text {
		case ")", "]", "}":
			depth++
		case "[", "{":
			if depth--; depth < 0 {
				if t.text == "{" {
					return nil
				}
				depth = 0 // a list is inside an argument
			}
		case "(":
			if depth--; depth < 0 {
				if i > 1 && before[i-2].kind == syntax.StartToken && (before[i-2].text == "panel" || before[i-2].text == "let") {
					return nil // a declaration's parameters
				}
				if i > 0 && before[i-1].kind == syntax.WordToken && before[i-1].end == t.start {
					return newCall(before, i, offset)
				}
				depth = 0 // a bracket around a value
			}
		}
	}
	return nil
}

// newCall reads the arguments between the bracket at before[i] and the cursor.
func newCall(before []token, i, offset int) *call {
	c := &call{open: before[i].start, name: before[i-1].text, at: before[i-1].start,
		member: i > 1 && before[i-2].text == "."}
	depth, start := 0, i+1
	args := before[i+1:]
	for k, t := range args {
		if t.kind != syntax.PunctToken {
			continue
		}
		switch t.text {
		case "(", "[", "{":
			depth++
		case ")", "]", "}":
			depth--
		case ",":
			if depth == 0 {
				c.arg++
				start = i + 1 + k + 1
			}
		case ":":
			if depth == 0 && k > 0 && i+k == start {
				c.given = append(c.given, args[k-1].text)
			}
		}
	}
	rest := before[start:]
	if len(rest) >= 2 && rest[1].text == ":" {
		c.label = rest[0].text
	}
	c.first = len(rest) == 0 || len(rest) == 1 && rest[0].kind == syntax.WordToken && rest[0].end >= offset
	return c
}

// callable is what a call may be matched with.
type callable struct {
	name   string
	doc    string
	result string
	params []check.Parameter
	decl   *check.Decl
}

// label is the callable written out, and where in it each parameter stands.
func (c *callable) label() (string, [][2]int) {
	text, at := signature(c.name, c.params)
	if c.result != "" {
		text += " : " + c.result
	}
	return text, at
}

// callables finds what c calls: a panel or let in scope, functions of the
// language, or members of that name.
func (snap *snapshot) callables(c *call) []callable {
	if c.member {
		return snap.memberCallables(c)
	}
	if d := snap.lookup(c.name, c.at); d != nil {
		return callableDecl(d)
	}
	var out []callable
	for _, f := range builtin.Forms(c.name) {
		one := callable{name: f.Name, doc: f.Doc, params: check.Parameters(f)}
		if f.Follows == nil {
			one.result = f.Result.String()
		}
		out = append(out, one)
	}
	return out
}

func callableDecl(d *check.Decl) []callable {
	ps := paramsOf(d)
	if ps == nil && d.Kind != check.Panel && !d.IsFunc() {
		return nil
	}
	one := callable{name: d.Name, doc: d.Doc(), decl: d}
	for _, p := range ps {
		one.params = append(one.params, parameter(p))
	}
	if d.IsFunc() {
		one.result = d.Result.String()
	}
	return []callable{one}
}

// parameter is a declared parameter as the language's own are described.
func parameter(d *check.Decl) check.Parameter {
	p := check.Parameter{Parameter: builtin.Parameter{Name: d.Name, Doc: d.Doc()}, Types: []check.Type{d.Type}}
	if def := d.Param.Default; def != nil {
		p.Optional, p.Default = true, oneLine(def.Span().Text())
	}
	return p
}

// memberCallables is the member that is called, as the type before its point
// tells; where that can't be read, every member of the name.
func (snap *snapshot) memberCallables(c *call) []callable {
	if x := snap.receiver(c.at); x.Kind != check.Invalid {
		if m := builtinMember(x, c.name); m != nil && m.Method {
			return []callable{{name: "." + m.Name, doc: m.Doc, result: m.Result.String(), params: check.Parameters(&m.Function)}}
		}
		return nil
	}
	var out []callable
	for i := range builtin.Members {
		if m := &builtin.Members[i]; m.Name == c.name && m.Method {
			out = append(out, callable{name: "." + m.Name, doc: m.Doc, result: m.Result.String(), params: check.Parameters(&m.Function)})
		}
	}
	return out
}

// declSignature is signature for a panel or a let.
func declSignature(d *check.Decl) (string, [][2]int) {
	for _, c := range callableDecl(d) {
		return signature(d.Name, c.params)
	}
	return d.Name, nil
}

// signature writes out name(params), and where each parameter stands in it, in
// UTF-16 units.
func signature(name string, params []check.Parameter) (string, [][2]int) {
	var b strings.Builder
	b.WriteString(name + "(")
	var at [][2]int
	for i, p := range params {
		if i > 0 {
			b.WriteString(", ")
		}
		from := units(b.String())
		b.WriteString(p.Name + ": " + takes(p))
		if p.Optional && p.Default != "" {
			b.WriteString(" = " + p.Default)
		} else if p.Optional {
			b.WriteString(" = …")
		}
		if p.Many {
			b.WriteString(", …")
		}
		at = append(at, [2]int{from, units(b.String())})
	}
	b.WriteString(")")
	return b.String(), at
}

// takes names the types of a parameter, without articles.
func takes(p check.Parameter) string {
	if p.Same || p.TakesWord() || len(p.Types) == 0 {
		return p.Wants()
	}
	var names []string
	for _, t := range p.Types {
		names = append(names, t.String())
	}
	return strings.Join(names, " or ")
}

// active is the index of the parameter that the argument at the cursor is for.
func (c *call) active(params []check.Parameter) int {
	if c.label != "" {
		for i, p := range params {
			if p.Name == c.label {
				return i
			}
		}
		return len(params)
	}
	if n := len(params); n > 0 && c.arg >= n && params[n-1].Many {
		return n - 1
	}
	return c.arg
}

// SignatureHelp tells what the call at the cursor takes.
func (s *server) SignatureHelp(ctx context.Context, p *protocol.SignatureHelpParams) (*protocol.SignatureHelp, error) {
	snap, offset, err := s.at(ctx, p.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	c := callAt(snap.tokens(), offset)
	if c == nil {
		return nil, nil
	}
	help := &protocol.SignatureHelp{Signatures: []protocol.SignatureInformation{}}
	for i, one := range snap.callables(c) {
		label, at := one.label()
		info := protocol.SignatureInformation{Label: label, Documentation: protocol.String(one.doc)}
		for k, prm := range one.params {
			info.Parameters = append(info.Parameters, protocol.ParameterInformation{
				Label:         protocol.ParameterInformationLabelTuple{uint32(at[k][0]), uint32(at[k][1])},
				Documentation: protocol.String(prm.Doc),
			})
		}
		if n := c.active(one.params); i == 0 || n < len(one.params) && help.ActiveSignature == nil {
			help.ActiveParameter = nullable(uint32(n))
			if i > 0 {
				help.ActiveSignature = ptr(uint32(i))
			}
		}
		help.Signatures = append(help.Signatures, info)
	}
	if len(help.Signatures) == 0 {
		return nil, nil
	}
	return help, nil
}

// nullable is a value where the protocol allows null.
func nullable(v uint32) (n protocol.Nullable[uint32]) {
	if err := protocol.Unmarshal(strconv.AppendUint(nil, uint64(v), 10), &n); err != nil {
		return protocol.Nullable[uint32]{} // it is a number: this does not happen
	}
	return n
}
