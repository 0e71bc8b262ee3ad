package panel

import (
	"fmt"
	"strings"

	"perch/parts/bend"
	"perch/parts/measure"
)

// Reason says what is wrong with a fold, a face or a seam.
type Reason string

// Reasons of a FoldError.
const (
	BadBend      Reason = "bad bend"           // a number of the bend is out of range
	SamePlane    Reason = "same plane"         // the faces lie in parallel planes, Got the angle in radians
	NoMeeting    Reason = "faces do not meet"  // Got the distance in mm
	CrossesLine  Reason = "crosses the line"   // an outline runs across the mold line without an edge on it
	Stretches    Reason = "several stretches"  // the faces meet in Got stretches, one is needed
	WrongSide    Reason = "wrong side"         // the hung face lies on the other side of the fold
	Disagree     Reason = "angle disagrees"    // frames against the stated angle; Got and Need in radians or Got in mm
	AngleNeeded  Reason = "angle not stated"   // above 150° the angle must be stated; Got in radians
	TooShort     Reason = "flange too short"   // Got mm of Face, Need mm for its set-backs
	BentAlready  Reason = "bent already"       // Face has another fold, Other, on Got mm of this one's line
	NoEdgeLeft   Reason = "no edge left"       // Face has no straight edge left on the line, Got mm long
	NotRefolding Reason = "does not refold"    // the folded face misses its frame by Got mm
	CutInBend    Reason = "cut crosses a bend" // Face's cut Other reaches Got mm² into the bend
)

// Reasons of a FaceError and of a SeamError.
const (
	BadOutline Reason = "bad outline"
	BadIndex   Reason = "no such face"
	Cycle      Reason = "cycle of folds"
	TwoParents Reason = "hung twice"
	TwoRoots   Reason = "two roots"
	Pieces     Reason = "falls apart"      // Got pieces
	Overlap    Reason = "flat overlaps"    // Got mm² shared with Other
	OffFace    Reason = "cut off the face" // Cut takes nothing off its face
	NoCorner   Reason = "no corner line"   // a seam's planes are parallel
	BadSides   Reason = "no common corner" // a seam's faces lie on different sides of each other
	BadSeam    Reason = "bad seam"
)

// FoldError is a fold that can't be made. Got and Need are in mm, or radians where
// Reason says so.
type FoldError struct {
	Panel, Fold string
	A, B        string // the faces' names
	Reason      Reason
	Got, Need   float64
	Face, Other string // of the two: the one that it is about; another fold, or a cut
	Detail      measure.Text
}

func (e *FoldError) Error() string { return fmt.Sprintf("panel %s, %s", e.Panel, e.Told()) }

// Told is the error with its measures; it does not say of which panel.
func (e *FoldError) Told() measure.Text {
	where := "fold " + between(e.Fold, e.A, e.B) + ": "
	switch e.Reason {
	case SamePlane:
		return measure.Say("%sthe faces lie in parallel planes (bend angle %.6g°): there is no line to fold on", where, e.Got/bend.Degree)
	case NoMeeting:
		return measure.Say("%sthe faces don't meet: %.4g apart", where, measure.Length(e.Got))
	case CrossesLine:
		return measure.Say("%s%s runs across the fold's line by %.4g and has no edge on it", where, e.Detail, measure.Length(e.Got))
	case Stretches:
		return measure.Say("%sthe faces meet in %.0f stretches, a fold has one", where, e.Got)
	case WrongSide:
		return measure.Say("%s%s lies on the wrong side of the fold; use .back", where, e.B)
	case Disagree:
		if !e.Detail.Empty() {
			return measure.Say("%s%s %.6g", where, e.Detail, measure.Length(e.Got))
		}
		return measure.Say("%sthe frames fold by %.9g°, stated is %.9g°", where, e.Got/bend.Degree, e.Need/bend.Degree)
	case AngleNeeded:
		return measure.Say("%sfolds above 150° need their angle stated; the frames fold by %.6g°", where, e.Got/bend.Degree)
	case TooShort:
		return measure.Say("%s%s is too short for its set-back: %.4g, needs more than %#.4g", where, e.Face, measure.Length(e.Got), measure.Length(e.Need))
	case BentAlready:
		return measure.Say("%s%s is bent there already, by fold %s: the two share %.4g of its edge", where, e.Face, e.Other, measure.Length(e.Got))
	case NoEdgeLeft:
		return measure.Say("%s%s keeps no straight edge along this bend, which is %.4g long: the bends and corners beside it take all of it", where, e.Face, measure.Length(e.Got))
	case NotRefolding:
		return measure.Say("%s%s misses its place by %.3g when folded", where, e.B, measure.Length(e.Got))
	case CutInBend:
		return measure.Say("%scut %s of %s reaches into the bend by %.4g", where, e.Other, e.Face, measure.Area(e.Got))
	}
	return measure.Say("%s%s%s", where, e.Reason, detail(e.Detail))
}

// FaceError is a face, or a set of faces, that makes no panel.
type FaceError struct {
	Panel, Face string
	Others      []string // the other faces it is about
	Cut         string   // of OffFace
	Reason      Reason
	Got         float64
	Detail      measure.Text
}

func (e *FaceError) Error() string { return fmt.Sprintf("panel %s: %s", e.Panel, e.Told()) }

// Told is the error with its measures; it does not say of which panel.
func (e *FaceError) Told() measure.Text {
	others := strings.Join(e.Others, ", ")
	switch e.Reason {
	case Cycle:
		return measure.Say("the folds run in a cycle: %s, %s; leave one to a seam", e.Face, others)
	case TwoParents:
		return measure.Say("face %s hangs on two faces: %s", e.Face, others)
	case TwoRoots:
		return measure.Say("faces %s, %s are all roots: each face but one must be hung by a fold", e.Face, others)
	case Pieces:
		if e.Got == 0 {
			return measure.Say("nothing is left of %s%s", e.Face, detail(e.Detail))
		}
		return measure.Say("%s falls into %.0f pieces%s", e.Face, e.Got, detail(e.Detail))
	case Overlap:
		return measure.Say("the flat overlaps itself: %s and %s share %.4g", e.Face, others, measure.Area(e.Got))
	case OffFace:
		return measure.Say("cut %s takes nothing off face %s: it lies beside it", e.Cut, e.Face)
	}
	return measure.Say("face %s: %s%s", e.Face, e.Reason, detail(e.Detail))
}

// SeamError is a seam that can't be treated.
type SeamError struct {
	Panel, Seam string
	A, B        string
	Reason      Reason
	Got         float64
	Detail      measure.Text
}

func (e *SeamError) Error() string { return fmt.Sprintf("panel %s, %s", e.Panel, e.Told()) }

// Told is the error with its measures; it does not say of which panel.
func (e *SeamError) Told() measure.Text {
	return measure.Say("seam %s: %s%s", between(e.Seam, e.A, e.B), e.Reason, detail(e.Detail))
}

// between is the name of a fold or seam, with its faces where it does not tell them.
func between(name, a, b string) string {
	if name == a+"/"+b {
		return name
	}
	return fmt.Sprintf("%s (%s to %s)", name, a, b)
}

func detail(t measure.Text) measure.Text {
	if t.Empty() {
		return t
	}
	return measure.Say(": %s", t)
}
