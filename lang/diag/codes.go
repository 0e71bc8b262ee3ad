package diag

// Code is one kind of mistake: its stable name and a one-line title. A code is
// never given a second meaning; a retired one leaves a gap.
type Code struct{ Code, Title string }

// Codes lists every code that perch prints, in order. P1xxx is reading and
// syntax, P2xxx names, types and units, P3xxx solving, P4xxx the geometry of
// panels, P5xxx joins, P6xxx shop warnings, P7xxx files and output.
var Codes = []Code{
	// P10xx: reading
	{"P1001", "the text is too large"},
	{"P1002", "the text is not UTF-8"},
	{"P1003", "a control character stands in the text"},
	{"P1004", "a character that means nothing here"},
	{"P1005", "a quoted text is not closed"},
	{"P1006", "an unknown escape in a quoted text"},
	{"P1007", "a number is not written in a way that can be read"},
	{"P1008", "an unknown unit"},
	{"P1009", "a unit stands apart from its number"},
	{"P1010", "a minus is glued between digits"},
	{"P1011", "a number is too large or too small"},

	// P11xx: statements
	{"P1101", "a statement is expected"},
	{"P1102", "something else is expected here"},
	{"P1103", "a reserved word is used as a name"},
	{"P1104", "a statement stands where it may not"},
	{"P1105", "a closing brace is missing"},
	{"P1106", "a closing brace closes nothing"},
	{"P1107", "the design line is not the first, or not the only one"},
	{"P1108", "nothing stands between the brackets"},

	// P12xx: expressions
	{"P1201", "a value is expected"},
	{"P1202", "a bracket is not closed"},
	{"P1203", "brackets are nested too deeply"},
	{"P1204", "an expression is too long"},
	{"P1205", "comparisons do not chain"},
	{"P1206", "a corner clause stands on something that is not a point"},
	{"P1207", "a bracket holds too many values"},
	{"P1208", "an operator of another language"},
	{"P1209", "a comma too many"},
}

var titles = func() map[string]string {
	m := make(map[string]string, len(Codes))
	for _, c := range Codes {
		m[c.Code] = c.Title
	}
	return m
}()

// Title returns the one-line title of a code, and whether it is registered.
func Title(code string) (string, bool) {
	t, ok := titles[code]
	return t, ok
}
