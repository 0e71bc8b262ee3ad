package shopcheck

import (
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/shop"
)

// onHand asks whether the shop has a fastener in a length that this stack takes.
func (j *joiner) onHand(join *panel.JoinPoint, s sheet) {
	k := join.Shank
	if !k.Listed || k.Length > 0 || !(join.Grip > 0) {
		return // whoever made the join knows of sizes that the shop has not; or no length is told
	}
	if join.Kind == "rivet" && !join.Closing.Solid() {
		j.noGrip(join, s)
		return
	}
	what, longest := "bolts", 0.0
	if join.Kind == "bolt" {
		b, _ := j.shop.Bolt(join.Diameter)
		longest = b.Lengths[len(b.Lengths)-1]
	} else {
		r, _ := j.shop.SolidRivet(join.Diameter)
		what, longest = "solid rivets", r.Lengths[len(r.Lengths)-1]
	}
	j.add(notOnHand, s, "grip", k.Need, longest, "a stack of %.2f takes %s of %.3g that are %.3g long; on hand they are up to %.3g: buy longer ones and list them in the shop file, or take less sheet",
		measure.Length(join.Grip), what, measure.Nominal(join.Diameter), measure.Length(k.Need), measure.Length(longest))
}

// noGrip tells of a stack that no blind rivet on hand grips, and what does.
func (j *joiner) noGrip(join *panel.JoinPoint, s sheet) {
	r, _ := j.shop.Rivet(join.Diameter)
	least, most := r.Lengths[0].GripMin, r.Lengths[len(r.Lengths)-1].GripMax
	limit := most
	if join.Grip < least {
		limit = least
	}
	advice := measure.Plain("no blind rivet of that size is made for it (ISO 15981): another size, a solid rivet or a bolt")
	if l, ok := shop.BlindRivet(r.Diameter).ForGrip(join.Grip); ok {
		advice = measure.Say("%.3g long ones grip %#.3g to %.3g (ISO 15981): buy those and list them in the shop file", measure.Nominal(l.Length), measure.Length(l.GripMin), measure.Length(l.GripMax))
	} else {
		for _, o := range j.shop.Rivets {
			if _, ok := o.ForGrip(join.Grip); ok && !o.Countersunk {
				advice = measure.Say("those of %.3g do, or a bolt", measure.Nominal(o.Diameter))
				break
			}
		}
	}
	j.add(notOnHand, s, "grip", join.Grip, limit, "the stack is %.2f; blind rivets of %.3g on hand grip %#.3g to %.3g; %s",
		measure.Length(join.Grip), measure.Nominal(join.Diameter), measure.Length(least), measure.Length(most), advice)
}
