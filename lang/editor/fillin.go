package editor

import (
	"fmt"
	"slices"
	"strings"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
)

// fillCall writes the arguments that a call at a place lacks: a name in scope that is
// called alike, else one of the type, else a sample. Nothing is proposed where one of
// them could be none of these.
func (snap *snapshot) fillCall(from, to int) []rewrite {
	nodes := snap.nodesAround(from, to)
	for _, n := range slices.Backward(nodes) {
		x, ok := n.(*syntax.Call)
		if !ok || snap.src.Text[x.At.End-1] != ')' {
			continue
		}
		c := callAt(snap.tokens(), int(x.At.End)-1)
		if c == nil {
			return nil
		}
		for _, one := range snap.callables(c) {
			if text, names := snap.lacking(x, one.params); text != "" {
				return []rewrite{{"add " + strings.Join(names, ", "), []diag.Edit{snap.moreArguments(x, text)}}}
			}
		}
		return nil
	}
	return nil
}

// lacking are the needed arguments that a call does not give, written out; "" for none,
// or where one can't be written.
func (snap *snapshot) lacking(x *syntax.Call, params []check.Parameter) (text string, names []string) {
	given := map[string]bool{}
	plain := 0
	for i := range x.Args {
		if l := x.Args[i].Label; l != nil {
			given[l.Name] = true
		} else {
			plain++
		}
	}
	var out []string
	for i, p := range params {
		if p.Optional || given[p.Name] || i < plain {
			continue
		}
		value := snap.sample(int(x.At.Start), p.Name, p.Types)
		if value == "" || p.Name == "" {
			return "", nil
		}
		out = append(out, p.Name+": "+value)
		names = append(names, p.Name)
	}
	return strings.Join(out, ", "), names
}

// moreArguments is the edit that puts more arguments behind those of a call.
func (snap *snapshot) moreArguments(x *syntax.Call, text string) diag.Edit {
	if n := len(x.Args); n > 0 {
		return diag.Edit{Span: x.Args[n-1].Value.Span().After(), Text: ", " + text}
	}
	at := x.At
	at.Start = at.End - 1
	return diag.Edit{Span: at.Before(), Text: text}
}

// samples are values of the types of which something can be written anywhere.
var samples = map[string][quantity.Inches + 1]string{
	"length": {"10mm", "1/2in"}, "angle": {"90deg", "90deg"}, "count": {"1", "1"}, "number": {"1", "1"}, "mass": {"1kg", "1lb"},
	"force": {"100N", "25lbf"}, "time": {"1min", "1min"}, "flag": {"true", "true"}, "text": {`"…"`, `"…"`}, "point": {"(0mm, 0mm)", "(0in, 0in)"},
	"plane": {"level(0mm)", "level(0in)"}, "material": {"mild_steel", "mild_steel"}, "gauge": {"16ga", "16ga"}, "shape": {"rect(40mm, 20mm)", "rect(2in, 1in)"},
}

// sample is a value for a parameter of a call at a place; "" where none is to be had.
func (snap *snapshot) sample(at int, name string, types []check.Type) string {
	first := ""
	for _, d := range snap.site(at + 1).InScope() {
		if d.Space() != check.Values || !d.Type.Fits(types...) || d.Kind == check.Constant {
			continue
		}
		here := snap.program().Root.NameOf(d)
		if here == name {
			return here
		}
		if first == "" && d.Type.Kind != check.FamilyKind && isThing[d.Type.Kind] {
			first = here
		}
	}
	if first != "" {
		return first
	}
	for _, t := range types {
		if text := samples[t.String()][snap.program().Units]; text != "" {
			return text
		}
		if text := snap.ofBody(t); text != "" {
			return text
		}
	}
	return ""
}

// ofBody is a side or a corner of the design's first body.
func (snap *snapshot) ofBody(t check.Type) string {
	for _, d := range snap.program().Root.Order {
		if d.Kind == check.Body && len(d.Indices) == 0 {
			switch t.Kind {
			case check.SideKind:
				return d.Name + ".front"
			case check.CornerKind:
				return d.Name + ".front.left"
			}
		}
	}
	return ""
}

// fillSize states what nothing fixes at the size at a place: each smallest set of params
// that is enough, from its range or as a sample.
func (snap *snapshot) fillSize(from, to int) []rewrite {
	var size *syntax.Size
	for _, n := range snap.nodesAround(from, to) {
		if x, ok := n.(*syntax.Size); ok {
			size = x
		}
	}
	if size == nil {
		return nil
	}
	r, _ := build.Solve(snap.program(), size.Name.Name, snap.server.opts.Shop, nil)
	var out []rewrite
	for _, set := range r.FreeSets() {
		var texts, names []string
		for _, d := range set {
			value := snap.sampleOf(d)
			if value == "" {
				break
			}
			texts, names = append(texts, d.Name+" = "+value), append(names, d.Name)
		}
		if len(texts) == len(set) && len(out) < maxFilled {
			out = append(out, rewrite{fmt.Sprintf("state %s at size %s", strings.Join(names, " and "), size.Name.Name),
				[]diag.Edit{stating(size, strings.Join(texts, ", "))}})
		}
	}
	return out
}

// maxFilled is how many ways to state what a size lacks are proposed.
const maxFilled = 4

// sampleOf is a value that a param may have: the lower end of its range, as it is
// written, else a sample of its type.
func (snap *snapshot) sampleOf(d *check.Decl) string {
	if dom := d.Param.Domain; dom != nil && dom.Hi != nil {
		return oneLine(dom.Lo.Span().Text())
	}
	return samples[d.Type.String()][snap.program().Units]
}

// stating is the edit that puts statements behind those of a size row.
func stating(x *syntax.Size, text string) diag.Edit {
	if len(x.States) > 0 {
		return diag.Edit{Span: x.At.After(), Text: ", " + text}
	}
	return diag.Edit{Span: x.At.After(), Text: ": " + text}
}
