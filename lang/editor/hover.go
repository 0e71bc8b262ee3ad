package editor

import (
	"context"
	"fmt"
	"math"
	"strings"

	"go.lsp.dev/protocol"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
)

// Hover tells what a name means: how it is declared, its documentation, and its
// value at every size with where that comes from.
func (s *server) Hover(ctx context.Context, p *protocol.HoverParams) (*protocol.Hover, error) {
	snap, offset, err := s.at(ctx, p.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	text, at := snap.hover(offset)
	if text == "" {
		return nil, nil
	}
	return &protocol.Hover{
		Contents: &protocol.MarkupContent{Kind: protocol.MarkupKindMarkdown, Value: text},
		Range:    ptr(snap.rangeOf(at)),
	}, nil
}

// hover is what to say about the byte at offset, and of what; "" for nothing.
func (snap *snapshot) hover(offset int) (string, diag.Span) {
	m := snap.markAt(offset)
	if m == nil {
		return snap.hoverToken(offset)
	}
	switch {
	case len(m.edges) > 0:
		text := snap.describeEdges(m.edges)
		if m.typ.Kind == check.ListKind {
			text += "\n\nThe outline has copies of it: the name is the list of them, `" + m.at.Text() + "[1]` the first."
		}
		return text, m.at
	case m.role == labels:
		text := ""
		if m.decl != nil {
			text = snap.describe(m.decl)
		} else if m.param != nil {
			text = describeParameter(m.param)
		}
		if values := snap.describeArgument(m); text != "" && values != "" {
			text += "\n\n" + values
		}
		return text, m.at
	case m.decl != nil:
		return snap.describe(m.decl), m.at
	case m.of != nil:
		return describeMember(m.of), m.at
	case m.fun != "":
		return describeFunction(m.fun) + "\n\na function of the language", m.at
	case m.role == types:
		for _, w := range check.TypeWords {
			if w.Word == m.at.Text() {
				return code(w.Word) + "\n" + w.Doc, m.at
			}
		}
	case m.typ.Kind == check.EdgeKind:
		return code(m.at.Text()+": edge") + "\nan edge of the face's outline, known when that is drawn", m.at
	case m.open && m.decl == nil && m.typ.Kind == check.Any:
		return code(m.at.Text()) + "\nan edge, or something else of a face, known when that is drawn", m.at
	case m.role == word:
		return code(m.at.Text()) + "\na word that this argument takes", m.at
	}
	return "", m.at
}

func code(text string) string { return "```perch\n" + text + "\n```" }

// describe is a declaration, its documentation and its values.
func (snap *snapshot) describe(d *check.Decl) string {
	parts := []string{code(declaration(d))}
	if doc := d.Doc(); doc != "" {
		parts = append(parts, doc)
	}
	if d.Owner == nil && d.Module == snap.program().Root {
		parts = append(append(parts, snap.values(d)...), snap.made(d)...)
	}
	return strings.Join(append(parts, snap.whereabouts(d)), "\n\n")
}

// whereabouts tells what sort of name d is, what it belongs to and where it stands.
func (snap *snapshot) whereabouts(d *check.Decl) string {
	if d.Module == nil {
		return "of the language, or of the shop"
	}
	text := d.Kind.String()
	if d.IsFunc() {
		text = "function"
	}
	if d.Owner != nil {
		text += fmt.Sprintf(" of the %s `%s`", d.Owner.Kind, d.Owner.Name)
	}
	line := fmt.Sprintf(", line %d", d.At.Position().Line)
	switch {
	case snap.isLibrary(d.At.Source):
		return text + ", from `" + d.Module.Name + "`"
	case d.Module != snap.program().Root:
		return text + line + " of `" + d.Module.Name + "`"
	}
	return text + line
}

// values lists a name's value at every size.
func (snap *snapshot) values(d *check.Decl) []string {
	n := snap.numbers()
	if n == nil || d.Kind != check.Param && d.Kind != check.Let {
		return nil
	}
	rows := []string{"| size | value | |", "| --- | --- | --- |"}
	for i, size := range n.sizes {
		v, ok := n.by[i][d.Name]
		switch {
		case ok:
			where := origins[v.From]
			rows = append(rows, fmt.Sprintf("| %s | %s | %s |", size, shown(v, snap.program().Shown), where))
		case n.waits[i] && n.by[i] == nil:
			rows = append(rows, fmt.Sprintf("| %s | – | known when the parts are built |", size))
		case n.by[i] == nil:
			rows = append(rows, fmt.Sprintf("| %s | – | not solved |", size))
		}
	}
	if len(rows) == 2 {
		return nil
	}
	return []string{strings.Join(rows, "\n")}
}

// declaration writes what a name was declared as, on one line where it can.
func declaration(d *check.Decl) string {
	switch d.Kind {
	case check.Param, check.PanelParam, check.LetParam:
		text := oneLine(declText(d.Param))
		if d.Kind == check.Param {
			text = "param " + text
		}
		return text
	case check.Panel:
		return "panel " + signatureOfDecl(d)
	case check.Let:
		if d.IsFunc() {
			return "let " + signatureOfDecl(d) + " : " + d.Result.String()
		}
		return oneLine(d.Node.Span().Text()) + " : " + d.Type.String()
	case check.Face, check.Cut, check.Mark:
		return fmt.Sprintf("%s %s : %s", d.Kind, d.Name, d.Type)
	case check.Index:
		return fmt.Sprintf("%s : %s", oneLine(d.Each.At.Text()), d.Type)
	case check.OwnStock:
		return "of " + d.Name + " : stock"
	case check.Constant:
		return fmt.Sprintf("%s : %s", d.Name, d.Type)
	}
	return oneLine(d.Node.Span().Text())
}

// declText is a parameter's declaration without its documentation.
func declText(p *syntax.Decl) string {
	sp := p.At
	if p.Doc != nil {
		sp.End = p.Doc.At.Start
	}
	return sp.Text()
}

// maxLine is how many characters of a statement are shown.
const maxLine = 160

func oneLine(text string) string {
	text = strings.TrimSuffix(strings.Join(strings.Fields(text), " "), ",")
	if r := []rune(text); len(r) > maxLine {
		text = string(r[:maxLine]) + "…"
	}
	return text
}

// signatureOfDecl writes how a panel or function is called.
func signatureOfDecl(d *check.Decl) string {
	label, _ := declSignature(d)
	return label
}

func describeMember(m *builtin.Member) string {
	text := fmt.Sprintf(".%s : %s", m.Name, m.Result)
	if m.Method {
		label, _ := signature("."+m.Name, check.Parameters(&m.Function))
		text = label + " : " + m.Result.String()
	}
	return code(text) + "\n" + m.Doc + example(&m.Function)
}

// example is how a call of the language's own is written.
func example(f *builtin.Function) string { return "\n" + code(f.Example) }

// describeParameter tells of an argument of a function of the language.
func describeParameter(p *check.Parameter) string {
	text := p.Name + ": " + takes(*p)
	if p.Default != "" {
		text += " = " + p.Default
	}
	return code(text) + "\n" + p.Doc
}

func describeFunction(name string) string {
	var parts []string
	for _, f := range builtin.Forms(name) {
		label, _ := signature(f.Name, check.Parameters(f))
		if f.Follows == nil {
			label += " : " + f.Result.String()
		}
		parts = append(parts, code(label)+"\n"+f.Doc+example(f))
	}
	return strings.Join(parts, "\n\n")
}

// hoverToken tells of numbers and of the language's own words.
func (snap *snapshot) hoverToken(offset int) (string, diag.Span) {
	for _, t := range snap.tokens() {
		if t.end < offset {
			continue
		}
		if t.start > offset {
			break
		}
		sp := diag.Span{Source: snap.src, Start: int32(t.start), End: int32(t.end)}
		switch t.kind {
		case syntax.StartToken, syntax.KeyToken:
			return describeWord(t.text), sp
		case syntax.NumberToken:
			if lit, err := quantity.ParseLiteral(t.text); err == nil {
				text := describeLiteral(lit)
				if lit.Kind == quantity.Gauge {
					text = snap.describeGauge(lit, t.start)
				}
				if text != "" {
					return code(t.text) + "\n" + text, sp
				}
			}
		}
	}
	return "", diag.Span{}
}

// describeLiteral writes a length in the other system, and an angle in the
// other unit.
func describeLiteral(lit quantity.Literal) string {
	switch lit.Dim {
	case quantity.Length: // in both, whichever it is written in
		return quantity.Format(math.Round(lit.Value*1000)/1000, lit.Dim, quantity.Millimetres) + ", " + quantity.Format(lit.Value, lit.Dim, quantity.Inches)
	case quantity.Angle:
		return quantity.Format(lit.Value, lit.Dim, quantity.Millimetres)
	}
	return ""
}

func describeWord(w string) string {
	var out []string
	for _, f := range forms { // a cut or mark is a face's or a file's
		if f.word == w {
			out = append(out, code(f.reads)+"\n"+f.doc)
		}
	}
	return strings.Join(out, "\n\n")
}
