package shopcheck

import (
	"perch/parts/lookalike"
	"perch/parts/measure"
)

// Code is one rule of the trade that a part is held to.
type Code struct {
	Code  string
	Title string
	Rule  measure.Text // one line, with its source
	Of    Measure      // what of a part it holds
}

// Measure is what of a part a rule holds: what its maker states somewhere.
type Measure uint8

const (
	Placement  Measure = iota // where something is, or several things together
	Radius                    // the inside radius of a bend
	Thickness                 // of the sheet
	Depth                     // of a face, square to its fold
	ReliefSize                // of a bend's relief
	Diameter                  // of an opening
	Corner                    // the radius of an opening's or outline's inside corners
	Turn                      // the radius of a bead's corners
	Fastener                  // the size of a fastener
	Pitch                     // of a row of fasteners
	Shank                     // the length of a fastener, which nobody states
	HeadSide                  // on which side its head lies
	Reached                   // whether its tools come to it
	TailForm                  // what its tail becomes
)

// Rules by code. "common practice" and "from memory" mean that there is no source to name.
var (
	insideRadius = Code{"P6010", "inside radius too small",
		measure.Plain("inside radius: at least the material's least, one thickness in mild steel, 1.5 along the grain (common practice)"), Radius}
	flangeFlat = Code{"P6011", "flange too short",
		measure.Say("flange: flat left after trimming at least max(3t, %v) (common practice)", measure.Length(5)), Depth}
	flangeDie = Code{"P6012", "flange too short for the V die",
		measure.Plain("flange in a V die: mold length at least 0.7·V + set-back − (r + t) (common practice)"), Depth}
	holeToBend = Code{"P6013", "hole too near a bend",
		measure.Say("hole to bend: edge at least 2t from the tangent line, 2.5t if over %v or a slot (common practice)", measure.Length(25)), Placement}
	rivetToBend = Code{"P6014", "rivet too near a bend",
		measure.Say("rivet to bend: centre at least set-back + d + %v from the mold line on the head side (common practice)", measure.Length(1)), Placement}
	// RivetToWall is asked for by who looks at the reach of tools.
	RivetToWall = Code{"P6015", "rivet too near a standing wall",
		measure.Say("rivet to wall: centre at least %v from a wall that stands on the head side, or what the shop's tool needs (common practice)", measure.Length(10)), Placement}
	reliefWidth = Code{"P6016", "relief too narrow",
		measure.Say("relief: width at least max(t, %v), a circle at least %v, or a slit of one kerf (common practice)", measure.Length(1.5), measure.Length(3)), ReliefSize}
	rivetSize = Code{"P6017", "rivet out of proportion to the sheet",
		measure.Plain("rivet size: from one to three times the thickest sheet (NAVEDTRA 14018), or the stocked size nearest above (common practice)"), Fastener}
	edgeDistance = Code{"P6018", "fastener too near an edge",
		measure.Plain("edge: at least 2d from the centre, 2.5d countersunk (NAVEDTRA 14018); 1.5d where a hole drilled in place may land (common practice)"), Placement}
	pitchClose = Code{"P6019", "fasteners too close",
		measure.Plain("pitch: at least 3d between centres (NAVEDTRA 14018)"), Placement}
	pitchWide = Code{"P6020", "fasteners far apart",
		measure.Plain("pitch: at most 10d between neighbours, usually 4d to 8d (NAVEDTRA 14018)"), Pitch}
	smallHole = Code{"P6021", "hole too small for the cutter",
		measure.Say("cut hole: round only if d is at least max(2t, 4·kerf, %v), or what the shop states; drill smaller ones (common practice)", measure.Length(6)), Diameter}
	thinWeb = Code{"P6022", "web too thin to cut",
		measure.Say("web between cuts: at least max(2t, %v), or what the shop states (common practice)", measure.Length(3)), Placement}
	sharpCorner = Code{"P6023", "inside corner sharper than the cut",
		measure.Say("inside corner: radius at least kerf/2 + %v (common practice)", measure.Length(0.2)), Corner}
	beadPlace = Code{"P6024", "bead badly placed",
		measure.Plain("bead: half its die + 2t from a tangent line, two widths from an edge or a bead (common practice)"), Placement}
	beadPath = Code{"P6025", "bead can't be rolled",
		measure.Say("bead: corner radius at least the roller's (%v, from memory), within the roller's throat", measure.Length(25)), Turn}
	thinOnThick = Code{"P6026", "thin sheet welded to thick",
		measure.Plain("thin on thick: ratio at most 2, else rivet, or plug weld through the thin sheet with the arc on the thick (common practice)"), Placement}
	plugHole = Code{"P6027", "plug weld too small",
		measure.Say("plug weld: hole at least t + %v and %v (AISC-type limits, AWS D1.3)", measure.Length(8), measure.Length(10)), Fastener}
	plugPlace = Code{"P6028", "plug weld badly placed",
		measure.Plain("plug weld: centres at least 4 holes apart (from memory), edge at least 1.5 holes from the centre (AWS D1.3)"), Placement}
	tackLength = Code{"P6029", "tack out of range",
		measure.Say("tack: %#v to %v long (common practice)", measure.Length(3), measure.Length(6)), Fastener}
	tackSpacing = Code{"P6030", "tacks badly spaced",
		measure.Say("tacks: %#v to %v apart under %v, %#v to %v up to %v (common practice)", measure.Length(25), measure.Length(40), measure.Length(2), measure.Length(40), measure.Length(60), measure.Length(3.2)), Pitch}
	brakeRating = Code{"P6031", "beyond the brake",
		measure.Plain("brake: t·√(L/L0) at most the rated t0, t at most 1.25·t0 or what the shop states (common practice; from memory)"), Thickness}
	hemReturn = Code{"P6032", "hem too narrow",
		measure.Say("hem: return at least max(4t, %v) (common practice)", measure.Length(8)), Depth}
	hemThickness = Code{"P6033", "hem in thick sheet",
		measure.Say("hem: not above %v by hand, or what the shop states (common practice)", measure.Length(1.5)), Thickness}
	deviation = Code{"P6034", "strip end off the true cut",
		measure.Say("straight strip end: at most %v from the true cut (derived)", measure.Length(0.5)), Radius}
	cutterRange = Code{"P6036", "beyond the cutter",
		measure.Plain("blank: within the cutter's thickness and bed"), Placement}
	drillRange = Code{"P6037", "beyond the drill",
		measure.Plain("drilled hole: within the drill's range"), Fastener}
	notOnHand = Code{"P6038", "fastener not on hand",
		measure.Plain("rivet and bolt: of a length that the shop stocks; blind rivets by their grip, ISO 15981; solid ones by grip and 1.5 d for a round tail, 0.8 d countersunk; bolts by grip, washers, nut and a thread (common practice)"), Shank}

	// LookAlike is told by whoever builds: it takes all blanks of a build at once.
	LookAlike = Code{"P6039", "blanks that look alike and differ", lookalike.Rule, Placement}

	coatedWeld = Code{"P6040", "coated sheet welded",
		measure.Say("zinc: off %#.0f to %.0f on each side of a weld, on both faces (American Galvanizers Association, Welding and Hot-Dip Galvanizing; AWS D19.0 welds on bare steel), none between sheets to be plug-welded (common practice)",
			measure.Length(25), measure.Length(100)), Placement}
	unscribed = Code{"P6041", "text that cannot be scribed",
		measure.Plain("text: of Latin letters with their accents, figures and signs, which perch has strokes for"), Placement}

	// FoldMark is told by whoever checks a design: parts/foldmark knows the marks.
	FoldMark = Code{"P6050", "fold told by a punch mark, not a nick",
		measure.Plain("fold mark: a nick at each end of a fold, clear of holes, beads, welds, scribed lines, hems and other nicks by the least web between cuts; else a centre-punch mark (common practice)"), Placement}

	// Unbendable is told by whoever builds: parts/brake knows the order of bends.
	Unbendable = Code{"P6042", "blank that the brake does not bend",
		measure.Plain("bending: in some order of folds and with some side held, clear of bed, leaf, fingers, beam, side frames and the part itself, with fingers that fit, in and out of the clamp (derived from the brake's sections in the shop file)"), Placement}

	// Unsettled is told by whoever builds: parts/tolerance knows how parts settle.
	Unsettled = Code{"P6057", "misfits not worked out",
		measure.Plain("misfits: what bends and holes are off adds up to is worked out for a whole piece, to say which holes locate and how far one that is drilled in place lands off (derived; its size is bounded)"), Placement}

	countersink = Code{"P6056", "sheet too thin to countersink",
		measure.Plain("countersunk tail: about half a diameter deep, in the sheet that it lies in (DIN 661, from memory)"), TailForm}

	// OutOfReach is told by whoever builds: parts/joining knows the order of joining.
	OutOfReach = Code{"P6055", "fastener out of reach",
		measure.Plain("reach: a straight line for the tool from the head's side, of solid rivets and bolts from both, and for the drill where the hole is drilled in place, in some order of joining (common practice)"), Reached}
)

// Codes are all rules, in the order of their codes.
var Codes = []Code{
	insideRadius, flangeFlat, flangeDie, holeToBend, rivetToBend, RivetToWall, reliefWidth, rivetSize, edgeDistance,
	pitchClose, pitchWide, smallHole, thinWeb, sharpCorner, beadPlace, beadPath, thinOnThick, plugHole, plugPlace,
	tackLength, tackSpacing, brakeRating, hemReturn, hemThickness, deviation, cutterRange, drillRange, notOnHand, LookAlike, coatedWeld, unscribed, Unbendable, FoldMark, OutOfReach, countersink, Unsettled,
}
