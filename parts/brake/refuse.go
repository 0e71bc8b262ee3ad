package brake

import (
	"slices"

	"perch/parts/bend"
	"perch/parts/measure"
	"perch/parts/panel"
)

// tooMany refuses a part with more folds than a set of them can hold.
func tooMany(folds int) *Refusal {
	return &Refusal{Bound: true, Help: measure.Say("%d folds are more than a plan can hold, %d: make it of two parts", folds, maxOps)}
}

// refuse tells how far the part can be bent and what stops each fold that is left.
func (f *finder) refuse(out *Plan) {
	out.Steps = f.steps(f.path)
	for i := range out.Steps {
		out.Steps[i].Why = measure.Plain("as far as it goes")
	}
	r := &Refusal{Bound: f.bound}
	out.Refused = r
	for o := range f.p.ops {
		if f.deepest&(1<<o) != 0 {
			continue
		}
		for _, h := range f.holds {
			if len(h.list) > 1 || h.list[0] != o || !f.can(h, f.deepest) {
				continue
			}
			if t := h.try(f.deepest); !t.ok {
				if n := len(r.Next) - 1; n >= 0 && r.Next[n].Fold == t.block.Fold && r.Next[n].Held == t.block.Held {
					// Of two punches the gooseneck's is told, which is stopped last, but where the other bends it.
					if last := r.Next[n].Reason; last != NoWayIn && last != NoWayOut {
						r.Next[n] = t.block
					}
					continue
				}
				r.Next = append(r.Next, t.block)
			}
		}
	}
	r.Help = f.help(r)
}

// help says what would mend the first thing that stops it.
func (f *finder) help(r *Refusal) measure.Text {
	if r.Bound {
		return measure.Say("the search was given up after %d sets of folds: what is told is as far as it came; make the part of two", len(f.dead))
	}
	if len(r.Next) == 0 {
		return measure.Plain("make the part of two")
	}
	return f.p.helpFor(r.Next[0])
}

// helpFor says what would mend one block.
func (p *part) helpFor(b Block) measure.Text {
	switch b.Reason {
	case TooSteep:
		return measure.Say("bend it by %.0f° at most, or close it by hand over a bar", b.Limit/bend.Degree)
	case TooWide:
		return measure.Say("keep the piece to %.0f along this fold, bend the short flaps first, or make it of two parts", measure.Length(b.Limit))
	case TooLong:
		return measure.Say("keep the fold to %.0f, or make it of two parts", measure.Length(b.Limit))
	case TooStrong, TooThick:
		return measure.Plain("use thinner sheet or a shorter fold, or have it bent; a shop with a stronger brake says so in its shop file")
	case ThickHem:
		return measure.Say("hem sheet of %.3g at most, or leave an open flange", measure.Length(b.Limit))
	case ShortHold:
		return measure.Say("give %s %.1f more flat to be held by", p.faceName(b.Face), measure.Length(b.Limit-b.Got))
	case ShortMove:
		return measure.Say("make %s %.1f deeper", p.faceName(b.Face), measure.Length(b.Limit-b.Got))
	case BareEnd:
		return measure.Say("a narrower finger or piece of the punch, a gap or relief where the metal stands, or a part made of two: %.0f of the fold would stay bare and %.0f may", measure.Length(b.Got), measure.Length(b.Limit))
	case NoWayIn, NoWayOut:
		return measure.Say("a brake that opens wider than %.0f, a lower wall, or a part made of two", measure.Length(b.Limit))
	}
	if p.tab(b.Face) || p.tab(p.flat.Folds[b.Fold].B) {
		return measure.Plain("the tab of a lapped seam is turned by hand, with a seamer or over a bar, where a brake does not get at it")
	}
	switch b.With {
	case Finger, Beam:
		return measure.Plain("taller fingers, a lower flange, or a part made of two that are joined")
	case Leaf:
		return measure.Plain("a narrower leaf, a deeper step, or a cut where the metal reaches over the line")
	case Metal:
		return measure.Plain("a shorter flange, a relief at the corner, or a part made of two that are joined")
	case Punch, Ram, Die:
		return measure.Plain("a gooseneck punch, a narrower die, or a part made of two that are joined")
	}
	return measure.Plain("a part made of two that are joined")
}

