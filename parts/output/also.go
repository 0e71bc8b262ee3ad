package output

import (
	"fmt"
	"io"

	"perch/parts/glb"
	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/step"
)

// Names of the files beside the usual ones, of the assembled piece.
const (
	PieceSTEP  = "piece.step"
	PieceGLB   = "piece.glb"
	PicturePDF = "picture.pdf"
	BehindPDF  = "behind.pdf"
)

// also writes the files of a size that are asked for beside the usual ones.
func (s *Stage) also(a *panel.Assembly, write func(string, func(io.Writer) error) error) error {
	for _, k := range s.options.Also {
		var err error
		switch k {
		case shop.STEP:
			err = write(PieceSTEP, func(w io.Writer) error { return step.Write(w, a) })
		case shop.GLB:
			err = write(PieceGLB, func(w io.Writer) error { return glb.Write(w, a) })
		case shop.PDF:
			err = s.picturePages(a, write)
		default:
			err = fmt.Errorf("there is no kind of file called %q", k)
		}
		if err != nil {
			return err
		}
	}
	return nil
}
