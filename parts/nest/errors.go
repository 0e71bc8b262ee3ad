package nest

import "fmt"

// CountError says that something is to be packed no or a negative number of times.
type CountError struct {
	Blank string
	Count int
}

func (e *CountError) Error() string {
	return fmt.Sprintf("%s: a count of %d; it must be 1 or more", e.Blank, e.Count)
}

// TooLargeError says that a blank is larger than all there is to cut it from.
type TooLargeError struct {
	Blank string
	Sheet string  // the one that it misses by least; "" for a strip
	Over  float64 // by how much, mm
}

func (e *TooLargeError) Error() string {
	if e.Sheet == "" {
		return fmt.Sprintf("%s is wider than the strip by %.3f mm", e.Blank, e.Over)
	}
	return fmt.Sprintf("%s is larger than any sheet: it misses %s by %.3f mm", e.Blank, e.Sheet, e.Over)
}

// OutlineError says that an outline cannot be read as an area.
type OutlineError struct {
	Name string
	Err  error
}

func (e *OutlineError) Error() string { return e.Name + ": " + e.Err.Error() }
func (e *OutlineError) Unwrap() error { return e.Err }

// NoRoomError says that no way was found to place all blanks.
type NoRoomError struct {
	Need, Have float64 // areas, mm²
}

func (e *NoRoomError) Error() string {
	return fmt.Sprintf("no room found for all blanks on the sheets in stock: they have %.0f mm² and would fill %.0f mm²", e.Need, e.Have)
}

// SpacingError says that blanks would lie closer than the cut is wide.
type SpacingError struct{ Spacing, Kerf float64 }

func (e *SpacingError) Error() string {
	return fmt.Sprintf("a spacing of %.3f mm is less than the kerf of %.3f mm", e.Spacing, e.Kerf)
}

// NoSheetError says that there is no sheet of a blank's material and thickness.
type NoSheetError struct {
	Blank     string
	Material  string
	Thickness float64
}

func (e *NoSheetError) Error() string {
	return fmt.Sprintf("%s: there is no sheet of %s %g mm", e.Blank, e.Material, e.Thickness)
}

// PlaceError says that a blank lies where it must not.
type PlaceError struct {
	Blank, Other string // Other is "" for the sheet's edge
	Gap, Least   float64
}

func (e *PlaceError) Error() string {
	if e.Other == "" {
		return fmt.Sprintf("%s lies %.3f mm inside the sheet's edge; it must be %.3f", e.Blank, e.Gap, e.Least)
	}
	return fmt.Sprintf("%s lies %.3f mm from %s; it must be %.3f", e.Blank, e.Gap, e.Other, e.Least)
}
