// Package syntax turns the text of a .perch file into a tree with exact
// positions. It reads one file at a time, knows no names and no types, and
// never fails: what it cannot parse it reports and skips.
package syntax

import "perch/lang/diag"

// Parse reads src and returns its tree, partial where there are mistakes, and
// every syntax mistake found, in order of place.
func Parse(src *diag.Source) (*File, []diag.Diagnostic) { panic("stub") }
