package nest

import (
	"fmt"
	"math"

	"perch/parts/measure"
)

// CountError says that something is to be packed no or a negative number of times.
type CountError struct {
	Blank string
	Count int
	Least int // that it may be: 1, of sheets in stock 0
}

func (e *CountError) Error() string {
	return fmt.Sprintf("%s: a count of %d; it must be %d or more", e.Blank, e.Count, e.Least)
}

// TooLargeError says that a blank is larger than all there is to cut it from.
type TooLargeError struct {
	Blank string
	Sheet string  // the one that it misses by least; "" for a strip
	Over  float64 // by how much, mm
	// Rotation, in degrees, at which it misses by that: the best it may have.
	Rotation float64
}

func (e *TooLargeError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *TooLargeError) Told() measure.Text {
	if e.Sheet == "" {
		return measure.Say("%s is wider than the strip by %.3f", e.Blank, measure.Length(e.Over))
	}
	return measure.Say("%s is larger than any sheet: turned by %g° it misses %s by %.3f, margins counted", e.Blank, e.Rotation, e.Sheet, measure.Length(e.Over))
}

// NoRoomError says that no way was found to place all blanks.
type NoRoomError struct {
	Need, Have float64 // areas, mm²; Have is +Inf where a sheet is in stock without end
	Left       int     // blanks without a place
	Blank      string  // the largest of them
}

func (e *NoRoomError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *NoRoomError) Told() measure.Text {
	s := measure.Plain("no room found for all blanks on the sheets in stock")
	if e.Left > 0 {
		s = measure.Say("%s: %d are left, the largest is %s", s, e.Left, e.Blank)
	}
	if e.Have <= math.MaxFloat64 {
		s = measure.Say("%s; they have %.0f and would fill %.0f", s, measure.Area(e.Need), measure.Area(e.Have))
	}
	return s
}

// ManyError says that one search would have too many blanks.
type ManyError struct{ Blanks, Most int }

func (e *ManyError) Error() string {
	return fmt.Sprintf("%d blanks on the last sheets are too many for one search; it takes %d", e.Blanks, e.Most)
}

// NumberError says that a number of a job cannot be meant.
type NumberError struct {
	What  string
	Value float64
	Must  string // what it must be
}

func (e *NumberError) Error() string {
	return fmt.Sprintf("%s is %g; it must be %s", e.What, e.Value, e.Must)
}

// NoMetalError says that the margin leaves nothing of a sheet.
type NoMetalError struct {
	Sheet         string
	Width, Length float64
	Margin        float64
}

func (e *NoMetalError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *NoMetalError) Told() measure.Text {
	return measure.Say("of %s a margin of %.6g on every side leaves nothing: take less than %.6g", e.Sheet, measure.Length(e.Margin), measure.Length(min(e.Width, e.Length)/2))
}

// SpacingError says that blanks would lie closer than the cut is wide.
type SpacingError struct{ Spacing, Kerf float64 }

func (e *SpacingError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *SpacingError) Told() measure.Text {
	return measure.Say("a spacing of %.3f is less than the kerf of %.3f", measure.Length(e.Spacing), measure.Length(e.Kerf))
}

// NoSheetError says that there is no sheet of a blank's material and thickness.
type NoSheetError struct {
	Blank     string
	Material  string
	Thickness float64
}

func (e *NoSheetError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *NoSheetError) Told() measure.Text {
	return measure.Say("%s: there is no sheet of %s %.6g", e.Blank, e.Material, measure.Length(e.Thickness))
}

// PlaceError says that a blank lies where it must not.
type PlaceError struct {
	Blank, Other string // Other is "" for the sheet's edge
	Gap, Least   float64
}

func (e *PlaceError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *PlaceError) Told() measure.Text {
	if e.Other == "" {
		return measure.Say("%s lies %.3f inside the sheet's edge; it must be %.3f", e.Blank, measure.Length(e.Gap), measure.Length(e.Least))
	}
	return measure.Say("%s lies %.3f from %s; it must be %.3f", e.Blank, measure.Length(e.Gap), e.Other, measure.Length(e.Least))
}
