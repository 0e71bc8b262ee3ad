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
	Detail      measure.Text
}

func (e *FoldError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *FoldError) Told() measure.Text {
	where := fmt.Sprintf("panel %s, fold %s (%s to %s): ", e.Panel, e.Fold, e.A, e.B)
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
		return measure.Say("%s%s is too short for its set-back: %.4g, needs more than %#.4g", where, e.Detail, measure.Length(e.Got), measure.Length(e.Need))
	case NotRefolding:
		return measure.Say("%s%s misses its place by %.3g when folded", where, e.B, measure.Length(e.Got))
	case CutInBend:
		return measure.Say("%scut %s reaches into the bend by %.4g", where, e.Detail, measure.Area(e.Got))
	}
	return measure.Say("%s%s%s", where, e.Reason, detail(e.Detail))
}

// FaceError is a face, or a set of faces, that makes no panel.
type FaceError struct {
	Panel, Face string
	Others      []string // the other faces it is about
	Reason      Reason
	Got         float64
	Detail      measure.Text
}

func (e *FaceError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *FaceError) Told() measure.Text {
	where := fmt.Sprintf("panel %s: ", e.Panel)
	others := strings.Join(e.Others, ", ")
	switch e.Reason {
	case Cycle:
		return measure.Say("%sthe folds run in a cycle: %s, %s; leave one to a seam", where, e.Face, others)
	case TwoParents:
		return measure.Say("%sface %s hangs on two faces: %s", where, e.Face, others)
	case TwoRoots:
		return measure.Say("%sfaces %s, %s are all roots: each face but one must be hung by a fold", where, e.Face, others)
	case Pieces:
		if e.Got == 0 {
			return measure.Say("%snothing is left of %s%s", where, e.Face, detail(e.Detail))
		}
		return measure.Say("%s%s falls into %.0f pieces%s", where, e.Face, e.Got, detail(e.Detail))
	case Overlap:
		return measure.Say("%sthe flat overlaps itself: %s and %s share %.4g", where, e.Face, others, measure.Area(e.Got))
	case OffFace:
		return measure.Say("%scut %s takes nothing off face %s: it lies beside it", where, e.Detail, e.Face)
	}
	return measure.Say("%sface %s: %s%s", where, e.Face, e.Reason, detail(e.Detail))
}

// SeamError is a seam that can't be treated.
type SeamError struct {
	Panel, Seam string
	A, B        string
	Reason      Reason
	Got         float64
	Detail      measure.Text
}

func (e *SeamError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *SeamError) Told() measure.Text {
	return measure.Say("panel %s, seam %s (%s to %s): %s%s", e.Panel, e.Seam, e.A, e.B, e.Reason, detail(e.Detail))
}

func detail(t measure.Text) measure.Text {
	if t.Empty() {
		return t
	}
	return measure.Say(": %s", t)
}
