package output

import (
	"io"

	"perch/parts/panel"
)

// pictures writes the picture of the assembled piece.
func (s *Stage) pictures(a *panel.Assembly, write func(string, func(io.Writer) error) error) error {
	return nil
}
