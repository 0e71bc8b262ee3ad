package shopcheck

// Code is one rule of the trade that a part is held to.
type Code struct {
	Code  string
	Title string
	Rule  string // one line, with its source
}

// Rules by code. "common practice" and "from memory" mean that there is no source to name.
var (
	insideRadius = Code{"P6010", "inside radius too small",
		"inside radius: at least the material's least, one thickness in mild steel, 1.5 along the grain (common practice)"}
	flangeFlat = Code{"P6011", "flange too short",
		"flange: flat left after trimming at least max(3t, 5 mm) (common practice)"}
	flangeDie = Code{"P6012", "flange too short for the V die",
		"flange in a V die: mold length at least 0.7·V + set-back − (r + t) (common practice)"}
	holeToBend = Code{"P6013", "hole too near a bend",
		"hole to bend: edge at least 2t from the tangent line, 2.5t if over 25 mm or a slot (common practice)"}
	rivetToBend = Code{"P6014", "rivet too near a bend",
		"rivet to bend: centre at least set-back + d + 1 mm from the mold line on the head side (common practice)"}
	rivetToWall = Code{"P6015", "rivet too near a standing wall",
		"rivet to wall: centre at least 10 mm from a wall that stands on the head side (common practice)"}
	reliefWidth = Code{"P6016", "relief too narrow",
		"relief: width at least max(t, 1.5 mm), a circle at least 3 mm, or a slit of one kerf (common practice)"}
	rivetSize = Code{"P6017", "rivet out of proportion to the sheet",
		"rivet size: from one to three times the thickest sheet (NAVEDTRA 14018), or the stocked size nearest above (common practice)"}
	edgeDistance = Code{"P6018", "fastener too near an edge",
		"edge: at least 2d from the centre, 2.5d countersunk (NAVEDTRA 14018)"}
	pitchClose = Code{"P6019", "fasteners too close",
		"pitch: at least 3d between centres (NAVEDTRA 14018)"}
	pitchWide = Code{"P6020", "fasteners far apart",
		"pitch: at most 10d between neighbours, usually 4d to 8d (NAVEDTRA 14018)"}
	smallHole = Code{"P6021", "hole too small for the cutter",
		"cut hole: round only if d is at least max(2t, 4·kerf, 6 mm), or what the shop states; drill smaller ones (common practice)"}
	thinWeb = Code{"P6022", "web too thin to cut",
		"web between cuts: at least max(2t, 3 mm), or what the shop states (common practice)"}
	sharpCorner = Code{"P6023", "inside corner sharper than the cut",
		"inside corner: radius at least kerf/2 + 0.2 mm (common practice)"}
	beadPlace = Code{"P6024", "bead badly placed",
		"bead: half its die + 2t from a tangent line, two widths from an edge or a bead (common practice)"}
	beadPath = Code{"P6025", "bead can't be rolled",
		"bead: corner radius at least the roller's (25 mm, from memory), within the roller's throat"}
	thinOnThick = Code{"P6026", "thin sheet welded to thick",
		"thin on thick: ratio at most 2, else rivet, or plug weld through the thin sheet with the arc on the thick (common practice)"}
	plugHole = Code{"P6027", "plug weld too small",
		"plug weld: hole at least t + 8 mm and 10 mm (AISC-type limits, AWS D1.3)"}
	plugPlace = Code{"P6028", "plug weld badly placed",
		"plug weld: centres at least 4 holes apart (from memory), edge at least 1.5 holes from the centre (AWS D1.3)"}
	tackLength = Code{"P6029", "tack out of range",
		"tack: 3 to 6 mm long (common practice)"}
	tackSpacing = Code{"P6030", "tacks badly spaced",
		"tacks: 25 to 40 mm apart under 2 mm, 40 to 60 mm up to 3.2 mm (common practice)"}
	brakeRating = Code{"P6031", "beyond the brake",
		"brake: t·√(L/L0) at most the rated t0, t at most 1.25·t0 or what the shop states (common practice; from memory)"}
	hemReturn = Code{"P6032", "hem too narrow",
		"hem: return at least max(4t, 8 mm) (common practice)"}
	hemThickness = Code{"P6033", "hem in thick sheet",
		"hem: not above 1.5 mm by hand, or what the shop states (common practice)"}
	deviation = Code{"P6034", "strip end off the true cut",
		"straight strip end: at most 0.5 mm from the true cut (derived)"}
	lowRatio = Code{"P6035", "radius too small for a computed neutral axis",
		"radius to thickness: at least 0.4 for a computed neutral axis (from memory)"}
	cutterRange = Code{"P6036", "beyond the cutter",
		"blank: within the cutter's thickness and bed"}
	drillRange = Code{"P6037", "beyond the drill",
		"drilled hole: within the drill's range"}
	notOnHand = Code{"P6038", "rivet not on hand",
		"rivet: of a size and length that the shop stocks"}
)

// Codes are all rules, in the order of their codes.
var Codes = []Code{
	insideRadius, flangeFlat, flangeDie, holeToBend, rivetToBend, rivetToWall, reliefWidth, rivetSize, edgeDistance,
	pitchClose, pitchWide, smallHole, thinWeb, sharpCorner, beadPlace, beadPath, thinOnThick, plugHole, plugPlace,
	tackLength, tackSpacing, brakeRating, hemReturn, hemThickness, deviation, lowRatio, cutterRange, drillRange, notOnHand,
}
