package shop

import (
	"math"
	"slices"
)

// Rivet is a blind rivet that the shop stocks.
type Rivet struct {
	Diameter    float64
	Hole        float64
	Head        float64 // diameter of the head
	Countersunk bool
	Lengths     []RivetLength // shortest first; empty: the shop does not tell
	Price       float64       // each; 0 when not told
}

// RivetLength is one length of a rivet with the grip it holds.
type RivetLength struct {
	Length           float64
	GripMin, GripMax float64
}

// ForGrip returns the shortest length that holds the grip.
func (r Rivet) ForGrip(grip float64) (RivetLength, bool) {
	for _, l := range r.Lengths {
		if grip >= l.GripMin-gripTol && grip <= l.GripMax+gripTol {
			return l, true
		}
	}
	return RivetLength{}, false
}

// SolidRivet is a rivet with a shank of full section that the shop stocks: its tail is
// hammered over a dolly, or held by a bead of weld.
type SolidRivet struct {
	Diameter float64
	Hole     float64
	Head     float64   // diameter of the head
	Lengths  []float64 // of the shank, ascending; empty: the shop does not tell
	Price    float64   // each; 0 when not told
}

// Bolt is a bolt size with its clearance hole.
type Bolt struct {
	Diameter float64
	Hole     float64
	Nut      float64   // height
	Washer   float64   // thickness; one lies under the head and one under the nut
	Lengths  []float64 // ascending; empty: the shop does not tell
	Price    float64
}

// Nearest is the drill nearest to a hole's diameter, and whether it drills it: no more than
// 0.05 mm smaller and 0.15 mm larger (common practice, no source). Where the shop does not tell
// its drills there is one of every size.
func (d Drill) Nearest(hole float64) (float64, bool) {
	if len(d.Sizes) == 0 {
		return hole, true
	}
	best := d.Sizes[0]
	for _, size := range d.Sizes {
		if math.Abs(size-hole) < math.Abs(best-hole) {
			best = size
		}
	}
	return best, best >= hole-drillUnder && best <= hole+drillOver
}

const drillUnder, drillOver = 0.05 + 1e-6, 0.15 + 1e-6 // mm

// Closing is how a rivet is closed.
type Closing string

const (
	Pulled Closing = "pulled" // a blind rivet, from the head's side alone
	Cold   Closing = "cold"   // a solid one hammered over a dolly
	Hot    Closing = "hot"    // the same, red hot
	Welded Closing = "welded" // a solid one with a bead of weld round its tail
)

// Solid tells whether a rivet closed so has a shank of full section.
func (c Closing) Solid() bool { return c == Cold || c == Hot || c == Welded }

// Shank is what length of a fastener a stack takes.
type Shank struct {
	Length float64 // in stock; 0 where none that the shop lists does
	Need   float64 // the least that would do; of a blind rivet by ISO 15981; 0 where none is made
	Cut    float64 // to what a longer one is cut down before it is set; 0: it is set as it is
	Listed bool    // the shop lists lengths of it
}

// Longest is the length as it is put in: what is stocked, cut down or not; else what would do.
func (k Shank) Longest() float64 {
	switch {
	case k.Cut > 0:
		return k.Cut
	case k.Length > 0:
		return k.Length
	}
	return k.Need
}

// Lengths of a solid rivet's shank beyond the grip, in diameters (common practice).
const (
	roundTail       = 1.5
	countersunkTail = 0.8
	// weldedTail is how far, in mm, a shank stands out for a bead of weld round it
	// (common practice, no source).
	weldedTail = 2.0
	// cutAbove is by how much, in diameters, a shank may be too long before it is cut down
	// (common practice, no source).
	cutAbove = 0.2
	// pastNut is how far a bolt's end stands out of its nut, in diameters: about one
	// thread (common practice).
	pastNut = 0.2
)

// RivetShank is the length of a rivet for a grip of mm; countersunk is its tail's, of a
// solid one.
func (s *Shop) RivetShank(diameter float64, closing Closing, countersunk bool, grip float64) Shank {
	if closing.Solid() {
		r, _ := s.SolidRivet(diameter)
		tail := float64(roundTail * diameter)
		switch {
		case closing == Welded:
			tail = weldedTail
		case countersunk:
			tail = float64(countersunkTail * diameter)
		}
		k := stocked(r.Lengths, grip+tail)
		if k.Length > k.Need+float64(cutAbove*diameter) {
			k.Cut = k.Need
		}
		return k
	}
	r, _ := s.Rivet(diameter)
	k := Shank{Listed: len(r.Lengths) > 0}
	if l, ok := r.ForGrip(grip); ok {
		k.Length = l.Length
	}
	if l, ok := BlindRivet(diameter).ForGrip(grip); ok {
		k.Need = l.Length
	}
	return k
}

