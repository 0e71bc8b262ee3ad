// Package paper lays out the pages that a shop works from: sheets of paper with a frame,
// a title block, a bar to check the printer by, lines of the widths of ISO 128, text that
// is never under 2.5 mm, tables that go on over pages, and a memory of what is drawn where,
// so that no text comes to lie on a line or on other text; a document of such pages is
// written as PDF, a page also as SVG. It knows nothing of designs and
// metal, and draws no picture of its own.
//
// Lengths are millimetres on the paper, x to the right, y down from the sheet's upper left
// corner; sizes of letters are millimetres too.
//
// The PDF goes through the library fpdf: it embeds the part of a font that is used, and has
// bookmarks, title and language. Its paths are written here all the same, with fixed
// decimals, and turned text by whole cosines, so that the bytes are the same on every
// processor. The dates that it must write are 1970-01-01, unless the document has one.
package paper
