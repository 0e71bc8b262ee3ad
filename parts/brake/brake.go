// Package brake plans how a blank is bent: it holds the part, fold by fold, against the
// sections of the shop's brake, looks for an order in which everything goes, and tells for
// each step what is held, what is turned and with which fingers, or else what is in the
// way. It never changes a part, and knows neither drawings nor files.
package brake

import (
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
)

// Plan is how one blank is bent, step by step.
type Plan struct {
	Flat     *panel.Flat
	Mirrored bool     // of copies that are bent the other way: the same steps, sides changed
	Steps    []Step   // of a part that is refused the most that can be done
	Refused  *Refusal // nil where the part can be bent
	Unproved bool     // it works, but whether it is the best was not worked out to the end
	States   int      // how many sets of folds were looked at

	press  bool // it is for a V die
	names  Names
	finder *finder // that found a plan which works, to go on from; else nil
}

// Names are what people call a flat's faces and folds. Where there are none, they are called as in the design.
type Names interface {
	Face(i int) string
	Fold(i int) string
}

// own are the names of the design.
type own struct{ flat *panel.Flat }

func (o own) Face(i int) string { return o.flat.FaceName(i) }

func (o own) Fold(i int) string {
	f := &o.flat.Folds[i]
	if f.Name != "" {
		return f.Name
	}
	return o.flat.FaceName(f.A) + " to " + o.flat.FaceName(f.B)
}

// Op is what is done in a step.
type Op string

const (
	Bend     Op = "bend"
	StartHem Op = "start_hem" // the first bend of a hem, as far as the brake goes
	Flatten  Op = "flatten"   // the hem is closed
)

// Step is one stroke of the brake.
type Step struct {
	Op       Op
	Folds    []int          // of the flat, bent at once
	Held     int            // the face that is clamped
	HeldA    bool           // it is the folds' A
	DrawnUp  bool           // the drawn side lies up
	Turned   float64        // rad, that the flange turns in this step
	Stop     float64        // rad to pull to, with the estimated springback: an estimate
	Radius   float64        // inside, mm
	Punch    string         // of a press: straight or gooseneck; "" on a leaf brake
	Sight    [2]plane.Point // the line to set under the finger's edge or the punch, in the flat
	Line     Line
	Fingers  []Span  // along the fold, 0 at the middle of Sight, positive to its second point
	Rating   float64 // t·√(L/L0)/t0, at most 1
	Warnings []measure.Text
	Why      measure.Text

	contour uint64 // the operations done before
}

// Line says for people where the sight line lies: so far from an edge.
type Line struct {
	From     string // the edge in words, or the nicks
	Distance float64
}

// Span is a stretch along a fold, mm.
type Span struct{ From, To float64 }

// Refusal is why a part can't be bent: what could be done, and what stops each fold that is left.
type Refusal struct {
	Next  []Block
	Help  measure.Text
	Bound bool // the search was given up, not finished
}

// Tool is a part of the brake, or what is in the way otherwise.
type Tool string

const (
	Bed    Tool = "bed"
	Leaf   Tool = "leaf"
	Finger Tool = "finger"
	Beam   Tool = "clamp beam"
	Frames Tool = "side frames"
	Punch  Tool = "punch"
	Ram    Tool = "ram"
	Die    Tool = "die"
	Metal  Tool = "the part itself"
	Limit  Tool = "the brake's limits"
	Way    Tool = "the way out"
)

// Block is what stops one fold with one side held.
type Block struct {
	Fold       int
	Held       int     // face
	Face       int     // that meets the tool; −1 where none does
	With       Tool    //
	Other      int     // the face that it meets, where With is Metal; else −1
	At         float64 // rad, when they meet
	Number     string  // the key of the shop file that it breaks, "" for none
	Got, Limit float64 // mm, or rad for an angle, where they tell
	Reason     Reason
}

// Reason is what kind of block it is.
type Reason uint8

const (
	Meets      Reason = iota // metal meets a tool or metal
	TooSteep                 // more than the front angle
	TooWide                  // between the frames
	TooLong                  // for the brake's length
	TooStrong                // beyond its rating
	TooThick                 // thicker than it takes at any length
	ShortHold                // too little flat to hold
	ShortMove                // too little flat to move
	BareEnd                  // no fingers fit
	NoWayIn                  // the piece can't be put in
	NoWayOut                 // it can't be taken out
	ThickHem                 // a hem in sheet that no hand closes
	OpenBefore               // the hem is to be started first
)

// SightOf is the line that a plan sets a fold by, in the flat; ok is false where the plan
// has no step for it.
func (p *Plan) SightOf(fold int) (line [2]plane.Point, ok bool) {
	for _, s := range p.Steps {
		if s.Op == Flatten {
			continue
		}
		for _, f := range s.Folds {
			if f == fold {
				return sight(&p.Flat.Folds[f], s.HeldA, s.Radius), true
			}
		}
	}
	return line, false
}

// Unbent is how many folds the plan leaves as they are, or half done.
func (p *Plan) Unbent() int {
	done := map[int]bool{}
	for _, s := range p.Steps {
		if s.Op != StartHem {
			for _, f := range s.Folds {
				done[f] = true
			}
		}
	}
	return len(p.Flat.Folds) - len(done)
}

// sight is a fold's line r from the tangent of the side that is held.
func sight(f *panel.FlatFold, heldA bool, r float64) [2]plane.Point {
	from, to := f.TangentA, f.TangentB
	if !heldA {
		from, to = to, from
	}
	e := f.To.Sub(f.From).Unit()
	into := e.Perp().Neg() // from A towards B
	if !heldA {
		into = into.Neg()
	}
	// The strip's ends may lie aslant: what is left of it there is found along the way.
	part := 0.0
	if ba := f.Bend.Allowance(); ba > 0 {
		part = min(max(r/ba, 0), 1)
	}
	line := [2]plane.Point{}
	for i := range line {
		along := from[i].Lerp(to[i], part).Sub(from[i]).Dot(e)
		line[i] = from[i].Add(e.Scale(along)).Add(into.Scale(r))
	}
	return line
}
