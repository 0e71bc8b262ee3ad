// Package format writes .perch text in its one canonical form. It changes white
// space, and commas before a closing bracket; it never changes meaning, drops a
// comment, respells a literal or reorders anything. A text with syntax errors is
// refused.
//
// The form: two spaces a level, a statement a line. A newline behind `(` or `[`
// spreads that bracket, one item a line with a trailing comma; any other
// bracket stands on one line. Where the code of a line, its documentation and its
// comment aside, is wider than 100 columns, a bracket on it is spread too, and a
// face that stands on the line takes lines of its own. A longer statement may be
// broken by its author at an operator, a clause word, or a comma outside brackets.
// A face with one statement stays on one line where it was written so. Blank lines group what
// the author grouped, one at most. Documentation, and comments behind code,
// stand in columns over neighbouring lines.
package format

import (
	"perch/lang/diag"
	"perch/lang/syntax"
)

// Source returns src in canonical form: UTF-8 without a byte order mark, lines
// ending in "\n", nothing at all for a text of blanks. Where the text has syntax
// errors it is returned as it is, with them.
func Source(src *diag.Source) (string, []diag.Diagnostic) {
	file, diags := syntax.Parse(src)
	if len(diags) > 0 {
		return src.Text, diags
	}
	return File(file), nil
}

// File is Source for a file that was parsed already, without a mistake: of one
// with mistakes it would give nonsense.
func File(file *syntax.File) string {
	w := writer{
		text:   file.Source.Text,
		marks:  marksOf(file),
		tokens: tokensOf(file.Source.Text),
	}
	w.matchBrackets()
	w.layOut()
	for w.spreadLong() {
		w.layOut()
	}
	return w.write()
}
