package output

import (
	"fmt"
	"io"
	"strings"

	"perch/parts/drawing"
	"perch/parts/panel"
)

// views are the assembled piece as seen from in front and from behind; none of a size without parts.
func (s *Stage) views(a *panel.Assembly) (front, behind *drawing.Picture, err error) {
	if len(a.Copies) == 0 {
		return nil, nil, nil
	}
	facets, err := drawing.Facets(a)
	if err != nil {
		return nil, nil, fmt.Errorf("the picture of size %s: %w", a.Size, err)
	}
	front, err = drawing.NewPicture(facets, drawing.PictureOptions{Paper: s.options.Paper, Design: a.Design, Size: a.Size, Revision: a.Revision})
	if err != nil {
		return nil, nil, fmt.Errorf("the picture of size %s: %w", a.Size, err)
	}
	behind, err = drawing.NewPicture(drawing.Behind(facets), drawing.PictureOptions{Paper: s.options.Paper, Design: a.Design, Size: strings.TrimPrefix(a.Size+", from behind", ", "), Revision: a.Revision})
	if err != nil {
		return nil, nil, fmt.Errorf("the picture from behind of size %s: %w", a.Size, err)
	}
	return front, behind, nil
}

// pictures writes the pictures of the assembled piece.
func (s *Stage) pictures(a *panel.Assembly, write func(string, func(io.Writer) error) error) error {
	front, behind, err := s.views(a)
	if front == nil || err != nil {
		return err
	}
	if err := write(PictureSVG, front.SVG); err != nil {
		return err
	}
	if err := write(PicturePNG, front.PNG); err != nil {
		return err
	}
	return write(BehindSVG, behind.SVG)
}

// picturePages writes the pictures as pages of their own.
func (s *Stage) picturePages(a *panel.Assembly, write func(string, func(io.Writer) error) error) error {
	front, behind, err := s.views(a)
	if front == nil || err != nil {
		return err
	}
	if err := write(PicturePDF, front.PDF); err != nil {
		return err
	}
	return write(BehindPDF, behind.PDF)
}
