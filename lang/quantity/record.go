package quantity

import "strings"

// recordedIn are the units that are shown for those of a record, where a reader goes by
// inches, and how many of them make one of the record's.
var recordedIn = map[string]UnitDef{
	"mm":    {"in", Length, 1 / InchMM},
	"mm²":   {"in²", Area, 1 / (InchMM * InchMM)},
	"mm³":   {"in³", Volume, 1 / (InchMM * InchMM * InchMM)},
	"kg":    {"lb", Mass, 1 / PoundKG},
	"N":     {"lbf", Force, 1 / PoundForceN},
	"N/mm²": {"psi", stress, 1 / psiMPa},
}

// FromRecord takes a value in a unit of the record, such as mm, kg or mm/deg, to the unit
// that a reader of the system has it in.
func FromRecord(v float64, unit string, in System) (float64, string) {
	if in == Millimetres {
		return v, unit
	}
	if u, ok := recordedIn[unit]; ok {
		return v * u.Scale, u.Name
	}
	over, under, ratio := strings.Cut(unit, "/")
	if !ratio {
		return v, unit
	}
	v, over = FromRecord(v, over, in)
	one, below := FromRecord(1, under, in)
	return v / one, over + "/" + below
}
