package cutplan

import (
	"fmt"

	"perch/parts/plane"
)

// KerfError says that the kerf is too wide for a contour.
type KerfError struct {
	Part   string
	At     plane.Point
	Kerf   float64
	Pieces int // that the kerf line falls into; 0 when nothing is left of it
}

func (e *KerfError) Error() string {
	if e.Pieces > 1 {
		return fmt.Sprintf("%s: the opening at (%.3f, %.3f) has a neck too narrow for a kerf of %.3f mm", e.Part, e.At.X, e.At.Y, e.Kerf)
	}
	return fmt.Sprintf("%s: the opening at (%.3f, %.3f) is too small for a kerf of %.3f mm", e.Part, e.At.X, e.At.Y, e.Kerf)
}

// LeadError says that a contour has no place to lead in without cutting a blank.
type LeadError struct {
	Part string
	At   plane.Point
}

func (e *LeadError) Error() string {
	return fmt.Sprintf("%s: no room to lead into the contour at (%.3f, %.3f)", e.Part, e.At.X, e.At.Y)
}

// FeedError says that a table profile has no feed for a sheet.
type FeedError struct {
	Profile, Material string
	Thickness         float64
	Has               []string // the sheets that it has feeds for
}

func (e *FeedError) Error() string {
	return fmt.Sprintf("table profile %q has no feed for %s %g mm", e.Profile, e.Material, e.Thickness)
}

// ProofError says that what was written is not what was planned.
type ProofError struct {
	File   string // "program" or "drawing"
	Reason string
}

func (e *ProofError) Error() string { return "the " + e.File + " fails its proof: " + e.Reason }
