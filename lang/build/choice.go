package build

import "fmt"

// Choice is a name that was to be largest or smallest, as it came out.
type Choice struct {
	Name string
	Quantity
	By Statement // the statement that wants it
	// Proved tells that no value beyond holds; else it is the best of Tried, or as
	// far as the search of the rules could tell apart.
	Proved bool
	Tried  int         // sizes built in search of it, 0 where the rules alone decide
	Cut    bool        // the search came to its bound of sizes
	Fixed  bool        // the rules alone fix it: there was nothing to choose
	Beside []string    // names that were open too, for which values were chosen with it
	Stops  []Statement // what stops it going further
}

// Certainty says in words how sure the choice is.
func (c *Choice) Certainty() string {
	switch {
	case c.Proved:
		return "proved"
	case c.Cut:
		return fmt.Sprintf("best of %d tried, where the search was given up", c.Tried)
	case c.Tried > 0:
		return fmt.Sprintf("best of %d tried", c.Tried)
	}
	return "best found, not proved"
}
