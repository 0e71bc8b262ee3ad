// Package blankpage draws the page of one blank: its flat to scale with running dimensions
// from one corner, holes as symbols with a table, bends numbered, the finished part small, and
// what to measure after bending. It computes no geometry of the part and decides nothing: it
// tells what the flat, the shop and the joins say.
package blankpage
