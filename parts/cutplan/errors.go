package cutplan

import (
	"perch/parts/measure"
	"perch/parts/plane"
)

// KerfError says that the kerf is too wide for a contour.
type KerfError struct {
	Part   string
	At     plane.Point
	Kerf   float64
	Pieces int // that the kerf line falls into; 0 when nothing is left of it
}

func (e *KerfError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *KerfError) Told() measure.Text {
	if e.Pieces > 1 {
		return measure.Say("%s: the opening at %.3f has a neck too narrow for a kerf of %.3f", e.Part, measure.Place(e.At), measure.Length(e.Kerf))
	}
	return measure.Say("%s: the opening at %.3f is too small for a kerf of %.3f", e.Part, measure.Place(e.At), measure.Length(e.Kerf))
}

// LeadError says that a contour has no place to lead in without cutting a blank.
type LeadError struct {
	Part string
	At   plane.Point
}

func (e *LeadError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *LeadError) Told() measure.Text {
	return measure.Say("%s: no room to lead into the contour at %.3f", e.Part, measure.Place(e.At))
}

// NickError says that a nick is not cut as deep as it is to be.
type NickError struct {
	Part        string
	At          plane.Point
	Depth, Want float64 // mm; Depth is 0 where there is none
}

func (e *NickError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *NickError) Told() measure.Text {
	return measure.Say("%s: the nick at %.3f is cut %.2f deep, not %.2f", e.Part, measure.Place(e.At), measure.Length(e.Depth), measure.Length(e.Want))
}

// FeedError says that a table profile has no feed for a sheet.
type FeedError struct {
	Profile, Material string
	Thickness         float64
	Has               []measure.Text // the sheets that it has feeds for
}

func (e *FeedError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *FeedError) Told() measure.Text {
	return measure.Say("table profile %q has no feed for %s %.6g", e.Profile, e.Material, measure.Length(e.Thickness))
}

// ProofError says that what was written is not what was planned.
type ProofError struct {
	File   string // "program" or "drawing"
	Reason string
}

func (e *ProofError) Error() string { return "the " + e.File + " fails its proof: " + e.Reason }
