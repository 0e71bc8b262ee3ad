package editor

import (
	"context"
	"strings"

	"go.lsp.dev/protocol"

	"perch/lang/check"
	"perch/lang/syntax"
)

// token is a token of the language where it stands.
type token struct {
	kind       syntax.TokenType
	text       string
	start, end int
}

// tokensOf cuts a text into tokens, comments included.
func tokensOf(text string) []token {
	var out []token
	for t := range syntax.Tokens(text) {
		out = append(out, token{t.Type, text[t.Start:t.End], int(t.Start), int(t.End)})
	}
	return out
}

func (snap *snapshot) tokens() []token { return tokensOf(snap.idx.text) }

// What a token means, in the order of the legend.
const (
	hueKeyword = iota
	hueComment
	hueString
	hueNumber
	hueOperator
	hueType
	hueClass
	hueVariable
	hueParameter
	hueProperty
	hueFunction
	hueMethod
	hueEnumMember
	hueNamespace
	hueLabel
)

// How: bits in the order of the legend.
const (
	isDeclaration = 1 << iota
	isReadonly
	isDefaultLibrary
)

func legend() protocol.SemanticTokensLegend {
	return protocol.SemanticTokensLegend{
		TokenTypes: []string{"keyword", "comment", "string", "number", "operator", "type", "class", "variable",
			"parameter", "property", "function", "method", "enumMember", "namespace", "label"},
		TokenModifiers: []string{"declaration", "readonly", "defaultLibrary"},
	}
}

func (s *server) SemanticTokensFull(ctx context.Context, p *protocol.SemanticTokensParams) (*protocol.SemanticTokens, error) {
	snap, err := s.snap(ctx, p.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	return &protocol.SemanticTokens{Data: snap.hues(0, len(snap.idx.text))}, nil
}

func (s *server) SemanticTokensRange(ctx context.Context, p *protocol.SemanticTokensRangeParams) (*protocol.SemanticTokens, error) {
	snap, err := s.snap(ctx, p.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	return &protocol.SemanticTokens{Data: snap.hues(snap.idx.offset(p.Range.Start), snap.idx.offset(p.Range.End))}, nil
}

// hues colours the tokens that touch the bytes from..to, coded as the protocol
// has it: each place relative to the one before.
func (snap *snapshot) hues(from, to int) []uint32 {
	data := []uint32{}
	marks := snap.marks()
	var last protocol.Position
	k, prev := 0, ""
	for _, t := range snap.tokens() {
		for k < len(marks) && int(marks[k].at.Start) < t.start {
			k++
		}
		hue, how := -1, 0
		if k < len(marks) && int(marks[k].at.Start) == t.start && int(marks[k].at.End) == t.end {
			hue, how = marks[k].hue()
		} else {
			hue = t.hue(prev)
		}
		if t.kind != syntax.CommentToken {
			prev = t.text
		}
		text := strings.TrimRight(t.text, "\r\n") // a comment takes the carriage return before its line's end
		if hue < 0 || t.end <= from || t.start >= to || strings.ContainsAny(text, "\r\n") {
			continue
		}
		at := snap.idx.position(t.start)
		column := at.Character
		if at.Line == last.Line {
			column -= last.Character
		}
		data = append(data, at.Line-last.Line, column, uint32(units(text)), uint32(hue), uint32(how))
		last = at
	}
	return data
}

// clauseWords are the words with a meaning inside a statement.
var clauseWords = func() map[string]bool {
	m := map[string]bool{}
	for _, w := range syntax.ClauseWords() {
		m[w] = true
	}
	return m
}()

// hue is the colour of a token that names nothing; prev is the token before it.
func (t token) hue(prev string) int {
	switch t.kind {
	case syntax.StartToken, syntax.KeyToken:
		return hueKeyword
	case syntax.CommentToken:
		return hueComment
	case syntax.TextToken:
		return hueString
	case syntax.NumberToken:
		return hueNumber
	case syntax.WordToken:
		switch {
		case prev == ".":
			return hueProperty
		case clauseWords[t.text]:
			return hueKeyword
		}
	case syntax.PunctToken:
		if strings.Contains("= != <= >= + - * / & ^ ..", t.text) && t.text != "." {
			return hueOperator
		}
	}
	return -1
}

// hue is the colour of a name.
func (m *mark) hue() (hue, how int) {
	if m.role == declares {
		how = isDeclaration
	}
	switch {
	case m.fun != "":
		return hueFunction, isDefaultLibrary
	case m.of != nil && m.of.Method:
		return hueMethod, isDefaultLibrary
	case m.of != nil:
		return hueProperty, isDefaultLibrary | isReadonly
	case m.role == word:
		return hueEnumMember, 0
	case m.decl == nil && m.role == types:
		return hueType, isDefaultLibrary
	case m.decl == nil && len(m.edges) > 0:
		return hueProperty, isDefaultLibrary | isReadonly
	case m.decl == nil:
		return hueProperty, how
	}
	switch d := m.decl; d.Kind {
	case check.Panel:
		return hueClass, how
	case check.PanelParam, check.LetParam, check.Index, check.OwnStock:
		return hueParameter, how
	case check.Let:
		if d.IsFunc() {
			return hueFunction, how
		}
		return hueVariable, how | isReadonly
	case check.Constant:
		return hueEnumMember, isDefaultLibrary
	case check.Face, check.Cut, check.Mark, check.Edge, check.Join:
		return hueProperty, how
	case check.Size:
		return hueLabel, how
	}
	return hueVariable, how
}
