// Package diag holds what perch tells its user when something is wrong: one
// Diagnostic per mistake, with a stable code, the exact place, the numbers that
// clash and, where there is one, the mend. It renders them for a terminal and
// as JSON. It never decides what is a mistake; the other rooms do.
package diag

import "slices"

// Source is one text that was read: a design, a module or a shop file.
type Source struct {
	Name  string // as the user named it, slash separated
	Text  string
	lines []int32 // byte offset of each line's start; filled by NewSource
}

// Span is a stretch of a Source, in byte offsets, End exclusive. The zero Span
// means "no place".
type Span struct {
	Source     *Source
	Start, End int32
}

// Severity ranks a diagnostic. Errors stop a build, warnings and notes do not.
type Severity uint8

const (
	Error Severity = iota
	Warning
	Note
)

// Related is a second place that explains the first.
type Related struct {
	Span    Span
	Message string
}

// Edit replaces the text of Span by Text.
type Edit struct {
	Span Span
	Text string
}

// Fix is a suggested mend that can be applied as it stands.
type Fix struct {
	Message string
	Edits   []Edit
}

// Diagnostic is one mistake or warning.
type Diagnostic struct {
	Code     string // a key of Codes
	Severity Severity
	Span     Span
	Summary  string // one line, no full stop
	Label    string // short, shown beside the underline; may be empty
	Related  []Related
	Notes    []string // the numbers, the rule, the limit
	Fix      *Fix
	Part     string // part or blank concerned, where there is one
	Mark     Mark   // by which something is decided
	Measured Measured
	LeftOut  int    // of a note that stands for others: how many
	Spots    []Spot // where it is on what was made, the first first
}

// Spot is a place on what was made that a diagnostic is about, by the names that it has there.
type Spot struct {
	Part string // a copy's name, or its blank's for all of its copies
	On   Thing
	Name string // of the face, fold or hole
}

// Thing tells what of a part a Spot is.
type Thing uint8

const (
	Whole Thing = iota // the part
	Face
	Fold
	Hole // a cut, a hole or another place of a join
)

// Mark tells of a diagnostic what somebody decides by: nobody goes by its code or words.
type Mark uint8

const (
	Unused    Mark = 1 << iota // a name that nothing refers to
	WholeFile                  // the file as a whole or the order in it, not one place
	Standing                   // it stands whatever a bracket left open may mean
	MaybeText                  // a sign out of place, unless it belongs to a text left open
	Beside                     // a note that is told beside the mistakes
)

// Apply is a text with a fix applied: all of its edits, which stand in that text and do not
// overlap.
func (f *Fix) Apply(text string) string {
	edits := slices.Clone(f.Edits)
	slices.SortStableFunc(edits, func(a, b Edit) int { return int(b.Span.Start - a.Span.Start) })
	for _, e := range edits {
		text = text[:e.Span.Start] + e.Text + text[e.Span.End:]
	}
	return text
}