// BoltShank is the length of a bolt for a grip of mm, with a washer under its head and
// under its nut.
func (s *Shop) BoltShank(diameter, grip float64) Shank {
	b, ok := s.Bolt(diameter)
	if !ok {
		b = Bolt{Nut: usualNut(diameter), Washer: usualWasher(diameter)}
	}
	return stocked(b.Lengths, grip+b.Nut+float64(2*b.Washer)+float64(pastNut*diameter))
}

// stocked is the shortest of lengths that is not below need.
func stocked(lengths []float64, need float64) Shank {
	k := Shank{Need: need, Listed: len(lengths) > 0}
	if i := slices.IndexFunc(lengths, func(l float64) bool { return l >= need-gripTol }); i >= 0 {
		k.Length = lengths[i]
	}
	return k
}

// usualNut and usualWasher are what a bolt's nut and washer measure where the shop does
// not say: about as ISO 4032 and ISO 7089 have them (from memory).
func usualNut(diameter float64) float64    { return float64(0.9 * diameter) }
func usualWasher(diameter float64) float64 { return float64(0.2 * diameter) }

// sizeTol is how near, in mm, two sizes must be to be one.
const sizeTol = 0.01

// gripTol is how far, in mm, a grip may lie outside a range and still be at its end.
const gripTol = 1e-6

// nominalTol is how near, in mm, a stated fastener size must be to a stocked one to be
// it: blind rivets are sold by rounded metric sizes (3/16 in is called 4.8 mm).
const nominalTol = 0.06

func near(x, y float64) bool { return x-y <= nominalTol && y-x <= nominalTol }

// Rivet returns the stocked blind rivet of that diameter.
func (s *Shop) Rivet(diameter float64) (Rivet, bool) {
	for _, r := range s.Rivets {
		if near(r.Diameter, diameter) {
			return r, true
		}
	}
	return Rivet{}, false
}

// SolidRivet returns the stocked solid rivet of that diameter.
func (s *Shop) SolidRivet(diameter float64) (SolidRivet, bool) {
	for _, r := range s.Solid {
		if near(r.Diameter, diameter) {
			return r, true
		}
	}
	return SolidRivet{}, false
}

// Bolt returns the bolt of that diameter, the nearest where several are.
func (s *Shop) Bolt(diameter float64) (Bolt, bool) {
	best, ok := Bolt{}, false
	for _, b := range s.Bolts {
		if near(b.Diameter, diameter) && !(ok && math.Abs(best.Diameter-diameter) <= math.Abs(b.Diameter-diameter)) {
			best, ok = b, true
		}
	}
	return best, ok
}

// RivetSizes are the diameters of the rivets in stock that are closed so, ascending.
// Countersunk blind rivets, which nobody takes unasked, are left out.
func (s *Shop) RivetSizes(closing Closing) []float64 {
	var out []float64
	if closing.Solid() {
		for _, r := range s.Solid {
			out = append(out, r.Diameter)
		}
		return out
	}
	for _, r := range s.Rivets {
		if !r.Countersunk {
			out = append(out, r.Diameter)
		}
	}
	return out
}

// LargestRivet is the thickest rivet for a stack by its thickest sheet: three times
// it (NAVEDTRA 14018), or the next stocked size above where that is nearer to it
// than the next below (rounding to stock is common practice). Where none is stocked
// below, the least stocked serves up to four times the sheet: 3.2 mm is what thin
// sheet is riveted with (common practice, no source).
func LargestRivet(sizes []float64, thickest float64) float64 {
	limit := float64(3 * thickest)
	under, over := math.Inf(-1), math.Inf(1)
	for _, d := range sizes {
		if d <= limit {
			under = max(under, d)
		} else {
			over = min(over, d)
		}
	}
	if math.IsInf(under, 0) && over <= float64(4*thickest)+sizeTol {
		return over
	}
	if over-limit <= limit-under+sizeTol && !math.IsInf(under, 0) && !math.IsInf(over, 0) {
		return over
	}
	return limit
}

// RivetFor returns of sizes in stock the one nearest to three times the thinnest sheet of
// a stack among those from the thickest sheet to LargestRivet; of two as near, the
// thicker. It is false when none fits.
func RivetFor(sizes []float64, thinnest, thickest float64) (float64, bool) {
	best, found := 0.0, false
	most := LargestRivet(sizes, thickest)
	off := func(d float64) float64 { return math.Abs(d - float64(3*thinnest)) }
	for _, d := range sizes {
		if d < thickest || d > most {
			continue
		}
		if !found || off(d) <= off(best)+sizeTol {
			best, found = d, true
		}
	}
	return best, found
}
