// Package syntax turns the text of a .perch file into a tree with exact
// positions. It reads one file at a time, knows no names and no types, and
// never fails: what it cannot parse it reports and skips.
package syntax
