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

// NoRoomError says that blanks are left over when all sheets are full.
type NoRoomError struct {
	Left []string
}

func (e *NoRoomError) Error() string {
	return fmt.Sprintf("no room found for all blanks; %d left over", len(e.Left))
}
