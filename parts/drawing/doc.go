// Package drawing makes what people look at: a flat of each blank, true to scale,
// with its dimensions, and a picture of the assembled piece. It changes no
// geometry and decides nothing about the part.
//
// Flats are SVG with arcs kept as arcs. Pictures are drawn once as a Picture, a
// list of flat shapes from back to front, and written as SVG or PNG; what hides
// what is settled by a binary partition of space, so both show the same.
//
// The rendering is this package's own rather than a drawing library's for two
// measured reasons. The general canvas library this project knows takes 13 ms for
// six hundred polygons as SVG, 63 ms to raster them at 800 × 800 and 50 ms to
// compress, and some 3 ms of every program start; the whole of a build has 150 ms.
// And it calls the machine's own sine and assembly rasters, where the same design
// must give the same bytes on every processor.
package drawing
