// Package mockup makes a paper model of a piece, and full-size patterns of its blanks for
// cutting by hand: where paper is folded, where tabs are glued, which letters meet, and the
// pages to print. It changes no part, and what it glues holds nothing but paper.
//
// Paper has no thickness. The model stands in the middle of the metal: every face of a
// pattern lies, where the model stands, in the plane half a sheet behind the drawn side, and
// is folded where two of those planes meet, (r + t/2)·tan(A/2) beyond the bend's tangent
// lines. The bend's allowance is taken out and twice that put in its place. So every part
// is as large as its metal is in its middle, parts stand to each other as in the piece, and
// sheets that lie on each other lie half of both their thicknesses apart in the model:
// paper up to t times the scale thick fits between. With the allowance kept each bend
// would pull what hangs on it in by (r + t/2)·tan(A/2) − A·(r + K·t)/2, 0.7 mm at a square
// bend of 1.5 mm sheet, and rivet holes of a cap and its legs would no longer meet.
// Derived from planes.
package mockup
