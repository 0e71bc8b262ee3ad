package diag

// Code is one kind of mistake: its stable name and a one-line title. A code is
// never given a second meaning; a retired one leaves a gap.
type Code struct{ Code, Title string }

// Codes lists every code that perch prints, in order. P1xxx is reading and
// syntax, P2xxx names, types and units, P3xxx solving, P4xxx the geometry of
// panels, P5xxx joins, P6xxx shop warnings, P7xxx files and output, P8xxx nesting
// and cutting.
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

	// P20xx: names, types and units
	{"P2001", "an unknown name"},
	{"P2002", "a name is declared twice"},
	{"P2004", "names need each other in a circle"},
	{"P2005", "parts need each other in a circle"},
	{"P2006", "a module can't be had"},
	{"P2007", "modules use each other in a circle"},
	{"P2008", "a module does not give this name"},
	{"P2009", "a statement that a module may not hold"},
	{"P2010", "a value of the wrong type"},
	{"P2011", "an operator between things that do not go together"},
	{"P2012", "an operator on something it does not take"},
	{"P2013", "an exponent that leaves the dimension unknown"},
	{"P2014", "the branches of an if differ"},
	{"P2015", "a condition that is not a flag"},
	{"P2016", "a range or index that is none"},
	{"P2017", "a list of unlike things"},
	{"P2018", "an unknown type"},
	{"P2019", "an imported name is not used"},
	{"P2020", "something that has no value, or can't be called"},
	{"P2021", "an unknown argument label"},
	{"P2022", "an argument too many, or without its label"},
	{"P2023", "an argument is missing"},
	{"P2024", "a panel is used outside a part statement, or a part has none"},
	{"P2025", "an argument is given twice, or two that exclude each other"},
	{"P2026", "an unknown word"},
	{"P2027", "an index that does not fit"},
	{"P2028", "brackets after a member that takes none, or none after one that does"},
	{"P2029", "a face is placed in a way that can't be"},
	{"P2030", "no such member"},
	{"P2031", "a corner clause on something that is not a point"},
	{"P2032", "a size is like none, or like itself"},
	{"P2033", "a fold or hung face that is not between faces of its panel"},
	{"P2034", "a face is hung twice"},
	{"P2035", "faces that do not hang from one root"},
	{"P2036", "a seam with one side only"},
	{"P2037", "a join that is not between faces"},
	{"P2039", "strip in a face that hangs on no fold"},
	{"P2040", "a face without its one outline"},
	{"P2041", "a size states what is no param"},
	{"P2042", "a size states a param twice"},
	{"P2043", "a value is out of its range"},
	{"P2045", "an expression or chain of names too deep to follow"},
	{"P2046", "a design without its one design line"},
	{"P2048", "a cut or mark of a file that is not made in a face"},
	{"P2049", "a name that nothing reads"},

	// P206x: values
	{"P2060", "a value needs itself while it is worked out"},
	{"P2061", "too much work, or too many copies"},
	{"P2062", "an index that no copy or item has, or that several have"},
	{"P2063", "a reckoning that gives no number"},
	{"P2064", "a measurement that can't be had here"},
	{"P2065", "an index has one value twice"},

	// P207x: units
	{"P2070", "the design line names no units"},
	{"P2071", "one sum is written in two systems of units"},

	// P30xx: solving
	{"P3001", "statements that can't all hold"},
	{"P3002", "nothing fixes a name"},
	{"P3003", "several values would do, and nothing chooses"},
	{"P3004", "no values were found"},
	{"P3005", "values with about compete"},
	{"P3006", "a rule does not hold"},
	{"P3007", "a largest or smallest that can't be searched for"},
	{"P3008", "a range or value that is no number before solving"},
	{"P3009", "the design has no such size"},
	{"P3010", "a value is out of its range at this size"},
	{"P3011", "there is no largest or smallest value"},
	{"P3012", "no value of a free name meets a rule on what is made"},
	{"P3013", "values found by search, not proved to be the only ones"},

	// P40xx: shapes, bodies and panels
	{"P4001", "a shape that can't be drawn, or of which nothing is left"},
	{"P4002", "a shape without end"},
	{"P4003", "a measure that can't be"},
	{"P4004", "a body that can't stand"},
	{"P4005", "strip in a face that hangs on no fold"},
	{"P4006", "a shape that does not lie in the face's plane"},
	{"P4007", "a side and a corner that do not meet"},
	{"P4008", "a corner or an edge that the face can't be measured from"},
	{"P4009", "a fold or hung face that reaches into another panel"},
	{"P4010", "a hung face that does not meet its edge"},
	{"P4011", "a seam between faces that are no neighbours"},
	{"P4012", "a face hung on an edge that is in pieces"},
	{"P4013", "a body put so low that a part passes the floor"},
	{"P4014", "a cut goes through a face to nothing"},
	{"P4020", "a panel that can't be unfolded"},
	{"P4021", "a fold that can't be made"},
	{"P4022", "a face that can't be made"},
	{"P4023", "a seam that can't be made"},

	// P50xx: joins and parts against each other
	{"P5001", "joined faces that do not touch"},
	{"P5002", "fasteners that find no place"},
	{"P5003", "places of a join that lie on no one face"},
	{"P5004", "parts take up the same room"},
	{"P5005", "faces of one part that lie in each other"},
	{"P5006", "a face that a join names and nothing fastens"},
	{"P5007", "a part that nothing fastens to the rest"},
	{"P5008", "a lone fastener in a long place"},

	// P60xx: the shop; P6010 to P6042 are the rules of shopcheck
	{"P6001", "a bend outside the shop's rules"},
	{"P6002", "a gauge that the shop does not know"},
	{"P6003", "a fastener that the shop does not stock"},
	{"P6004", "a stock of which the shop has no sheet"},

	// P70xx: files and output
	{"P7001", "the design makes no parts"},
	{"P7002", "files in the way that perch did not write"},
	{"P7003", "a changed file of an earlier build"},
	{"P7004", "an output that is a design"},
	{"P7005", "an output folder of another design"},
	{"P7006", "what there is no more was removed"},
	{"P7007", "a run that was killed"},
	{"P7008", "a name that can't be a file's"},
	{"P7009", "papers of another state than the build"},
	{"P7010", "a scale at which no paper model can be made"},
	{"P7011", "a kind of file that perch does not write"},
	{"P7020", "a test strip that can't be, or was misread"},

	// P80xx: nesting and cutting
	{"P8001", "an order that cannot be read"},
	{"P8002", "no sheet of a blank's metal"},
	{"P8003", "a blank larger than every sheet"},
	{"P8004", "blanks that do not fit on the sheets"},
	{"P8005", "blanks closer than the cut is wide"},
	{"P8006", "cuts that cannot be planned"},
	{"P8007", "a table profile that lacks something"},
	{"P8008", "a cut that is not what was planned"},
	{"P8009", "a remnant that cannot be used"},
	{"P8010", "a blank that does not fit where it is placed"},
	{"P8011", "a blank, sheet or pierce that the job does not have"},
	{"P8012", "a folder that holds another job"},
	{"P8013", "blanks without a place as the search was stopped"},
	{"P8014", "the sheets of another job were replaced"},

	// P90xx: loads and what they do
	{"P9001", "a piece that does not stand"},
	{"P9002", "a load on nothing"},
	{"P9003", "a support of nothing"},
	{"P9010", "parts that nothing holds to what stands on the floor"},
	{"P9011", "a piece of which no strength can be told"},
	{"P9012", "nothing says what the piece carries"},
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
