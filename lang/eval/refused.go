package eval

import (
	"errors"
	"fmt"
	"strings"

	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/measure"
	"perch/parts/panel"
)

// panelPlaces tells where in the text the folds and seams of a panel come from.
type panelPlaces struct {
	p     *part
	folds []foldPlace
	seams []diag.Span
}

// foldPlace is where a fold comes from: what it hangs off, the face that hangs, and its
// bend(…) if it has one.
type foldPlace struct {
	at   diag.Span
	hung *face
	says source
}

// fold is the place of a fold, or of the seam whose lap it is.
func (w *panelPlaces) fold(name string) (diag.Span, bool) {
	for i, s := range w.p.panel.Seams { // a lap's bend has its seam's name
		if s.Name == name {
			return w.seams[i], true
		}
	}
	for i, f := range w.p.panel.Folds {
		if f.Name == name {
			return w.folds[i].at, true
		}
	}
	return diag.Span{}, false
}

// face is a face of the part by its name, nil where there is none.
func (p *part) face(name string) *face {
	for _, f := range p.faces {
		if f.name == name {
			return f
		}
	}
	return nil
}

// cut is a cut of the face by its name.
func (f *face) cut(name string) (cutRef, bool) {
	if f == nil {
		return cutRef{}, false
	}
	for _, c := range f.cuts {
		if c.name == name {
			return c, true
		}
	}
	return cutRef{}, false
}

// outlineOf is what a face's outline is stated by.
func (f *face) outlineOf() source {
	for _, s := range f.stmt.Body {
		if o, ok := s.(*syntax.Outline); ok {
			return source{o.Value, f.env}
		}
	}
	return source{}
}

// panelErrors reports what Unfold refuses, at what it comes from.
func (ev *evaluator) panelErrors(err error, w *panelPlaces) {
	all := []error{err}
	if j, ok := err.(interface{ Unwrap() []error }); ok {
		all = j.Unwrap()
	}
	for _, err := range all {
		at, code, notes := ev.refused(err, w)
		d := value.DiagnosticSaid(code, at, measure.Of(err), notes...)
		if !ev.prog.Own(at.Source) { // what can be changed is how it is called
			d.Span = w.p.stmt.Value.Span()
			d.Related = append([]diag.Related{{Span: at, Message: "it is drawn here"}}, d.Related...)
		} else {
			d.Related = append(d.Related, diag.Related{Span: w.p.stmt.Name.At, Message: fmt.Sprintf("in part %s", w.p.name)})
		}
		d.Part = w.p.name
		ev.Report(d)
	}
	panic(silent{})
}

// refused is where a refusal of Unfold comes from, its code, and what else there is to say.
func (ev *evaluator) refused(err error, w *panelPlaces) (at diag.Span, code string, more []any) {
	at, code = w.p.stmt.Name.At, "P4020"
	var fold *panel.FoldError
	var face *panel.FaceError
	var seam *panel.SeamError
	switch {
	case errors.As(err, &fold):
		code = "P4021"
		at, _ = w.fold(fold.Fold)
		of := w.p.face(fold.Face)
		switch fold.Reason {
		case panel.CutInBend:
			if c, ok := of.cut(fold.Other); ok {
				more = append(more, diag.Related{Span: at, Message: "the bend"})
				at = c.says.by.Span()
			}
		case panel.CrossesLine:
			more = append(more, "a fold lies where the two planes meet: draw each face so that one of its edges lies there")
		case panel.BentAlready:
			if other, ok := w.fold(fold.Other); ok {
				more = append(more, diag.Related{Span: other, Message: "it is bent by this"})
			}
			more = append(more, "an edge takes one face: give the other another edge, or keep each to its own stretch of it")
		case panel.TooShort:
			if of != nil && of.outlineOf().by != nil {
				more = append(more, diag.Related{Span: at, Message: "the bend"})
				at = of.outlineOf().by.Span()
			}
		}
	case errors.As(err, &face):
		code = "P4022"
		name := strings.TrimPrefix(face.Face, "face ")
		of := w.p.face(name)
		if c, ok := of.cut(face.Cut); ok {
			at = c.says.by.Span()
			more = append(more, diag.Related{Span: of.stmt.Name.At, Message: "the face"})
		} else if of != nil {
			at = of.stmt.Name.At
			for _, o := range ev.works[of] {
				more = append(more, diag.Related{Span: o.decl.At, Message: "made in it by the file"})
			}
		} else if f, ok := w.fold(strings.TrimPrefix(face.Face, "fold ")); ok {
			at = f
		}
	case errors.As(err, &seam):
		code = "P4023"
		for i, s := range w.p.panel.Seams {
			if s.Name == seam.Seam {
				at = w.seams[i]
			}
		}
	}
	return at, code, more
}