// tab tells whether a face is the tab of a lapped seam.
func (p *part) tab(face int) bool {
	return slices.ContainsFunc(p.flat.Tabs, func(t panel.Tab) bool { return t.Face == face })
}

// Help says what would mend a block.
func (p *Plan) Help(b Block) measure.Text {
	return (&part{flat: p.Flat, names: p.names}).helpFor(b)
}

// Words say what stops a fold: what meets what, at which angle, and the number that it breaks.
func (p *Plan) Words(b Block) measure.Text {
	q := &part{flat: p.Flat, names: p.names}
	held := q.faceName(b.Held)
	fingers, clamp, opens := "fingers", "clamp", "opens"
	if p.press {
		fingers, clamp, opens = "pieces of the punch", "ram", "goes up"
	}
	switch b.Reason {
	case TooSteep:
		return measure.Say("it turns %.1f° and the brake goes to %.0f° (%s)", b.Got/bend.Degree, b.Limit/bend.Degree, b.Number)
	case TooWide:
		return measure.Say("the piece is %.0f wide there and %.0f passes between the side frames (%s)", measure.Length(b.Got), measure.Length(b.Limit), b.Number)
	case TooLong:
		return measure.Say("the fold is %.0f long and the brake %.0f (%s)", measure.Length(b.Got), measure.Length(b.Limit), b.Number)
	case TooStrong:
		return measure.Say("it asks for a rating of %.2f and the brake's is %.3g (%s)", measure.Length(b.Got), measure.Length(b.Limit), b.Number)
	case TooThick:
		return measure.Say("the sheet is %.3g and the brake takes %.3g at any length (%s)", measure.Length(b.Got), measure.Length(b.Limit), b.Number)
	case ThickHem:
		return measure.Say("the sheet is %.3g and a hem is closed up to %.3g (%s)", measure.Length(b.Got), measure.Length(b.Limit), b.Number)
	case ShortHold:
		return measure.Say("holding %s: only %.1f of it is flat, %.0f are held well (%s)", held, measure.Length(b.Got), measure.Length(b.Limit), b.Number)
	case ShortMove:
		return measure.Say("holding %s: %s has %.1f of flat to move by, %.1f are needed (%s)", held, q.faceName(b.Face), measure.Length(b.Got), measure.Length(b.Limit), b.Number)
	case BareEnd:
		if b.Face == none {
			return measure.Say("holding %s: no %s fit, %.0f of the fold would stay bare (%s)", held, fingers, measure.Length(b.Got), b.Number)
		}
		return measure.Say("holding %s: %s is where %s would stand, and %.0f of the fold would stay bare (%s)", held, q.faceName(b.Face), fingers, measure.Length(b.Got), b.Number)
	case NoWayIn, NoWayOut:
		what := "goes in"
		if b.Reason == NoWayOut {
			what = "comes out again"
		}
		if b.Face == none {
			return measure.Say("holding %s: no way is found that it %s under the %s, which %s by %.0f (%s)", held, what, clamp, opens, measure.Length(b.Limit), b.Number)
		}
		return measure.Say("holding %s: no way is found that it %s under the %s, which %s by %.0f (%s): %s is in the way", held, what, clamp, opens, measure.Length(b.Limit), b.Number, q.faceName(b.Face))
	}
	if b.With == Metal {
		return measure.Say("holding %s: %s meets %s at %.0f°", held, q.faceName(b.Face), q.faceName(b.Other), b.At/bend.Degree)
	}
	return measure.Say("holding %s: %s meets the %s at %.0f° (%s)", held, q.faceName(b.Face), string(b.With), b.At/bend.Degree, b.Number)
}
