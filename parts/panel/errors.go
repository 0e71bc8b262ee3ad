package panel

import (
	"fmt"
	"strings"

	"perch/parts/bend"
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
	TooShort     Reason = "flange too short"   // Got mm of face, Need mm for its set-backs
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
	OffFace    Reason = "cut off the face" // it takes nothing off its face; Detail names it
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
	Detail      string
}

func (e *FoldError) Error() string {
	where := fmt.Sprintf("panel %s, fold %s (%s to %s): ", e.Panel, e.Fold, e.A, e.B)
	switch e.Reason {
	case SamePlane:
		return where + fmt.Sprintf("the faces lie in parallel planes (bend angle %.6g°): there is no line to fold on", e.Got/bend.Degree)
	case NoMeeting:
		return where + fmt.Sprintf("the faces don't meet: %.4g mm apart", e.Got)
	case CrossesLine:
		return where + fmt.Sprintf("%s runs across the fold's line by %.4g mm and has no edge on it", e.Detail, e.Got)
	case Stretches:
		return where + fmt.Sprintf("the faces meet in %.0f stretches, a fold has one", e.Got)
	case WrongSide:
		return where + fmt.Sprintf("%s lies on the wrong side of the fold; use .back", e.B)
	case Disagree:
		if e.Detail != "" {
			return where + fmt.Sprintf("%s %.6g mm", e.Detail, e.Got)
		}
		return where + fmt.Sprintf("the frames fold by %.9g°, stated is %.9g°", e.Got/bend.Degree, e.Need/bend.Degree)
	case AngleNeeded:
		return where + fmt.Sprintf("folds above 150° need their angle stated; the frames fold by %.6g°", e.Got/bend.Degree)
	case TooShort:
		return where + fmt.Sprintf("%s is too short for its set-back: %.4g mm, needs more than %.4g", e.Detail, e.Got, e.Need)
	case NotRefolding:
		return where + fmt.Sprintf("%s misses its place by %.3g mm when folded", e.B, e.Got)
	case CutInBend:
		return where + fmt.Sprintf("cut %s reaches into the bend by %.4g mm²", e.Detail, e.Got)
	}
	return where + string(e.Reason) + detail(e.Detail)
}

// FaceError is a face, or a set of faces, that makes no panel.
type FaceError struct {
	Panel, Face string
	Others      []string // the other faces it is about
	Reason      Reason
	Got         float64
	Detail      string
}

func (e *FaceError) Error() string {
	where := fmt.Sprintf("panel %s: ", e.Panel)
	others := strings.Join(e.Others, ", ")
	switch e.Reason {
	case Cycle:
		return where + fmt.Sprintf("the folds run in a cycle: %s, %s; leave one to a seam", e.Face, others)
	case TwoParents:
		return where + fmt.Sprintf("face %s hangs on two faces: %s", e.Face, others)
	case TwoRoots:
		return where + fmt.Sprintf("faces %s, %s are all roots: each face but one must be hung by a fold", e.Face, others)
	case Pieces:
		if e.Got == 0 {
			return where + fmt.Sprintf("nothing is left of %s%s", e.Face, detail(e.Detail))
		}
		return where + fmt.Sprintf("%s falls into %.0f pieces%s", e.Face, e.Got, detail(e.Detail))
	case Overlap:
		return where + fmt.Sprintf("the flat overlaps itself: %s and %s share %.4g mm²", e.Face, others, e.Got)
	}
	return where + fmt.Sprintf("face %s: %s%s", e.Face, e.Reason, detail(e.Detail))
}

// SeamError is a seam that can't be treated.
type SeamError struct {
	Panel, Seam string
	A, B        string
	Reason      Reason
	Got         float64
	Detail      string
}

func (e *SeamError) Error() string {
	return fmt.Sprintf("panel %s, seam %s (%s to %s): %s%s", e.Panel, e.Seam, e.A, e.B, e.Reason, detail(e.Detail))
}

func detail(s string) string {
	if s == "" {
		return ""
	}
	return ": " + s
}
