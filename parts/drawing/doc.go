// Package drawing makes pictures of parts and of the assembled piece, bent up or part way, and
// of nested sheets. It changes no geometry and decides nothing about the part; a blank's
// flat is the room blankpage's.
//
// Pictures are drawn once as a Picture, a
// list of flat shapes from back to front, and written as SVG or PNG; what hides
// what is settled by a binary partition of space, so both show the same. The
// canvas library writes the picture's SVG. The PNG is rastered here, because that
// library takes 63 ms to raster a stool at 800 × 800 and 50 ms to compress it,
// where the whole of a build has 150 ms, and because its rasters use the
// machine's own sine and assembly, where the same design must give the same
// bytes on every processor.
package drawing
