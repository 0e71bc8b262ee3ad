package output

import (
	"fmt"
	"io"
	"strings"

	"perch/parts/drawing"
	"perch/parts/panel"
)

// pictures writes the pictures of the assembled piece, from in front and from behind; a size without
// parts has none.
func (s *Stage) pictures(a *panel.Assembly, write func(string, func(io.Writer) error) error) error {
	if len(a.Copies) == 0 {
		return nil
	}
	facets, err := drawing.Facets(a)
	if err != nil {
		return fmt.Errorf("the picture of size %s: %w", a.Size, err)
	}
	p, err := drawing.NewPicture(facets, drawing.PictureOptions{Paper: s.options.Paper, Design: a.Design, Size: a.Size, Revision: a.Revision})
	if err != nil {
		return fmt.Errorf("the picture of size %s: %w", a.Size, err)
	}
	if err := write(PictureSVG, p.SVG); err != nil {
		return err
	}
	if err := write(PicturePNG, p.PNG); err != nil {
		return err
	}
	q, err := drawing.NewPicture(drawing.Behind(facets), drawing.PictureOptions{Paper: s.options.Paper, Design: a.Design, Size: strings.TrimPrefix(a.Size+", from behind", ", "), Revision: a.Revision})
	if err != nil {
		return fmt.Errorf("the picture from behind of size %s: %w", a.Size, err)
	}
	return write(BehindSVG, q.SVG)
}
