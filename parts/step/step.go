// Package step writes an assembled piece for other programs of geometry: one STEP file by
// ISO 10303-21 with the schema of ISO 10303-242, exact solids of the bent parts placed under
// their names. It decides nothing, reads nothing, and keeps to what is bent of the flats:
// fasteners, welds and the nicks that tell folds are not in it.
package step

import (
	"fmt"
	"io"

	"perch/parts/panel"
)

// Write writes an assembly: every blank once as a product of one closed solid, twice where
// some copies of it are bent the other way, and every copy as an occurrence with its place. Lengths are
// millimetres, z is up. A face of metal is two planes, a bend two cylinders (one where
// it is folded flat on itself), an arc of a contour one cylinder; the edges of a bend that do not go
// square across it are splines within a millionth of a millimetre. Holes that are drilled in place
// are in the solids.
//
// It returns an error, and writes nothing, where a part comes to no closed solid or a number is not finite;
// otherwise w's own error. The same assembly gives the same bytes.
func Write(w io.Writer, a *panel.Assembly) error {
	f := &file{}
	f.context()
	if err := f.parts(a); err != nil {
		return fmt.Errorf("%s, %s as STEP: %w", a.Design, a.Size, err)
	}
	f.place(a)
	if f.bad {
		return fmt.Errorf("%s, %s as STEP: a number is not finite", a.Design, a.Size)
	}
	for _, b := range [][]byte{header(a), f.buf, []byte("ENDSEC;\nEND-ISO-10303-21;\n")} {
		if _, err := w.Write(b); err != nil {
			return err
		}
	}
	return nil
}

// Schema is what the file's entities are defined by.
const Schema = "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF"

// header is the file's head. The standard asks for a time: it is the same always.
func header(a *panel.Assembly) []byte {
	b := []byte("ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((")
	b = text(b, "bent sheet metal, millimetres, z up")
	b = append(b, "),'2;1');\nFILE_NAME("...)
	b = text(b, title(a))
	b = append(b, ",'1970-01-01T00:00:00',(''),(''),'perch','perch','');\nFILE_SCHEMA(('"...)
	b = append(b, Schema...)
	return append(b, "'));\nENDSEC;\nDATA;\n"...)
}

// title names the piece: the design and the size, with the revision where it states one.
func title(a *panel.Assembly) string {
	t := a.Design + " " + a.Size
	if a.Revision != "" {
		t += " rev " + a.Revision
	}
	return t
}
