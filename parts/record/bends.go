package record

import (
	_ "embed"
	"fmt"
	"io"

	"perch/parts/bend"
	"perch/parts/brake"
	"perch/parts/decimal"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/shop"
)

// BendsFormat and BendsVersion name what WriteBends writes.
const (
	BendsFormat  = "perch-bends"
	BendsVersion = 1
)

// BendsSchema is the JSON Schema (draft 2020-12) of a bend plan.
//
//go:embed bends.schema.json
var BendsSchema []byte

// WriteBends writes the plans of one size's blanks, with the numbers of the brake that they are
// for. Its texts are in the given system. It returns an error, and writes nothing, when a
// number is not finite; otherwise w's own error.
func WriteBends(w io.Writer, a *panel.Assembly, plans []brake.BlankPlan, b shop.Brake, in measure.System) error {
	e := &encoder{}
	e.open('{')
	e.line(1)
	e.textMember("format", BendsFormat)
	e.key("version")
	e.number(BendsVersion, 0)
	e.textMember("design", a.Design)
	e.textMember("size", a.Size)
	e.textMember("revision", a.Revision)
	e.line(1)
	e.key("brake")
	e.brake(b)
	list(e, 1, "blanks", plans, func(i int) { e.plan(a, plans[i], in) })
	e.buf = append(e.buf, "\n}\n"...)
	if e.bad != "" {
		return fmt.Errorf("the bend plans of %s, %s: %s is not a finite number", a.Design, a.Size, e.bad)
	}
	_, err := w.Write(e.buf)
	return err
}

// brake writes every number of the machine that a plan uses.
func (e *encoder) brake(b shop.Brake) {
	e.open('{')
	e.textMember("kind", b.Kind)
	mm := func(name string, x float64) { e.numberMember(name, x, decimal.Length) }
	deg := func(name string, x float64) { e.numberMember(name, x/bend.Degree, decimal.Angle) }
	mm("thickness", b.Thickness)
	mm("length", b.Length)
	e.numberMember("over", b.Over, factorDecimals)
	mm("hem_thickness", b.HemThickness)
	e.key("fingers")
	e.numbers(decimal.Length, b.Fingers...)
	mm("finger_gap", b.FingerGap)
	mm("between_frames", b.Frames())
	mm("lift", b.Lift)
	if b.Kind == shop.BrakeVDie {
		e.numberMember("opening", b.Opening, factorDecimals)
		e.key("openings")
		e.numbers(decimal.Length, b.Openings...)
		e.textMember("punch", b.Punch)
		deg("punch_angle", b.PunchAngle)
		mm("punch_height", b.PunchHeight)
		mm("punch_width", b.PunchWidth)
		mm("ram_width", b.RamWidth)
		mm("stroke", b.Stroke)
		mm("throat", b.Throat)
		mm("die_width", b.DieWidth)
		mm("die_height", b.DieHeight)
	} else {
		deg("front_angle", b.FrontAngle)
		mm("finger_neck", b.FingerNeck)
		mm("finger_heel", b.FingerHeel)
		mm("finger_height", b.FingerHeight)
		mm("nose_radius", b.NoseRadius)
		mm("leaf_width", b.LeafWidth)
		mm("leaf_height", b.LeafHeight)
		mm("bed_depth", b.BedDepth)
		e.key("beam")
		e.numbers(decimal.Length, b.Beam[0], b.Beam[1])
		mm("hold_min", b.HoldMin)
		mm("move_min", b.MoveMin)
	}
	e.close('}')
}

func (e *encoder) plan(a *panel.Assembly, p brake.BlankPlan, in measure.System) {
	e.textMember("blank", a.Blanks[p.Blank].Name)
	e.flagMember("mirrored", p.Mirrored)
	e.key("count")
	e.number(float64(p.Count), 0)
	e.flagMember("possible", p.Refused == nil)
	list(e, 3, "steps", p.Steps, func(i int) { e.step(p.Flat, &p.Steps[i], in) })
	if p.Refused != nil {
		e.line(3)
		e.key("refused")
		e.refusal(p, in)
	}
}

func (e *encoder) step(f *panel.Flat, s *brake.Step, in measure.System) {
	e.textMember("op", string(s.Op))
	e.key("folds")
	e.open('[')
	for _, i := range s.Folds {
		e.text(f.Folds[i].Name)
	}
	e.close(']')
	e.textMember("held", f.Faces[s.Held].Name)
	e.textMember("drawn_side", side(s.DrawnUp))
	e.numberMember("turned_deg", s.Turned/bend.Degree, decimal.Angle)
	e.numberMember("stop_deg", s.StopAngle(), 1)
	e.numberMember("radius", s.Radius, decimal.Length)
	if s.Punch != "" {
		e.textMember("punch", s.Punch)
	}
	e.key("sight")
	e.open('[')
	for _, p := range s.Sight {
		e.numbers(decimal.Length, p.X, p.Y)
	}
	e.close(']')
	e.key("line")
	e.open('{')
	e.textMember("from", s.Line.From)
	e.numberMember("distance", s.Line.Distance, decimal.Length)
	e.close('}')
	e.key("fingers")
	e.open('[')
	for _, x := range s.Fingers {
		e.numbers(decimal.Length, x.From, x.To)
	}
	e.close(']')
	e.numberMember("rating", s.Rating, factorDecimals)
	e.texts("warnings", s.Warnings, in)
	e.textMember("why", s.Why.In(in))
}

func side(up bool) string {
	if up {
		return "up"
	}
	return "down"
}

func (e *encoder) texts(name string, all []measure.Text, in measure.System) {
	e.key(name)
	e.open('[')
	for _, t := range all {
		e.text(t.In(in))
	}
	e.close(']')
}

func (e *encoder) refusal(p brake.BlankPlan, in measure.System) {
	e.open('{')
	e.key("done")
	e.open('[')
	for _, s := range p.Steps {
		for _, i := range s.Folds {
			e.text(p.Flat.Folds[i].Name)
		}
	}
	e.close(']')
	e.flagMember("given_up", p.Refused.Bound)
	next := p.Refused.Next
	list(e, 4, "next", next, func(i int) {
		b := next[i]
		e.textMember("fold", p.Flat.Folds[b.Fold].Name)
		e.textMember("held", p.Flat.Faces[b.Held].Name)
		e.textMember("hits", faceOr(p.Flat, b.Face))
		e.textMember("with", with(p.Flat, b))
		e.numberMember("at_deg", b.At/bend.Degree, decimal.Angle)
		e.textMember("number", b.Number)
		e.textMember("says", p.Words(b).In(in))
	})
	e.textMember("help", p.Refused.Help.In(in))
	e.close('}')
}

// with is what a face meets: a tool, or the other face.
func with(f *panel.Flat, b brake.Block) string {
	if b.With == brake.Metal {
		return faceOr(f, b.Other)
	}
	return string(b.With)
}

func faceOr(f *panel.Flat, face int) string {
	if face < 0 {
		return ""
	}
	return f.Faces[face].Name
}
