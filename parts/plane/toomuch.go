package plane

import "fmt"

// TooMuchError says that regions are so entangled that working them out is given up: what
// is counted is the same on every machine. Operations on regions panic with it, for they
// have no answer then; whoever works on what a user wrote calls them through Within.
type TooMuchError struct {
	What  string // what was counted
	Limit int
}

func (e *TooMuchError) Error() string { return fmt.Sprintf("more than %d %s", e.Limit, e.What) }

const (
	// maxMeetings is how often the edges of one operation may meet: a plate with a
	// hundred thousand holes that overlap in pairs is within it.
	maxMeetings = 1 << 19
	// maxPairs is how many pairs of edges may lie so near each other that they are
	// compared.
	maxPairs = 1 << 25
)

// Within does work on regions and answers with a *TooMuchError where that was given up.
func Within(do func()) (err error) {
	defer func() {
		switch r := recover().(type) {
		case nil:
		case *TooMuchError:
			err = r
		default:
			panic(r)
		}
	}()
	do()
	return nil
}

// count panics when a number is past its limit.
func count(n, limit int, what string) {
	if n > limit {
		panic(&TooMuchError{what, limit})
	}
}
