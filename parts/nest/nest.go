// Package nest packs flat shapes: pieces into a strip of least length, and blanks
// with true arcs and holes onto sheets and remnants, the cheapest choice of sheets
// first, then the largest rectangle left over. It searches by minimising overlaps:
// items may lie in each other, each is moved in turn to where it overlaps least,
// and the weights of pairs that stay in overlap grow until they part (guided local
// search over no-fit polygons). Effort is counted in work, never in seconds, so that
// the same input gives the same answer on every machine. It cuts nothing, and knows
// no folds and no files but outlines of remnants.
package nest
